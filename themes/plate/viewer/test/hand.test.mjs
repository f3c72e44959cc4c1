// The object in the hand: what a gesture does to the view, what moves by itself, parts, rays and lengths.

import assert from "node:assert/strict";
import { test } from "node:test";
import { build } from "esbuild";

const load = async (file) => {
  const { outputFiles } = await build({ entryPoints: [new URL(`../src/${file}`, import.meta.url).pathname], bundle: true, write: false, format: "esm" });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].text).toString("base64")}`);
};
const close = (a, b, by = 1e-9) => assert.ok(Math.abs(a - b) <= by, `${a} and ${b}`);
const home = { azimuth: 12.3, elevation: 14, halfHeight: 100, centre: [0, 50, 0], lift: 0 };
const box = { low: [-40, 0, -40], high: [40, 120, 40] };

test("a held view stays what it is within bounds, and comes back within them from anywhere", async () => {
  const { held } = await load("view.ts");
  assert.deepEqual(held(home, home, box), home);
  for (let i = 0; i < 500; i++) {
    const far = () => (Math.random() - 0.5) * 1e4;
    const view = held({ azimuth: far(), elevation: far(), halfHeight: Math.abs(far()), centre: [far(), far(), far()], lift: 0 }, home, box);
    assert.ok(view.azimuth >= -180 && view.azimuth < 180 && Math.abs(view.elevation) <= 80);
    assert.ok(view.halfHeight >= 6 && view.halfHeight <= 160);
    view.centre.forEach((v, k) => assert.ok(v >= box.low[k] && v <= box.high[k]));
  }
});

test("what is moved or brought nearer lies where the hand has it", async () => {
  const { moved, nearer, project } = await load("view.ts");
  const point = [11, 70, -5];
  const view = { ...home, azimuth: 140, elevation: -33 };
  const [x, y] = project(view, point, 300, 200);
  // A sheet of 200 pixels shows 200 mm: a millimetre is a pixel.
  const [mx, my] = project(moved(view, 17, -8), point, 300, 200);
  close(mx - x, 17);
  close(my - y, -8);
  for (const ratio of [0.5, 1.3, 0.001, 1000]) {
    const [nx, ny] = project(nearer(view, ratio, (x - 150) / 100, (y - 100) / 100, home), point, 300, 200);
    close(nx, x, 1e-6);
    close(ny, y, 1e-6);
  }
});

test("a turn that is let go runs out evenly, soon, and not beyond its bound", async () => {
  const { runOut, RUN, FASTEST } = await load("motion.ts");
  assert.ok(RUN <= 500);
  const run = runOut(home, [0.1, -0.05], 1000);
  // Constant braking: the way is half of what the first speed would have gone in that time.
  close(run(1000 + RUN).view.azimuth, home.azimuth + (0.1 * RUN) / 2);
  close(run(1000 + RUN).view.elevation, home.elevation - (0.05 * RUN) / 2);
  // It begins at the hand's speed and comes to rest.
  close((run(1001).view.azimuth - home.azimuth) / 1, 0.1, 1e-3);
  close(run(1000 + RUN).view.azimuth, run(1000 + RUN - 1).view.azimuth, 1e-3);
  assert.equal(run(1000 + RUN - 1).over, false);
  assert.equal(run(1000 + RUN).over, true);
  close(runOut(home, [50, 0], 0)(RUN).view.azimuth, home.azimuth + (FASTEST * RUN) / 2);
});

/** A square of side 2 in the plane z = `z`, its middle above the origin, seen from +Z. */
const square = (z, y = 0) => ({ position: Float32Array.of(-1, y - 1, z, 1, y - 1, z, 1, y + 1, z, -1, y + 1, z), index: Uint32Array.of(0, 1, 2, 0, 2, 3) });
const front = { azimuth: 0, elevation: 0, halfHeight: 10, centre: [0, 0, 0], lift: 0 };

test("a ray meets the nearest surface where a pen would", async () => {
  const { pick } = await load("pick.ts");
  const hit = pick([square(0), square(3)], [0, 0], front, 0.05, -0.02);
  assert.equal(hit.part, 1);
  hit.point.forEach((v, k) => close(v, [0.5, 0.2, 3][k], 1e-6));
  close(hit.facing, 1);
  assert.equal(pick([square(0), square(3)], [0, 0], front, 0.2, 0), null);
  assert.equal(pick([square(0), square(3)], [0, 0], { ...front, azimuth: 180 }, 0.05, 0).part, 0);
  // Seen from sixty degrees to the side, a square faces the eye by a half.
  close(pick([square(0)], [0], { ...front, azimuth: 60 }, 0, 0).facing, 0.5);
  // Lifted out of the way, the nearer one no longer hides the other; and is told where it was.
  assert.equal(pick([square(0), square(3)], [0, 5], { ...front, lift: 1 }, 0, 0).part, 0);
  const raised = pick([square(0), square(3)], [0, 5], { ...front, lift: 1 }, 0, -0.5);
  assert.equal(raised.part, 1);
  raised.point.forEach((v, k) => close(v, [0, 0, 3][k], 1e-6));
});

test("a sphere is met at its radius from every side", async () => {
  const { pick } = await load("pick.ts");
  const [rows, columns, radius] = [60, 120, 30];
  const position = [];
  for (let r = 0; r <= rows; r++) for (let c = 0; c <= columns; c++) {
    const [t, p] = [(Math.PI * r) / rows, (2 * Math.PI * c) / columns];
    position.push(radius * Math.sin(t) * Math.cos(p), radius * Math.cos(t), radius * Math.sin(t) * Math.sin(p));
  }
  const index = [];
  for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) {
    const a = r * (columns + 1) + c;
    index.push(a, a + 1, a + columns + 1, a + 1, a + columns + 2, a + columns + 1);
  }
  const ball = { position: Float32Array.from(position), index: Uint32Array.from(index) };
  for (let azimuth = -170; azimuth < 180; azimuth += 35) {
    for (const elevation of [-70, -20, 5, 80]) {
      const view = { azimuth, elevation, halfHeight: 40, centre: [0, 0, 0], lift: 0 };
      const hit = pick([ball], [0], view, 0.3, 0.2);
      // The facets lie within this of the sphere.
      close(Math.hypot(...hit.point), radius, radius * (1 - Math.cos(Math.PI / rows)) * 2);
      close(hit.facing, Math.sqrt(1 - (12 ** 2 + 8 ** 2) / radius ** 2), 0.05);
    }
  }
});

test("parts lifted apart stand clear of one another, the lowest where it was", async () => {
  const { lifts, around } = await load("apart.ts");
  const tall = (low, high) => ({ low: [-1, low, -1], high: [1, high, 1] });
  assert.deepEqual(lifts([tall(0, 10)]), [0]);
  const boxes = [tall(8, 12), tall(0, 10), tall(3, 20)];
  const rises = lifts(boxes);
  assert.equal(rises[1], 0);
  const moved = boxes.map((b, i) => [b.low[1] + rises[i], b.high[1] + rises[i]]).sort((a, b) => a[0] - b[0]);
  for (let i = 1; i < moved.length; i++) assert.ok(moved[i][0] > moved[i - 1][1], "one begins above the other");
  assert.equal(around(boxes, rises, 0).high[1], 20);
  assert.equal(around(boxes, rises, 1).high[1], moved[2][1]);
});

test("a length has the root of its four parts, twice, and is written no finer than that", async () => {
  const { length, figures, reach } = await load("length.ts");
  const end = (x, y, z, strays, half) => ({ part: 0, point: [x, y, z], strays, reach: half });
  const { mm, uncertainty } = length(end(0, 0, 0, 1.2, 0), end(3, 4, 12, 1.2, 0));
  close(mm, 13);
  close(uncertainty, 2 * Math.SQRT2 * (1.2 / Math.sqrt(3)));
  close(length(end(0, 0, 0, 0, 3), end(1, 0, 0, 0, 4)).uncertainty, 10 / Math.sqrt(3));
  assert.equal(reach(0.5, 1), 0.5);
  close(reach(0.5, 0.5), 1);
  assert.ok(reach(0.5, 0) <= 2.5 + 1e-12);
  assert.deepEqual(figures({ mm: 78.46, uncertainty: 2.01 }, "."), { mm: "78.5", uncertainty: "2.1" });
  assert.deepEqual(figures({ mm: 78.46, uncertainty: 0.031 }, ","), { mm: "78,46", uncertainty: "0,04" });
  assert.deepEqual(figures({ mm: 78.46, uncertainty: 12.2 }, "."), { mm: "78", uncertainty: "13" });
  // Rounding never tells less.
  for (let u = 0.01; u < 30; u += 0.0137) assert.ok(Number(figures({ mm: 1, uncertainty: u }, ".").uncertainty) >= u - 1e-9);
});

test("what four figures tell covers what errors within their bounds do, about nineteen times in twenty", async () => {
  const { length } = await load("length.ts");
  const [strays, half] = [0.4, 0.7];
  const even = (bound) => (Math.random() * 2 - 1) * bound;
  const [a, b] = [0, 100].map((x) => ({ part: 0, point: [x, 0, 0], strays, reach: half }));
  const { uncertainty } = length(a, b);
  const runs = 20_000;
  let within = 0;
  for (let i = 0; i < runs; i++) if (Math.abs(even(strays) + even(half) + even(strays) + even(half)) <= uncertainty) within++;
  assert.ok(within / runs > 0.94 && within / runs < 0.98, `${within / runs}`);
});

test("tries come to an end within a minute, and begin anew after it or when asked", async () => {
  const { Tries } = await load("tries.ts");
  const tries = new Tries();
  const waits = [0, 1000, 9000, 20_000, 30_000].map((now) => tries.next(now));
  assert.equal(waits.filter((w) => w !== null).length, 4);
  assert.equal(waits[4], null);
  assert.ok(waits[0] < waits[1] && waits[1] < waits[2]);
  // Two of the four are older than a minute by then.
  assert.deepEqual([61_500, 61_501, 61_502].map((now) => tries.next(now) === null), [false, false, true]);
  tries.forget();
  assert.equal(tries.next(61_002), waits[0]);
});
