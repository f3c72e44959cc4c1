// Raking light: pictures chosen without script, and a lamp carried in the viewer by drag or by key.

import assert from "node:assert/strict";
import { test } from "node:test";
import { DESKTOP, PHONE, open } from "./browser.mjs";
import { browser, displayed, having, site } from "./display.mjs";

const raked = having("data-light");
const objects = having("data-stage");
displayed();

test("inscriptions, and what a record asks for, are raked in every language", () => {
  for (const id of ["inscription-band", "token-inscription", "mould-seam"]) {
    assert.equal(raked.filter((p) => p.includes(id)).length, 2, id);
  }
  assert.equal(raked.length, 6);
});

test("without script, arrow keys change the light on both bodies, and nothing else does", async () => {
  const context = await browser.newContext({ viewport: DESKTOP, javaScriptEnabled: false });
  const { page, faults } = await open(context, site.base, raked.find((p) => p.includes("inscription-band")));
  const seen = async () => {
    const all = await page.locator("[data-light]").all();
    const visible = await Promise.all(all.map(async (l) => ((await l.isVisible()) ? l : null)));
    const now = visible.filter(Boolean);
    assert.equal(now.length, 1, "one light at a time");
    assert.equal(await now[0].locator("img").count(), 2, "original and replica");
    return now[0].getAttribute("data-light");
  };
  assert.equal(await seen(), "combined");
  await page.waitForTimeout(1500);
  assert.equal(await seen(), "combined", "nothing plays by itself");
  await page.locator('input[value="combined"]').focus();
  const walk = [];
  for (let i = 0; i < 10; i++) {
    await page.keyboard.press("ArrowRight");
    walk.push(await seen());
  }
  assert.deepEqual(walk, ["right", "lower-left", "below", "lower-right", "even", "upper-left", "above", "upper-right", "left", "combined"]);
  // By its words, as someone says them who sees the label.
  await page.getByLabel("from the left", { exact: true }).check();
  assert.equal(await seen(), "left");
  const alt = await page.locator('[data-light="left"] img').first().getAttribute("alt");
  assert.match(alt, /from the left/);
  assert.deepEqual(faults, []);
  await context.close();
});

test("each light is another picture, and lamps from opposite sides light opposite flanks", async () => {
  const path = raked.find((p) => p.includes("inscription-band"));
  const context = await browser.newContext({ viewport: DESKTOP });
  const { page } = await open(context, site.base, path);
  const greys = {};
  for (const light of ["left", "right", "above", "below", "combined", "even"]) {
    await page.check(`input[value="${light}"]`);
    greys[light] = await page.evaluate(async (name) => {
      const img = document.querySelector(`[data-light="${name}"] img`);
      await img.decode();
      const pen = new OffscreenCanvas(160, 128).getContext("2d");
      pen.drawImage(img, 0, 0, 160, 128);
      const { data } = pen.getImageData(0, 0, 160, 128);
      return Array.from({ length: data.length / 4 }, (_, i) => data[4 * i]);
    }, light);
  }
  const apart = (a, b) => greys[a].reduce((sum, v, i) => sum + Math.abs(v - greys[b][i]), 0) / greys[a].length;
  for (const [a, b] of [["left", "right"], ["above", "below"], ["left", "even"], ["combined", "left"]]) {
    assert.ok(apart(a, b) > 6, `${a} and ${b}: ${apart(a, b)}`);
  }
  // Deviations from the mean of both: where one lamp lights, the other leaves shadow.
  const mean = (a) => greys[a].reduce((x, y) => x + y, 0) / greys[a].length;
  const together = greys.left.reduce((sum, v, i) => sum + (v - mean("left")) * (greys.right[i] - mean("right")), 0);
  assert.ok(together < 0, "left and right disagree about flanks");
  await context.close();
});

test("without styles every picture is there, with a caption that tells its light", async () => {
  const context = await browser.newContext({ viewport: PHONE });
  await context.route("**/*.css", (route) => route.abort());
  const page = await context.newPage();
  await page.goto(site.base + raked.find((p) => p.includes("mould-seam")), { waitUntil: "load" });
  const captions = await page.locator("[data-light] figcaption").allInnerTexts();
  assert.equal(captions.length, 20);
  assert.equal(new Set(captions).size, 20);
  assert.equal(await page.locator("[data-light] img >> visible=true").count(), 20);
  await context.close();
});

