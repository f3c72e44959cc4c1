// Four hours of a screen in the gallery: touches at random, nobody, touches again. The clock runs faster,
// frames are real. KIOSK_DIR names the site.

import assert from "node:assert/strict";
import { test } from "node:test";
import { launch, open } from "./browser.mjs";
import { clock, faster } from "./clock.mjs";
import { serve } from "./site.mjs";

const HOURS = 4;
/** An hour takes a quarter of a minute. */
const SPEED = 240;
const MEASURED = 8;

/** Numbers in 0..1 from a fixed sequence (Park and Miller, "Random number generators: good ones are hard to
 *  find", Communications of the ACM 31, 1988). */
function dice(seed) {
  let state = seed;
  return () => (state = (state * 48271) % 2147483647) / 2147483647;
}

test(`${HOURS} hours of random touches: memory flat, no error, still alive`, { timeout: 600_000 }, async () => {
  const site = await serve(process.env.KIOSK_DIR);
  const browser = await launch();
  const context = await browser.newContext({ viewport: { width: 1920, height: 1080 }, hasTouch: true });
  await context.addInitScript(clock);
  const { page, faults } = await open(context, site.base, "kiosk/brackwater-mortar/");
  const session = await context.newCDPSession(page);
  await session.send("Performance.enable");
  const roll = dice(4711);
  const between = (low, high) => low + roll() * (high - low);
  const used = [];
  const pages = new Set();
  const measure = async () => {
    await session.send("HeapProfiler.collectGarbage");
    const { metrics } = await session.send("Performance.getMetrics");
    const of = (name) => metrics.find((m) => m.name === name).value;
    used.push({ heap: of("JSHeapUsedSize") / 1e6, nodes: of("Nodes"), listeners: of("JSEventListeners"), documents: of("Documents") });
  };
  const began = Date.now();
  const length = (HOURS * 3600 * 1000) / SPEED;
  let touches = 0;
  while (Date.now() - began < length) {
    await page.evaluate(faster, SPEED).catch(() => {});
    pages.add(new URL(page.url()).pathname);
    // A visitor: some dozens of touches, drags and pinches anywhere.
    for (let n = between(10, 40); n > 0; n--) {
      const [x, y] = [between(5, 1915), between(5, 1075)];
      const kind = roll();
      if (kind < 0.7) await page.touchscreen.tap(x, y);
      else {
        const points = kind < 0.9 ? 1 : 2;
        const at = (i) => Array.from({ length: points }, (_, id) => ({ x: Math.min(1919, Math.max(0, x + i * 30 * (id ? -1 : 1))), y: Math.min(1079, y + id * 40), id }));
        const touch = (type, touchPoints) => session.send("Input.dispatchTouchEvent", { type, touchPoints });
        await touch("touchStart", at(0));
        for (let i = 1; i < 5; i++) await touch("touchMove", at(i));
        await touch("touchEnd", []);
      }
      touches++;
    }
    // Then nobody, sometimes long enough for the tour.
    await page.waitForTimeout(between(100, 1200));
    if ((Date.now() - began) / length > used.length / MEASURED) await measure();
  }
  await measure();
  console.log(`${touches} touches on ${pages.size} pages; megabytes of heap: ${used.map((u) => u.heap.toFixed(1)).join(" ")}; nodes: ${used.map((u) => u.nodes).join(" ")}`);
  assert.deepEqual(faults, []);
  assert.ok(touches > 150, `${touches} touches`);
  // Both halves of the time: the second needs no more than the first, but for noise.
  const most = (name, part) => Math.max(...part.map((u) => u[name]));
  const [first, second] = [used.slice(1, used.length / 2 + 1), used.slice(used.length / 2 + 1)];
  for (const [name, allowed] of [["heap", 1.25], ["nodes", 1.25], ["listeners", 1.25], ["documents", 1.5]]) {
    assert.ok(most(name, second) <= most(name, first) * allowed, `${name} grows from ${most(name, first)} to ${most(name, second)}`);
  }
  // Still alive: it comes to rest, begins at a touch, and opens a detail.
  await page.goto(`${site.base}brackwater-mortar/kiosk/`);
  await page.locator("[data-begin]").click();
  await page.locator(".key li:nth-child(4) .key-link").click();
  assert.ok(await page.locator(".leaf.open").isVisible());
  await context.close();
  await browser.close();
  site.close();
});
