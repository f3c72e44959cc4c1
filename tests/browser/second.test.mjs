// The main walks in a second browser: every page read and judged, the model turned, pages kept with the server
// gone, the gallery's screen, the copy on a disk. DISPLAY_DIR names the site, CARRY_DIR the copy.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import * as checks from "./checks.mjs";
import { launch, open, until } from "./second.mjs";
import { pages, serve } from "./site.mjs";

const { DISPLAY_DIR: folder, CARRY_DIR: stick } = process.env;
assert.ok(folder && stick, "DISPLAY_DIR must name the published site, and CARRY_DIR the copy for a disk");
const OBJECT = "brackwater-mortar/";
const PHONE = { width: 390, height: 844 };

let site, firefox;
before(async () => {
  site = await serve(folder);
  firefox = await launch();
});
after(async () => {
  await firefox?.close();
  site?.close();
});

const word = (page, key) => page.$eval(`[data-word="${key}"]`, (e) => e.textContent);
const press = (page, label) => page.evaluate((text) => [...document.querySelectorAll("button")].find((b) => b.offsetParent && b.textContent === text).click(), label);
const modelled = (page) => until(page, () => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label")), null, 60_000);
const label = (page) => page.evaluate(() => [...document.querySelectorAll(".sheet canvas")].find((c) => c.offsetParent).getAttribute("aria-label"));
const changed = (page, before) => until(page, (was) => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label") !== was), before);

test("every page of the first language is whole, as wide as the phone, and axe-core finds nothing", async () => {
  const language = (path) => readFileSync(join(folder, path, "index.html"), "utf8").match(/<html[^>]*lang="?([\w-]+)/)[1];
  const own = pages(folder).filter((path) => !path.endsWith(".html") && !/(^|\/)kiosk\//.test(path) && language(path) === language(""));
  assert.ok(own.length > 20);
  const found = [];
  for (const path of own) {
    const { page, faults } = await open(firefox.browser, site.base + path, PHONE);
    const broken = await page.evaluate(async () => {
      for (const image of document.images) image.loading = "eager";
      await Promise.all([...document.images].map((image) => image.decode().catch(() => {})));
      return [...document.images].filter((image) => image.naturalWidth === 0).map((image) => `no picture ${image.currentSrc || image.src}`);
    });
    const told = [...broken, ...(await checks.overflow(page)), ...(await checks.axe(page)), ...faults];
    found.push(...told.map((fault) => `/${path}: ${fault}`));
    await page.close();
  }
  assert.deepEqual(found, []);
});

test("the model takes the still's place, is turned, led to a detail, lit, measured, compared and exchanged", async () => {
  const { page, faults } = await open(firefox.browser, site.base + OBJECT);
  await modelled(page);
  let before = await label(page);
  await page.focus(".sheet canvas");
  for (let i = 0; i < 6; i++) await page.keyboard.press("ArrowLeft");
  await changed(page, before);
  before = await label(page);
  await page.click("[data-key] > [data-detail] a");
  await changed(page, before);
  assert.ok((await page.evaluate(() => location.hash)).length > 1, "the address bar carries the place");
  assert.ok(await page.$('[data-key] > [aria-current="true"]'));
  await press(page, await word(page, "home_view"));
  await until(page, () => location.hash === "");
  // Until the way home is at its end: what is told there would take the place of what the lamp tells.
  await until(page, () => {
    const told = [...document.querySelectorAll(".living")].map((e) => e.textContent).join();
    if (window.told?.words !== told) window.told = { words: told, since: performance.now() };
    return performance.now() - window.told.since > 2000;
  });

  await press(page, await word(page, "ruler_on"));
  const box = await (await page.$(".sheet canvas")).boundingBox();
  for (const x of [0.45, 0.55]) await page.mouse.click(box.x + box.width * x, box.y + box.height * 0.55);
  await until(page, () => [...document.querySelectorAll(".ruler .figure")].some((e) => /\d.*±.*\d/.test(e.textContent)));
  await press(page, await word(page, "ruler_off"));
  await press(page, await word(page, "lamp_on"));
  await until(page, (text) => [...document.querySelectorAll(".living")].some((e) => e.offsetParent && e.textContent.includes(text)), await word(page, "light_upper_left"));
  await press(page, await word(page, "lamp_off"));
  await press(page, await word(page, "show_differences"));
  await until(page, () => document.querySelector(".shown [aria-pressed=true]") !== null);
  await page.click('input[name="body"][value="original"]');
  await until(page, () => [...document.querySelectorAll('.plate[data-body="original"] .sheet canvas')].some((c) => c.offsetParent), null, 60_000);
  assert.deepEqual(faults, []);
  await page.close();
});

test("where no model can be drawn the still stays, with a sentence", async () => {
  const plain = await launch({ model: false });
  try {
    const { page, faults } = await open(plain.browser, site.base + OBJECT, PHONE);
    await until(page, (text) => [...document.querySelectorAll(".living")].some((e) => e.offsetParent && e.textContent === text), await word(page, "no_webgl"));
    const shown = await page.$$eval(".sheet .still", (all) => all.filter((still) => still.offsetParent && still.naturalWidth > 0).length);
    assert.equal(shown, 1, "the still of the body that is looked at");
    assert.deepEqual(faults, []);
  } finally {
    await plain.close();
  }
});

test("pages are kept, and read with the server gone", async () => {
  const own = await serve(folder);
  const { page } = await open(firefox.browser, own.base + OBJECT, PHONE);
  await until(page, () => document.querySelector(".keeping")?.textContent.includes("These pages are kept"), null, 90_000);
  await page.close();
  own.close();
  await assert.rejects(fetch(own.base), "the server is gone");
  for (const path of [OBJECT, `${OBJECT}details/lip-patch/`, `cy/${OBJECT}what-differs/`]) {
    const { page } = await open(firefox.browser, own.base + path, PHONE);
    assert.ok(await page.$eval("h1", (h) => h.textContent.length > 0 && getComputedStyle(h).fontFamily !== ""));
    await page.close();
  }
  const { page: again } = await open(firefox.browser, own.base + OBJECT);
  await modelled(again);
  await again.close();
});

test("a screen in the gallery begins at a touch and opens a detail", async () => {
  const { page, faults } = await open(firefox.browser, `${site.base}${OBJECT}kiosk/`, { width: 1380, height: 900 });
  await modelled(page);
  await page.click("[data-begin]");
  await page.waitForSelector("html:not(.resting)");
  await page.click("[data-panel-key] [data-detail] a");
  await page.waitForSelector(".leaf.open");
  assert.equal(await page.evaluate(() => location.hash), "");
  assert.deepEqual(faults, []);
  await page.close();
});

test("the copy on a disk shows its pictures and draws its model", async () => {
  const base = pathToFileURL(stick).href.replace(/\/?$/, "/");
  const { page, faults } = await open(firefox.browser, `${base}${OBJECT}index.html`);
  await modelled(page);
  const before = await label(page);
  await page.focus(".sheet canvas");
  for (let i = 0; i < 6; i++) await page.keyboard.press("ArrowLeft");
  await changed(page, before);
  assert.deepEqual(await page.evaluate(() => [...document.images].filter((i) => i.complete && i.naturalWidth === 0 && i.loading !== "lazy").map((i) => i.src)), []);
  assert.deepEqual(faults, []);
  await page.close();
});