test("on paper there is the combined picture, and a strip of all others", async () => {
  const context = await browser.newContext({ viewport: { width: 760, height: 1100 } });
  const { page } = await open(context, site.base, raked.find((p) => p.includes("inscription-band")));
  await page.emulateMedia({ media: "print" });
  const widths = await page.locator("[data-light]").evaluateAll((all) => all.map((l) => [l.dataset.light, l.getBoundingClientRect().width]));
  const combined = widths.find(([name]) => name === "combined")[1];
  assert.equal(widths.length, 10);
  for (const [name, width] of widths) {
    assert.ok(width > 60, `${name} is ${width} wide`);
    if (name !== "combined") assert.ok(width < combined / 3, `${name}: ${width} of ${combined}`);
  }
  assert.equal(await page.locator(".lamps").isVisible(), false);
  await context.close();
});

/** The mortar's page with its model in place and its first words said. */
async function ready(settings = {}) {
  const context = await browser.newContext({ viewport: DESKTOP, reducedMotion: "reduce", ...settings });
  const { page, faults } = await open(context, site.base, objects.find((p) => p.includes("mortar") && !p.startsWith("cy/")));
  await page.waitForSelector(".sheet canvas", { state: "visible", timeout: 90_000 });
  await page.waitForFunction(() => {
    const living = [...document.querySelectorAll(".living")].find((e) => e.offsetParent);
    const canvas = living?.closest(".plate").querySelector("canvas");
    return living?.textContent && canvas?.getAttribute("aria-label")?.startsWith(living.textContent);
  }, null, { timeout: 90_000 });
  return { page, faults, context };
}

/** Mean brightness of the left, right, upper and lower half of the object on its canvas. */
async function halves(page) {
  await page.waitForTimeout(600);
  const shot = await page.locator(".sheet canvas >> visible=true").screenshot();
  return page.evaluate(async (text) => {
    const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
    const bitmap = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
    const [w, h] = [bitmap.width, bitmap.height];
    const pen = new OffscreenCanvas(w, h).getContext("2d");
    pen.drawImage(bitmap, 0, 0);
    const { data } = pen.getImageData(0, 0, w, h);
    const mean = (x0, x1, y0, y1) => {
      let [sum, n] = [0, 0];
      for (let y = Math.round(y0 * h); y < y1 * h; y++) for (let x = Math.round(x0 * w); x < x1 * w; x++, n++) sum += data[4 * (y * w + x)];
      return sum / n;
    };
    // Within the wall of the mortar.
    return { left: mean(0.36, 0.46, 0.35, 0.75), right: mean(0.54, 0.64, 0.35, 0.75), all: mean(0.36, 0.64, 0.35, 0.75) };
  }, shot.toString("base64"));
}

const word = (page, key) => page.evaluate((k) => document.querySelector(`[data-word="${k}"]`).textContent, key);
const said = (page, pattern) =>
  page.waitForFunction((source) => [...document.querySelectorAll(".living")].some((e) => e.offsetParent && new RegExp(source).test(e.textContent)), pattern);

test("the lamp is lit, carried and put away by key alone, and it is said", async () => {
  const { page, faults, context } = await ready();
  const before = await halves(page);
  const lamp = page.getByRole("button", { name: await word(page, "lamp_on"), exact: true }).locator("visible=true").first();
  assert.equal(await lamp.getAttribute("aria-pressed"), "false");
  await lamp.focus();
  await page.keyboard.press("Enter");
  assert.equal(await lamp.getAttribute("aria-pressed"), "true");
  await said(page, "upper left");
  const [bearing, height] = [0, 1].map((i) => page.locator(".lamp-group input >> visible=true").nth(i));
  await page.keyboard.press("Tab");
  // Along the buttons to the first slider.
  for (let i = 0; i < 12 && !(await bearing.evaluate((e) => e === document.activeElement)); i++) await page.keyboard.press("Tab");
  assert.ok(await bearing.evaluate((e) => e === document.activeElement), "the slider is reached by Tab");
  for (let i = 0; i < 9; i++) await page.keyboard.press("ArrowLeft");
  assert.equal(await bearing.getAttribute("aria-valuetext"), await word(page, "light_left"));
  await said(page, "from the left");
  const left = await halves(page);
  // A tenth of the whole turn each.
  for (let i = 0; i < 5; i++) await page.keyboard.press("PageDown");
  await said(page, "from the right");
  const right = await halves(page);
  assert.ok(left.left > left.right + 15, `lit from the left: ${left.left} and ${left.right}`);
  assert.ok(right.right > right.left + 15, `lit from the right: ${right.left} and ${right.right}`);
  await page.keyboard.press("Tab");
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowRight");
  assert.equal(await height.inputValue(), "30");
  await page.getByRole("button", { name: await word(page, "lamp_off"), exact: true }).locator("visible=true").first().press("Enter");
  await said(page, await word(page, "lamp_gone"));
  assert.equal(await lamp.getAttribute("aria-pressed"), "false");
  assert.ok(await lamp.evaluate((e) => e === document.activeElement), "the focus is not lost");
  const after = await halves(page);
  assert.ok(Math.abs(after.all - before.all) < 2, `${before.all}, then ${after.all}`);
  assert.deepEqual(faults, []);
  await context.close();
});

