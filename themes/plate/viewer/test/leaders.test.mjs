// Letters in the margins: no lines that cross, no letters that overlap.

import assert from "node:assert/strict";
import { test } from "node:test";
import { build } from "esbuild";

const load = async (file) => {
  const { outputFiles } = await build({ entryPoints: [new URL(`../src/${file}`, import.meta.url).pathname], bundle: true, write: false, format: "esm" });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].text).toString("base64")}`);
};
const SHEET = { width: 1600, height: 1280, inset: 52, knee: 104, spacing: 40 };

/** A fixed run of numbers in 0..1 (Mulberry32, public domain). */
function dice(seed) {
  return () => {
    seed = (seed + 0x6d2b79f5) | 0;
    let t = Math.imul(seed ^ (seed >>> 15), 1 | seed);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

test("5 to 60 points at random", async () => {
  const { place, crosses } = await load("leaders.ts");
  const next = dice(3);
  for (let count = 5; count <= 60; count++) {
    for (let round = 0; round < 10; round++) {
      const anchors = Array.from({ length: count }, (_, i) => ({ id: `d${i}`, x: 200 + 1200 * next(), y: 60 + 1160 * next() }));
      const places = place(anchors, SHEET, new Map());
      assert.equal(places.length, count);
      const at = new Map(anchors.map((a) => [a.id, a]));
      for (const [i, a] of places.entries()) {
        assert.ok(a.letterY >= 0 && a.letterY <= SHEET.height);
        for (const b of places.slice(i + 1)) {
          if (a.left !== b.left) continue;
          assert.ok(Math.abs(a.letterY - b.letterY) > 38, `letters overlap among ${count}`);
          assert.ok(!crosses([a.kneeX, a.letterY], at.get(a.id), [b.kneeX, b.letterY], at.get(b.id)), `lines cross among ${count}`);
        }
      }
    }
  }
});

test("a letter stays in its margin while its point is near the middle", async () => {
  const { place } = await load("leaders.ts");
  const near = [{ id: "a", x: 820, y: 300 }];
  assert.equal(place(near, SHEET, new Map([["a", true]]))[0].left, true);
  assert.equal(place(near, SHEET, new Map())[0].left, false);
  assert.equal(place([{ id: "a", x: 1000, y: 300 }], SHEET, new Map([["a", true]]))[0].left, false);
});

test("a flight goes the shortest way round and ends where it should", async () => {
  const { between, side, project, held } = await load("view.ts");
  const home = { azimuth: 0, elevation: 10, halfHeight: 100, centre: [0, 60, 0] };
  const from = { ...home, azimuth: 170 };
  const to = { ...home, azimuth: -170, halfHeight: 20 };
  const end = between(from, to, 1, home);
  assert.ok(Math.abs(end.azimuth - 190) < 1e-9 && Math.abs(end.halfHeight - 20) < 1e-9);
  for (let t = 0; t <= 1; t += 0.1) assert.ok(Math.abs(between(from, to, t, home).azimuth - 180) <= 10 + 1e-9);
  assert.deepEqual(["front", "right", "back", "left"].map((_, i) => side({ ...home, azimuth: i * 90 })), ["side_front", "side_right", "side_back", "side_left"]);
  assert.deepEqual(project({ ...home, elevation: 0 }, [0, 160, 0], 1600, 1280).map(Math.round), [800, 0]);
  assert.equal(held({ ...home, elevation: 120, halfHeight: 1e9 }, home).elevation, 80);
});

test("a model that is cut or lies is refused, never endless", async () => {
  const { model } = await load("glb.ts");
  const document = { nodes: [{ mesh: 0 }], meshes: [{ primitives: [{ attributes: { POSITION: 0 } }] }], accessors: [{ bufferView: 0, componentType: 5126, count: 3, type: "VEC3" }], bufferViews: [{ buffer: 0, byteLength: 36 }] };
  const file = (doc, binary) => {
    let text = JSON.stringify(doc);
    text += " ".repeat((4 - (text.length % 4)) % 4);
    const out = new DataView(new ArrayBuffer(28 + text.length + binary));
    [0x46546c67, 2, out.byteLength, text.length, 0x4e4f534a].forEach((v, i) => out.setUint32(i * 4, v, true));
    new Uint8Array(out.buffer).set(new TextEncoder().encode(text), 20);
    out.setUint32(20 + text.length, binary, true);
    out.setUint32(24 + text.length, 0x004e4942, true);
    return out.buffer;
  };
  const none = { decodeGltfBuffer: () => {} };
  const whole = file(document, 36);
  assert.equal(model(whole, none).parts[0].position.length, 9);
  for (let length = 0; length < whole.byteLength; length++) assert.throws(() => model(whole.slice(0, length), none));
  const lying = structuredClone(document);
  lying.accessors[0].count = 4;
  assert.throws(() => model(file(lying, 36), none), /beyond/);
  assert.equal(model(whole, none).pictures, null);
  const drawn = { ...document, materials: [{ normalTexture: { index: 0 }, occlusionTexture: { index: 0 } }], textures: [{ source: 0 }], images: [{ bufferView: 1, mimeType: "image/jpeg" }] };
  drawn.bufferViews = [document.bufferViews[0], { buffer: 0, byteOffset: 36, byteLength: 8 }];
  const { pictures } = model(file(drawn, 44), none);
  assert.deepEqual([pictures.slopes.size, pictures.slopes.type, pictures.colour], [8, "image/jpeg", null]);
  assert.throws(() => model(file(drawn, 40), none), /outside/);
});
