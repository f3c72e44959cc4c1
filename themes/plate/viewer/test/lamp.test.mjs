// The lamp: where it stands, and what is said of it.

import assert from "node:assert/strict";
import { test } from "node:test";
import { build } from "esbuild";

const load = async (file) => {
  const { outputFiles } = await build({ entryPoints: [new URL(`../src/${file}`, import.meta.url).pathname], bundle: true, write: false, format: "esm" });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].text).toString("base64")}`);
};
const near = (a, b) => a.forEach((v, k) => assert.ok(Math.abs(v - b[k]) < 1e-9, `${a} and ${b}`));
const axes = { right: [1, 0, 0], up: [0, 1, 0], eye: [0, 0, 1] };

test("the lamp stands where it is said to stand, as long as a unit", async () => {
  const { toward, kept } = await load("lamp.ts");
  const half = Math.SQRT1_2;
  near(toward(axes, { bearing: 0, height: 45 }), [0, half, half]);
  near(toward(axes, { bearing: 90, height: 45 }), [half, 0, half]);
  near(toward(axes, { bearing: 180, height: 30 }), [0, -Math.sqrt(3) / 2, 0.5]);
  near(toward(axes, { bearing: 270, height: 0 }), [-1, 0, 0]);
  // Turned with the eye: seen from +X, what is to the right of the picture is -Z.
  near(toward({ right: [0, 0, -1], up: [0, 1, 0], eye: [1, 0, 0] }, { bearing: 90, height: 0 }), [0, 0, -1]);
  for (let bearing = -720; bearing <= 720; bearing += 35) {
    const lamp = kept({ bearing, height: bearing / 4 });
    assert.ok(lamp.bearing >= 0 && lamp.bearing < 360 && lamp.height >= 5 && lamp.height <= 85);
    assert.ok(Math.abs(Math.hypot(...toward(axes, lamp)) - 1) < 1e-12);
  }
});

test("held over a place, the light comes from there: high over the middle, low at the edge", async () => {
  const { heldAt, toward } = await load("lamp.ts");
  assert.equal(heldAt(0, 0).height, 85);
  assert.deepEqual(heldAt(1, 0), { bearing: 90, height: 5 });
  assert.deepEqual(heldAt(0, 3), { bearing: 180, height: 5 });
  assert.deepEqual(heldAt(-0.5, -0.5), { bearing: 315, height: 45 });
  // A ball of the picture's size is brightest under the lamp.
  for (const [x, y] of [[0.3, 0.2], [-0.7, 0.4], [0.1, -0.8]]) {
    const [right, up] = toward(axes, heldAt(x, y));
    assert.ok(Math.hypot(right - x, -up - y) < 0.02, `${right} ${up}`);
  }
});

test("every side has its word", async () => {
  const { whence } = await load("lamp.ts");
  const said = [0, 45, 90, 135, 180, 225, 270, 315, 350].map((bearing) => whence({ bearing, height: 20 }));
  assert.deepEqual(said, ["light_above", "light_upper_right", "light_right", "light_lower_right", "light_below", "light_lower_left", "light_left", "light_upper_left", "light_above"]);
  assert.equal(whence({ bearing: 22, height: 20 }), "light_above");
  assert.equal(whence({ bearing: 23, height: 20 }), "light_upper_right");
});
