// The states that a visitor brings a page into: judged by axe-core, told by the accessibility tree, and looked at
// in four sizes. RTL_DIR names a site whose second language is written from right to left.

import assert from "node:assert/strict";
import { test } from "node:test";
import { DESKTOP, NARROW, open, PHONE } from "./browser.mjs";
import * as checks from "./checks.mjs";
import { browser, displayed, site } from "./display.mjs";
import { samePicture, sameText } from "./kept.mjs";
import { pages, serve } from "./site.mjs";
import { tree } from "./tree.mjs";

displayed();
const [MORTAR, TOKEN] = ["brackwater-mortar/", "pilgrim-token/"];
const KIOSK = `${MORTAR}kiosk/`;
const LANDSCAPE = { width: 844, height: 390 };
const WIDE = { width: 1920, height: 1080 };
const TALL = { width: 1080, height: 1920 };

/** A page with its model in place and its first words said; no word about keeping pages comes between. */
async function ready(path, settings = {}, base = site.base) {
  const context = await browser.newContext({ viewport: DESKTOP, reducedMotion: "reduce", serviceWorkers: "block", ...settings });
  const { page, faults } = await open(context, base, path);
  if ((await page.locator("[data-stage]").count()) && settings.javaScriptEnabled !== false) {
    await page.waitForFunction(() => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label")), null, { timeout: 90_000 });
    await page.waitForTimeout(700);
  }
  return { page, faults, context };
}
const word = (page, key) => page.evaluate((k) => document.querySelector(`[data-word="${k}"]`).textContent, key);
const press = async (page, key) => page.getByRole("button", { name: await word(page, key), exact: true }).locator("visible=true").first().click();
const settle = (page) => page.waitForTimeout(700);

/** What a visitor does, by the state that it leads to. */
const STATES = {
  still: async () => {},
  "detail-open": (page) => page.locator('[data-key] > [data-detail="inscription-band"] a').first().click(),
  "next-detail": async (page) => {
    await page.locator('[data-key] > [data-detail="inscription-band"] a').first().click();
    await press(page, "next");
  },
  comparison: async (page) => {
    await press(page, "show_differences");
    await page.waitForFunction(() => document.querySelector(".shown [aria-pressed=true] ~ *, .shown [aria-pressed=true]"));
  },
  lamp: (page) => press(page, "lamp_on"),
  ruler: (page) => press(page, "ruler_on"),
  lifted: (page) => press(page, "lift_parts"),
  original: (page) => page.locator('input[name="body"][value="original"]').check(),
  lost: (page) =>
    page.evaluate(() => {
      HTMLCanvasElement.prototype.getContext = () => null;
      document.querySelector(".sheet canvas").dispatchEvent(new Event("webglcontextlost", { cancelable: true }));
    }),
};

for (const [name, act] of Object.entries(STATES)) {
  test(`axe-core and the accessibility tree: ${name}`, async () => {
    const { page, faults, context } = await ready(MORTAR);
    await act(page);
    await settle(page);
    if (name === "original") await page.waitForFunction(() => [...document.querySelectorAll('[data-body="original"] .sheet canvas')].some((c) => c.offsetParent && c.getAttribute("aria-label")), null, { timeout: 90_000 });
    assert.deepEqual(await checks.axe(page), []);
    sameText(`tree/mortar-${name}.txt`, await tree(page, "region"));
    assert.deepEqual(faults, []);
    await context.close();
  });
}

test("the figure is one picture with a living description, and turns are told politely, once", async () => {
  const { page, context } = await ready(TOKEN);
  const first = await tree(page, "figure");
  const told = (text) => ({ label: text.match(/image “([^”]*)”/)?.[1] ?? "", said: text.match(/status live=polite\n\s+StaticText “([^”]*)”/)?.[1] ?? "" });
  const before = told(first);
  assert.equal(first.match(/^ +image /gm).length, 1, "one picture");
  assert.equal(first.match(/live=polite/g).length, 1, "one voice");
  assert.ok(before.said.length > 20 && before.label.startsWith(before.said), `${before.label}; ${before.said}`);
  await page.locator(".sheet canvas >> visible=true").focus();
  for (let i = 0; i < 12; i++) await page.keyboard.press("ArrowRight");
  // Told when the figure has come to rest, which a busy machine draws late.
  let after = before;
  for (const end = Date.now() + 90_000; after.said === before.said && Date.now() < end; await page.waitForTimeout(500)) after = told(await tree(page, "figure"));
  assert.notEqual(after.said, before.said);
  assert.ok(after.label.startsWith(after.said));
  await context.close();
});

test("whole pages as a screen reader has them, with and without script", async () => {
  for (const [name, path, settings] of [["token", TOKEN, {}], ["token-without-script", TOKEN, { javaScriptEnabled: false }], ["home", "", {}], ["kiosk-resting", KIOSK, {}]]) {
    const { page, context } = await ready(path, settings);
    sameText(`tree/${name}.txt`, await tree(page));
    await context.close();
  }
});

test("axe-core finds nothing on a gallery screen that rests, is used, and warns", async () => {
  const { page, context } = await ready(KIOSK, { viewport: WIDE, hasTouch: true });
  assert.deepEqual(await checks.axe(page), []);
  await page.click("[data-begin]");
  await page.locator("[data-panel-key] [data-detail] a").first().click();
  await settle(page);
  assert.deepEqual(await checks.axe(page), []);
  // The warning itself, as the clock brings it, is seen in kiosk.test.mjs.
  await page.evaluate(() => (document.querySelector("[data-still-there]").hidden = false));
  assert.deepEqual(await checks.axe(page), []);
  await context.close();
});

test("with colours of the visitor's own, lines, letters and signs take them", async () => {
  for (const scheme of ["light", "dark"]) {
    const { page, faults, context } = await ready(MORTAR, { forcedColors: "active", colorScheme: scheme });
    assert.deepEqual(await checks.axe(page), []);
    const found = await page.evaluate(() => {
      const probe = document.body.appendChild(document.createElement("p"));
      const system = (name) => {
        probe.style.color = name;
        return getComputedStyle(probe).color;
      };
      const [ink, paper, link] = ["CanvasText", "Canvas", "LinkText"].map(system);
      probe.remove();
      const shown = (all) => [...document.querySelectorAll(all)].find((e) => e.getClientRects().length);
      const line = getComputedStyle(shown("g.leader:not(.hidden) .line")).stroke;
      const halo = getComputedStyle(shown("g.leader:not(.hidden) .halo")).stroke;
      const letter = getComputedStyle(shown("g.leader:not(.hidden) text")).fill;
      return { ink, paper, link, line, halo, letter, sheet: getComputedStyle(shown(".sheet")).backgroundColor };
    });
    assert.equal(found.line, found.ink, `${scheme}: lines`);
    assert.equal(found.halo, found.paper, `${scheme}: round lines`);
    assert.ok([found.ink, found.link].includes(found.letter), `${scheme}: letters ${found.letter}`);
    assert.equal(found.sheet, found.paper, `${scheme}: sheet`);
    assert.deepEqual(faults, []);
    await context.close();
  }
});

test("for those who want no motion nothing moves by itself or in passing", async () => {
  const { page, context } = await ready(MORTAR);
  await page.locator('[data-key] > [data-detail="inscription-band"] a').first().click();
  await page.waitForTimeout(150);
  const moving = await page.evaluate(() => document.getAnimations().filter((a) => a.playState === "running" && a.effect.getComputedTiming().duration > 50).map((a) => a.effect.target?.className?.baseVal ?? a.effect.target?.className));
  assert.deepEqual(moving, []);
  const lines = () => page.locator("g.leader:not(.hidden) .line >> visible=true").evaluateAll((all) => all.map((l) => l.getAttribute("d")));
  await page.waitForTimeout(300);
  const at = await lines();
  assert.ok(at.length > 0);
  await page.waitForTimeout(1200);
  assert.deepEqual(await lines(), at, "the view is there at once");
  await context.close();
});

test("a chosen detail's words stand right below the plate, one leads to the next, and home closes them", async () => {
  const { page, context } = await ready(MORTAR, { viewport: PHONE, hasTouch: true, isMobile: true });
  const ids = await page.locator("[data-key] > [data-detail]").evaluateAll((all) => all.map((e) => e.dataset.detail));
  await page.locator(`[data-key] > [data-detail="${ids[0]}"] a`).first().click();
  await settle(page);
  const place = () => page.evaluate(() => {
    const box = (all) => [...document.querySelectorAll(all)].find((e) => e.offsetParent).getBoundingClientRect();
    const [sheet, words] = [box(".sheet"), box(".opened")];
    return { sheet: [sheet.top, sheet.bottom], words: [words.top, words.bottom], height: innerHeight };
  });
  const { sheet, words, height } = await place();
  assert.ok(sheet[0] >= 0 && words[1] <= height, `object and words are in sight together: ${sheet}, ${words} of ${height}`);
  assert.ok(words[0] >= sheet[1], "and the words do not lie over the object");
  await press(page, "next");
  await page.waitForFunction((id) => location.hash === `#${id}`, ids[1]);
  await press(page, "previous");
  await press(page, "previous");
  await page.waitForFunction((id) => location.hash === `#${id}`, ids.at(-1));
  await press(page, "home_view");
  await page.waitForFunction(() => !document.querySelector(".opened"));
  await context.close();

  const side = await ready(MORTAR, { viewport: LANDSCAPE, hasTouch: true, isMobile: true });
  await side.page.locator("[data-key] > [data-detail] a").first().click();
  await settle(side.page);
  const low = await side.page.evaluate(() => {
    const box = (all) => [...document.querySelectorAll(all)].find((e) => e.offsetParent).getBoundingClientRect();
    const [sheet, words] = [box(".sheet"), box(".opened")];
    return { sheet: [sheet.top, sheet.bottom, sheet.right], words: [words.top, words.bottom, words.left], height: innerHeight };
  });
  assert.ok(low.sheet[0] >= -1 && low.sheet[1] <= low.height + 1, `on its side, the whole sheet: ${low.sheet} of ${low.height}`);
  assert.ok(low.words[2] >= low.sheet[2] && low.words[1] <= low.height, `and the words beside it: ${low.words}`);
  await side.context.close();
});

test("from right to left: nothing overflows or is cut, axe-core finds nothing, and Tab follows the page", async (t) => {
  assert.ok(process.env.RTL_DIR, "RTL_DIR names no site");
  const other = await serve(process.env.RTL_DIR);
  t.after(() => other.close());
  const own = pages(process.env.RTL_DIR).filter((path) => path.startsWith("he/") && !/kiosk-tally/.test(path));
  assert.ok(own.length > 20);
  const found = [];
  for (const path of own) {
    for (const viewport of [NARROW, /kiosk/.test(path) ? WIDE : DESKTOP]) {
      if (viewport === NARROW && /kiosk/.test(path)) continue;
      const context = await browser.newContext({ viewport, reducedMotion: "reduce", serviceWorkers: "block" });
      const { page, faults } = await open(context, other.base, path);
      assert.equal(await page.getAttribute("html", "dir"), "rtl");
      const told = [...(await checks.overflow(page)), ...faults];
      if (viewport === DESKTOP && path.split("/").length <= 3) told.push(...(await checks.axe(page)));
      found.push(...told.map((fault) => `/${path} at ${viewport.width}: ${fault}`));
      await context.close();
    }
  }
  const { page, context } = await ready(`he/${MORTAR}`, {}, other.base);
  found.push(...(await checks.keyboard(page)));
  // The key stands on the other side of the plate; scale, letters and the object do not turn round.
  const [plate, key, scale] = await page.evaluate(() => [".sheet", ".key", ".scale"].map((all) => [...document.querySelectorAll(all)].find((e) => e.getClientRects().length).getBoundingClientRect().x));
  assert.ok(key < plate && scale > plate, `${key}, ${plate}, ${scale}`);
  await context.close();
  assert.deepEqual(found, []);
});

const LOOKS = [
  ["home", "", [["phone", PHONE], ["desktop", DESKTOP], ["kiosk", WIDE], ["upright", TALL]]],
  ["mortar", MORTAR, [["phone", PHONE], ["desktop", DESKTOP], ["kiosk", WIDE], ["upright", TALL]]],
  ["detail", `${MORTAR}details/lip-patch/`, [["phone", PHONE], ["desktop", DESKTOP], ["kiosk", WIDE], ["upright", TALL]]],
  ["screen", KIOSK, [["kiosk", WIDE], ["upright", TALL]]],
];
for (const [name, path, sizes] of LOOKS) {
  test(`${name} looks as it did when it was found good`, async () => {
    for (const [size, viewport] of sizes) {
      const { page, context } = await ready(path, { viewport });
      // Pictures that come when they are near are there.
      await page.waitForFunction(() => [...document.images].every((i) => i.complete || i.getBoundingClientRect().top > innerHeight || !i.offsetParent));
      // At rest a gallery screen tours; what it shows then is a matter of when.
      if (path === KIOSK) await page.click("[data-begin]");
      await settle(page);
      await samePicture(page, `look/${name}-${size}.png`, await page.screenshot());
      await context.close();
    }
  });
}