test("while the lamp is lit a drag carries it and does not turn the object; keys still turn it", async () => {
  const { page, context } = await ready({ viewport: PHONE });
  const canvas = page.locator(".sheet canvas >> visible=true");
  const label = () => canvas.getAttribute("aria-label");
  await page.getByRole("button", { name: await word(page, "lamp_on"), exact: true }).locator("visible=true").first().click();
  await said(page, "upper left");
  const before = await label();
  // Reaching for the button may have scrolled a part of the drawing away.
  await canvas.scrollIntoViewIfNeeded();
  const box = await canvas.boundingBox();
  await page.mouse.move(box.x + box.width * 0.5, box.y + box.height * 0.5);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.52, box.y + box.height * 0.92, { steps: 6 });
  await page.mouse.up();
  await said(page, "from below");
  assert.equal(await label(), before, "the view is the same");
  await canvas.focus();
  for (let i = 0; i < 6; i++) await page.keyboard.press("ArrowRight");
  await page.waitForFunction((b) => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label") !== b), before);
  await context.close();
});

test("a turn is told although the lamp is told meanwhile", async () => {
  const { page, context } = await ready();
  await page.getByRole("button", { name: await word(page, "lamp_on"), exact: true }).locator("visible=true").first().click();
  await said(page, "upper left");
  const before = await page.locator(".sheet canvas >> visible=true").getAttribute("aria-label");
  await page.evaluate(() => {
    const seen = (all) => [...document.querySelectorAll(all)].find((e) => e.offsetParent);
    const turn = new KeyboardEvent("keydown", { key: "ArrowRight", bubbles: true });
    for (let i = 0; i < 6; i++) seen(".sheet canvas").dispatchEvent(turn);
    const bearing = seen(".lamp-group input");
    bearing.value = "90";
    bearing.dispatchEvent(new Event("input", { bubbles: true }));
  });
  await said(page, "from the right");
  await page.waitForFunction((b) => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label") !== b), before);
  await context.close();
});

test("turning the page keeps the lamp, so that both bodies are seen in one light", async () => {
  const { page, context } = await ready();
  await page.getByRole("button", { name: await word(page, "lamp_on"), exact: true }).locator("visible=true").first().click();
  await page.locator(".lamp-group input >> visible=true").first().fill("90");
  await said(page, "from the right");
  await page.check('input[name="body"][value="original"]');
  await page.waitForSelector('[data-body="original"] .lamp-group', { state: "visible", timeout: 90_000 });
  assert.equal(await page.locator(".lamp-group input >> visible=true").first().inputValue(), "90");
  const lit = await halves(page);
  assert.ok(lit.right > lit.left + 15, `the original is lit from the right: ${lit.left} and ${lit.right}`);
  await page.getByRole("button", { name: await word(page, "lamp_off"), exact: true }).locator("visible=true").first().click();
  await page.check('input[name="body"][value="replica"]');
  await page.waitForSelector('[data-body="replica"] canvas', { state: "visible" });
  assert.equal(await page.locator(".lamp-group >> visible=true").count(), 0);
  await context.close();
});

test("frames are drawn only while something changes", async () => {
  const context = await browser.newContext({ viewport: DESKTOP, reducedMotion: "reduce" });
  await context.addInitScript(() => {
    globalThis.drawn = 0;
    const draw = WebGL2RenderingContext.prototype.drawElements;
    WebGL2RenderingContext.prototype.drawElements = function (...rest) {
      globalThis.drawn++;
      return draw.apply(this, rest);
    };
  });
  const { page } = await open(context, site.base, objects.find((p) => p.includes("mortar") && !p.startsWith("cy/")));
  await page.waitForSelector(".lamp-group", { state: "attached", timeout: 90_000 });
  await page.getByRole("button", { name: await word(page, "lamp_on"), exact: true }).locator("visible=true").first().click();
  await said(page, "upper left");
  await page.waitForTimeout(1500);
  const still = await page.evaluate(() => globalThis.drawn);
  assert.ok(still > 0);
  await page.waitForTimeout(1000);
  assert.equal(await page.evaluate(() => globalThis.drawn), still, "a lamp that stands still draws nothing");
  await page.locator(".lamp-group input >> visible=true").first().press("ArrowLeft");
  await page.waitForFunction((n) => globalThis.drawn > n, still);
  await context.close();
});
