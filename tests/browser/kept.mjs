// What was seen and found good, kept beside the tests: `RENEW=1 ./check states` writes it anew, to be looked at.

import assert from "node:assert/strict";
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";

const HERE = join(import.meta.dirname, "kept");

/** Compares a text with the one that is kept under a name. */
export function sameText(name, found) {
  const path = join(HERE, name);
  if (process.env.RENEW) {
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, found);
    return;
  }
  assert.ok(existsSync(path), `nothing is kept as ${name}: RENEW=1 ./check states`);
  assert.equal(found, readFileSync(path, "utf8"), `${name} is another now; if that is right: RENEW=1 ./check states`);
}

/** Compares a picture with the one that is kept: both in small, so that another browser's edges of letters do
 * not count. `limit` is the mean of the differences of a cell that is allowed, of 255. */
export async function samePicture(page, name, shot, limit = 12) {
  const path = join(HERE, name);
  const small = await page.evaluate(shrink, shot.toString("base64"));
  if (process.env.RENEW) {
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, Buffer.from(small.png, "base64"));
    return;
  }
  assert.ok(existsSync(path), `nothing is kept as ${name}: RENEW=1 ./check states`);
  const before = await page.evaluate(shrink, readFileSync(path).toString("base64"));
  assert.deepEqual([small.width, small.height], [before.width, before.height], `${name}: another size`);
  const worst = farthest(small, before);
  assert.ok(worst.by <= limit, `${name}: differs by ${worst.by.toFixed(1)} of ${limit} about ${worst.x}, ${worst.y} of its small picture; if that is right: RENEW=1 ./check states`);
}

/** Runs in the page: the picture 160 wide, as PNG and as bytes. One that is so wide already is only read. */
async function shrink(text) {
  const bitmap = await createImageBitmap(new Blob([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], { type: "image/png" }));
  const width = 160;
  const height = Math.max(1, Math.round((bitmap.height * width) / bitmap.width));
  const canvas = new OffscreenCanvas(width, height);
  const pen = canvas.getContext("2d");
  pen.imageSmoothingQuality = "high";
  pen.drawImage(bitmap, 0, 0, width, height);
  const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: "image/png" })).arrayBuffer());
  return { width, height, data: [...pen.getImageData(0, 0, width, height).data], png: btoa(String.fromCharCode(...bytes)) };
}

/** The cell of eight by eight pixels whose mean differs most. */
function farthest(a, b) {
  const worst = { by: 0, x: 0, y: 0 };
  for (let y = 0; y < a.height; y += 8) {
    for (let x = 0; x < a.width; x += 8) {
      const sums = [0, 0, 0];
      let count = 0;
      for (let v = y; v < Math.min(y + 8, a.height); v++) {
        for (let u = x; u < Math.min(x + 8, a.width); u++, count++) {
          for (let k = 0; k < 3; k++) sums[k] += a.data[4 * (v * a.width + u) + k] - b.data[4 * (v * a.width + u) + k];
        }
      }
      const by = Math.max(...sums.map((s) => Math.abs(s) / count));
      if (by > worst.by) Object.assign(worst, { by, x, y });
    }
  }
  return worst;
}
