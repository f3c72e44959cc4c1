// Four hours of an afternoon in the gallery, in a minute: touches at random, rests, visitors who walk away.
// The clock runs fast, the frames are real. KIOSK_DIR names the site.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { launch, open } from "./browser.mjs";
import { clock } from "./clock.mjs";
import { serve } from "./site.mjs";

/** Times as fast as real ones, and the time that passes on that clock, milliseconds. */
const SPEED = 140;
const HOURS = 4;
const WHOLE = HOURS * 3600_000;
/** Memory is looked at after each of so many parts: all but the last on one object's screen, which is hardly
 * ever left, so that what a page gathers is found out; the last from object to object. */
const PARTS = 5;
/** The bar below, which leads to other pages, is touched so rarely on the one object's screen. */
const BAR = { top: 0.85, chance: 0.01 };
/** What may be more than after the first part, when caches have filled, in shares and in the figure's own unit. */
const MORE = { heap: [0.1, 5e5], nodes: [0.1, 200], listeners: [0.1, 50], documents: [0, 3], resident: [0.15, 48e6] };
/** Half the pixels of a large screen, as its drawing is the processor's work here. */
const SIZE = { width: 960, height: 540 };
const [ALONE, SHELF] = ["brackwater-mortar/kiosk/", "kiosk/"];
const SEED = 20261127;

