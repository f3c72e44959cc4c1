// What the pages of the published site cost a phone on a slow mobile network. That all script of a page is
// within 60 KB is seen in viewer.test.mjs.

import assert from "node:assert/strict";
import { randomBytes } from "node:crypto";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { beyond, BUDGET, cost, line } from "./budgets.mjs";
import { launch } from "./browser.mjs";
import { folder, having } from "./display.mjs";
import { turning } from "./frames.mjs";
import { FIRST_ANSWER } from "./phone.mjs";
import { pages, serve } from "./site.mjs";

const work = mkdtempSync(join(tmpdir(), "budgets-"));
let browser, site, faulty;
before(async () => {
  browser = await launch();
  // The first drawing starts the browser's renderer: not a page's cost.
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.evaluate(() => document.createElement("canvas").getContext("webgl2"));
  await context.close();
  site = await serve(folder, { packed: true, hold: FIRST_ANSWER });
  faulty = await serve(work, { packed: true, hold: FIRST_ANSWER });
});
after(async () => {
  await browser?.close();
  site?.close();
  faulty?.close();
  rmSync(work, { recursive: true, force: true });
});

/** Pages in the first language: one of every kind, and every object's. */
const language = (path) => readFileSync(join(folder, path, "index.html"), "utf8").match(/<html[^>]*lang="?([\w-]+)/)[1];
const own = pages(folder).filter((path) => !path.endsWith(".html") && language(path) === language(""));
const objects = having("data-stage").filter((path) => own.includes(path));
const first = (kind) => own.filter((path) => kind.test(path)).slice(0, 1);
const kinds = [...first(/^$/), ...objects, ...first(/\/details\/./), ...first(/\/what-differs\/$/), ...first(/\/making\/$/)];

/** A picture of noise as BMP, which does not shrink on the wire. */
function noise(width, height) {
  const head = Buffer.alloc(54);
  head.write("BM");
  head.writeUInt32LE(54 + width * height * 3, 2);
  head.writeUInt32LE(54, 10);
  head.writeUInt32LE(40, 14);
  head.writeInt32LE(width, 18);
  head.writeInt32LE(height, 22);
  head.writeUInt16LE(1, 26);
  head.writeUInt16LE(24, 28);
  return Buffer.concat([head, randomBytes(width * height * 3)]);
}

/** Pages that each go beyond a budget, and what is to be said of them; the first is within all. */
const html = (body, head = "") => `<!doctype html><html lang="en"><head><title>t</title><meta name="viewport" content="width=device-width">${head}</head><body><p>words</p>${body}</body></html>`;
const later = (script, ms) => `<script>setTimeout(() => { ${script} }, ${ms})</script>`;
const FAULTY = {
  "plain.html": [html('<p style="height:3000px"></p><p>below</p>'), []],
  "late.html": [html("", '<link rel="stylesheet" href="large.css">'), [/first contentful paint/]],
  "large.html": [html('<img src="noise" width="380" height="600" alt="">'), [/largest contentful paint/, /bytes before/]],
  "moves.html": [html(later('document.body.prepend(Object.assign(document.createElement("p"), { textContent: "late" }))', 400)), [/layout shift/]],
  "below.html": [html('<p style="height:3000px"></p><p>below</p><script>addEventListener("scroll", () => setTimeout(() => document.querySelector("p:last-of-type").before(document.createElement("hr")), 30))</script>'), [/layout shift/]],
  "heavy.html": [html('<script>fetch("heavy.glb")</script>'), [/bytes of the first model/]],
  // Waits for the renderer are left out; the script after them is not.
  "busy.html": [
    html(later(`const gl = document.createElement("canvas").getContext("webgl2"); gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
      const end = performance.now() + ${BUDGET.own + 30}; while (performance.now() < end);`, 500)),
    [/hold of the page/],
  ],
};

test("a page that goes beyond a budget is found out, and one that keeps them all is not", async () => {
  for (const [name, [text]] of Object.entries(FAULTY)) writeFileSync(join(work, name), text);
  writeFileSync(join(work, "large.css"), `/*${randomBytes(150_000).toString("base64")}*/`);
  writeFileSync(join(work, "noise"), noise(380, 440));
  writeFileSync(join(work, "heavy.glb"), randomBytes(BUDGET.model + 1000));
  for (const [name, [, wanted]] of Object.entries(FAULTY)) {
    const said = beyond(await cost(browser, faulty.base, name, wanted.length ? { loads: 1, more: 0 } : {}));
    for (const fault of wanted) assert.ok(said.some((s) => fault.test(s)), `${name}: ${fault} in ‘${said.join("\n")}’`);
    if (wanted.length === 0) assert.deepEqual(said, []);
  }
});

test("there is a page of every kind", () => {
  assert.ok(objects.length >= 2);
  assert.equal(kinds.length, 4 + objects.length, kinds.join(" "));
});

for (const path of kinds) {
  test(`/${path} is within its budgets`, async (t) => {
    const figures = await cost(browser, site.base, path);
    t.diagnostic(line(figures));
    if (objects.includes(path)) assert.ok(figures.model > 0, "the model was not asked for");
    assert.deepEqual(beyond(figures), []);
  });
}

/** Draws the viewer's model, and only that, three times in every frame. */
function threefold() {
  const gl = WebGL2RenderingContext.prototype;
  const own = gl.drawElements;
  gl.drawElements = function (...given) {
    own.apply(this, given);
    if (!this.canvas.closest?.(".sheet")) return;
    for (let more = 0; more < 2; more++) {
      // Else the next would be hidden behind the first, and cost next to nothing.
      this.clear(this.DEPTH_BUFFER_BIT);
      own.apply(this, given);
    }
  };
}

test("a frame of the turning model costs few bare drawings of its triangles", async (t) => {
  const path = objects[0];
  const found = await turning(browser, site.base, path);
  t.diagnostic(`/${path}: ${found.triangles} triangles, ${found.viewer.map(Math.round)} ms by the viewer, ${found.bare.map(Math.round)} ms bare, ratio ${found.ratio.toFixed(2)}`);
  assert.ok(found.lit, "the bare drawing shows nothing");
  assert.ok(found.triangles > 10_000);
  assert.ok(found.drawings > 0.9 && found.drawings < 1.1, `${found.drawings} drawings of the model a frame`);
  assert.ok(found.ratio <= BUDGET.frame, `a frame costs ${found.ratio} bare ones`);
  // That it is drawn once is counted above. Here it is shown that the measure feels what drawing costs: how
  // much of a frame that is depends on the renderer, a third on one and more than half on another.
  const { ratio } = await turning(browser, site.base, path, threefold);
  t.diagnostic(`drawn three times: ratio ${ratio.toFixed(2)}`);
  assert.ok(ratio > 1.3 * found.ratio, `drawn three times, a frame costs ${ratio} bare ones, once ${found.ratio}`);
});