/** Numbers from 0 to 1: the mulberry32 generator, public domain, from memory. */
function chances(seed) {
  return () => {
    seed = (seed + 0x6d2b79f5) | 0;
    let t = Math.imul(seed ^ (seed >>> 15), 1 | seed);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
/** A page that is just being left does not answer: that is no fault, and not waited for. */
const soon = (promise, ms = 1000) => Promise.race([promise.catch(() => null), pause(ms)]);

/** Taps, drags and pairs of fingers anywhere on the screen. */
function hand(wire, chance) {
  let low = 1;
  const place = (id = 0) => ({ id, x: Math.round(chance() * SIZE.width), y: Math.round(chance() * SIZE.height * low) });
  // A hand does not wait for the screen either.
  const send = (type, touchPoints) => soon(wire.send("Input.dispatchTouchEvent", { type, touchPoints }), 40);
  return async (bar) => {
    low = bar || chance() < BAR.chance ? 1 : BAR.top;
    const fingers = chance() < 0.15 ? [place(0), place(1)] : [place(0)];
    await send("touchStart", fingers);
    if (fingers.length === 2 || chance() < 0.2) {
      for (let step = 0; step < 3; step++) {
        for (const finger of fingers) Object.assign(finger, { x: Math.max(0, Math.min(SIZE.width - 1, finger.x + Math.round(120 * (chance() - 0.5)))) });
        await send("touchMove", fingers);
      }
    }
    await send("touchEnd", []);
  };
}

/** Bytes that the browser's processes for the page and its drawing hold. */
async function resident(desk) {
  const { processInfo } = await desk.send("SystemInfo.getProcessInfo");
  const kept = processInfo.filter(({ type }) => /renderer|GPU/i.test(type)).map(({ id }) => {
    const line = readFileSync(`/proc/${id}/status`, "utf8").match(/VmRSS:\s+(\d+) kB/);
    return Number(line[1]) * 1024;
  });
  return kept.reduce((sum, bytes) => sum + bytes, 0);
}

/** Figures of the page, after what nobody needs any more has been thrown away. */
async function look(wire, desk) {
  for (let i = 0; i < 2; i++) await wire.send("HeapProfiler.collectGarbage");
  const { metrics } = await wire.send("Performance.getMetrics");
  const of = (name) => metrics.find((m) => m.name === name).value;
  return { heap: of("JSHeapUsedSize"), nodes: of("Nodes"), listeners: of("JSEventListeners"), documents: of("Documents"), resident: await resident(desk) };
}

/** Waits for the resting screen of an object, or goes there, again if the screen was itself just going elsewhere. */
async function rested(page, address) {
  for (let time = 0; time < 12; time++) {
    if (page.url() !== address) await soon(page.goto(address), 10_000);
    const there = await soon(page.waitForSelector("html.resting .sheet canvas:visible", { timeout: 10_000 }), 10_000);
    if (there && page.url() === address) return;
  }
  assert.fail(`the screen does not rest: ${page.url()}`);
}

test(`${HOURS} hours of touches at random leave the screen alive, without a fault, and its memory flat`, async (t) => {
  const site = await serve(process.env.KIOSK_DIR);
  const browser = await launch();
  t.after(async () => {
    await browser.close();
    site.close();
  });
  const context = await browser.newContext({ viewport: SIZE, hasTouch: true });
  await context.addInitScript(clock);
  await context.addInitScript(`hurry(${SPEED})`);
  const { page, faults } = await open(context, site.base, ALONE);
  let since = Date.now();
  const stays = [];
  page.on("framenavigated", () => {
    stays.push(Date.now() - since);
    since = Date.now();
  });
  const [wire, desk] = [await context.newCDPSession(page), await browser.newBrowserCDPSession()];
  await wire.send("Performance.enable");

  const chance = chances(SEED);
  const touch = hand(wire, chance);
  const seen = { touches: 0, rests: 0, warned: 0, left: 0, pages: new Set(), opened: new Set() };
  const figures = [];
  for (let part = 0; part < PARTS; part++) {
    const shelf = part === PARTS - 1;
    if (shelf) await soon(page.goto(site.base + SHELF), 10_000);
    const end = Date.now() + WHOLE / SPEED / PARTS;
    while (Date.now() < end) {
      // Somebody stands there for a while, and then perhaps goes.
      for (let i = 3 + Math.floor(chance() * 15); i > 0 && Date.now() < end; i--, seen.touches++) {
        await touch(shelf);
        await pause(20 + chance() * 120);
      }
      const state = await soon(page.evaluate(() => ({
        path: location.pathname,
        open: document.querySelector("html:not(.resting) .leaf.open")?.id ?? null,
      })));
      if (state) {
        seen.pages.add(state.path);
        if (state.open) seen.opened.add(state.open);
      }
      if (chance() < 0.6) {
        seen.rests++;
        await pause(chance() * 1800);
        const left = await soon(page.evaluate(() => ({ warned: !document.querySelector("[data-still-there]").hidden, rests: document.documentElement.classList.contains("resting") })));
        if (left?.warned) seen.warned++;
        if (left?.rests) seen.left++;
      }
    }
    // Everybody has gone: the screen rests, and is looked at in the same state each time.
    await pause(1200);
    await rested(page, site.base + ALONE);
    await pause(500);
    figures.push(await look(wire, desk));
  }
  for (const f of figures) t.diagnostic(Object.entries(f).map(([key, n]) => `${key} ${key === "heap" || key === "resident" ? `${(n / 1e6).toFixed(1)} MB` : n}`).join(", "));
  t.diagnostic(`${seen.touches} touches, ${seen.rests} pauses, of them ${seen.warned} seen warning and ${seen.left} begun anew; ${seen.pages.size} pages, ${seen.opened.size} leaves opened; seed ${SEED}`);

  // What was still being fetched when a page was left is not a fault.
  const bad = () => faults.filter((fault) => !fault.startsWith("request failed"));
  assert.deepEqual(bad(), []);
  assert.ok(seen.touches > 120 && seen.left > 0 && seen.opened.size > 0, "hardly used");
  assert.ok([...seen.pages].every((path) => /\/kiosk\//.test(path)), `left the gallery's screens: ${[...seen.pages].join(" ")}`);
  const first = figures[0];
  for (const last of figures.slice(1)) {
    for (const [key, [share, some]] of Object.entries(MORE)) {
      assert.ok(last[key] <= first[key] * (1 + share) + some, `${key}: ${first[key]}, later ${last[key]}`);
    }
  }
  const stay = (Math.max(...stays, Date.now() - since) * SPEED) / 3600_000;
  t.diagnostic(`the longest stay on one page: ${stay.toFixed(1)} h`);
  assert.ok(stay > 0.5, "no page was stayed on for long");

  // Alive: it begins at a touch, opens a detail and turns the object.
  await page.evaluate("hurry(1)");
  const canvas = page.locator(".sheet canvas:visible");
  await page.tap("[data-begin]");
  await page.waitForSelector("html:not(.resting)");
  await page.locator("[data-panel-key] [data-detail] a").first().tap();
  await page.waitForSelector(".leaf.open");
  const view = await canvas.getAttribute("aria-label");
  await canvas.focus();
  for (let i = 0; i < 6; i++) await page.keyboard.press("ArrowRight");
  await page.waitForFunction((before) => document.querySelector(".sheet canvas:not([hidden])").getAttribute("aria-label") !== before, view);
  assert.deepEqual(bad(), []);
});
