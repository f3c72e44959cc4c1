// The object in the hand: losing the drawing and getting it back, measuring, going closer, letting go,
// and lifting the parts apart.

import assert from "node:assert/strict";
import { test } from "node:test";
import { DESKTOP, PHONE, open } from "./browser.mjs";
import { browser, displayed, having, site } from "./display.mjs";

const objects = having("data-stage");
const mortar = objects.find((p) => p.includes("mortar") && !p.startsWith("cy/"));
displayed();

/** The mortar's page with its model in place and its first words said. */
async function ready(settings = {}, path = mortar) {
  const context = await browser.newContext({ viewport: DESKTOP, reducedMotion: "reduce", ...settings });
  await context.addInitScript(() => {
    globalThis.drawn = 0;
    const draw = WebGL2RenderingContext.prototype.drawElements;
    WebGL2RenderingContext.prototype.drawElements = function (...rest) {
      globalThis.drawn++;
      return draw.apply(this, rest);
    };
  });
  const { page, faults } = await open(context, site.base, path);
  await page.waitForSelector(".sheet canvas", { state: "visible", timeout: 90_000 });
  await page.waitForFunction(() => {
    const living = [...document.querySelectorAll(".living")].find((e) => e.offsetParent);
    return living?.textContent && living.closest(".plate").querySelector("canvas")?.getAttribute("aria-label")?.startsWith(living.textContent);
  }, null, { timeout: 90_000 });
  return { page, faults, context };
}

const word = (page, key) => page.evaluate((k) => document.querySelector(`[data-word="${k}"]`).textContent, key);
const press = async (page, key) => page.getByRole("button", { name: await word(page, key), exact: true }).locator("visible=true").first().click();
const living = (page) => page.innerText(".living >> visible=true");
const said = async (page, key) => {
  const text = await word(page, key);
  await page.waitForFunction((t) => [...document.querySelectorAll(".living")].some((e) => e.offsetParent && e.textContent.includes(t)), text);
};
const canvas = (page) => page.locator(".sheet canvas >> visible=true");
const rest = (page) => page.waitForTimeout(700);

/** Where the lines of the letters in sight end, in pixels of the sheet. */
const ends = (page) =>
  page.evaluate(() => {
    const sheet = [...document.querySelectorAll(".stage .sheet")].find((s) => s.offsetParent);
    const svg = sheet.querySelector("svg.leaders");
    const scale = sheet.clientWidth / svg.viewBox.baseVal.width;
    return Object.fromEntries(
      [...svg.querySelectorAll("g.leader:not(.hidden)")].map((g) => {
        const n = g.querySelector(".line").getAttribute("d").match(/-?[\d.]+/g).map(Number);
        return [g.dataset.detail, [n[4] * scale, n[5] * scale]];
      }),
    );
  });
const apart = (a, b) => Math.max(...Object.keys(a).filter((id) => b[id]).map((id) => Math.hypot(a[id][0] - b[id][0], a[id][1] - b[id][1])));

/** The view of the page's still, and where a point of the object falls on its sheet. */
const still = (page) =>
  page.evaluate(() => {
    const figure = [...document.querySelectorAll(".stage .plate")].find((e) => e.offsetParent);
    const { width, height, x, y } = figure.querySelector("canvas").getBoundingClientRect();
    const d = figure.dataset;
    return { azimuth: Number(d.azimuth), elevation: Number(d.elevation), half: Number(d.halfHeight), centre: d.centre.trim().split(/\s+/).map(Number), width, height, x, y };
  });
function falls({ azimuth, elevation, half, centre, width, height, x, y }, point) {
  const [a, e] = [azimuth, elevation].map((v) => (v * Math.PI) / 180);
  const [px, py, pz] = point.map((v, k) => v - centre[k]);
  const right = px * Math.cos(a) - pz * Math.sin(a);
  const up = -px * Math.sin(a) * Math.sin(e) + py * Math.cos(e) - pz * Math.cos(a) * Math.sin(e);
  return [x + width / 2 + (right * height) / 2 / half, y + height / 2 - (up * height) / 2 / half];
}
const anchor = (page, id) => page.evaluate((d) => document.querySelector(`[data-key] [data-detail="${d}"]`).dataset.anchor.trim().split(/\s+/).map(Number), id);

const lose = (page) =>
  page.evaluate(() => {
    const c = [...document.querySelectorAll(".sheet canvas")].find((e) => e.offsetParent);
    globalThis.taken = c.getContext("webgl2").getExtension("WEBGL_lose_context");
    globalThis.taken.loseContext();
  });

/** Mean of each of many cells of the canvas, so that two pictures can be compared. */
async function cells(page) {
  await rest(page);
  const shot = await canvas(page).screenshot();
  return page.evaluate(async (text) => {
    const bitmap = await createImageBitmap(new Blob([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], { type: "image/png" }));
    const pen = new OffscreenCanvas(64, 48).getContext("2d");
    pen.drawImage(bitmap, 0, 0, 64, 48);
    return [...pen.getImageData(0, 0, 64, 48).data];
  }, shot.toString("base64"));
}
const differ = (a, b) => a.reduce((sum, v, i) => sum + Math.abs(v - b[i]), 0) / a.length;

test("a drawing that is lost three times comes back three times as it was, and the still stands in", async () => {
  // So high that the whole drawing is in sight: scrolled by half a pixel, every edge would be another.
  const { page, faults, context } = await ready({ viewport: { ...DESKTOP, height: 1500 } });
  const printed = await page.evaluate(() => fetch("").then((r) => r.text()).then((t) => {
    const stage = new DOMParser().parseFromString(t, "text/html").querySelector('.plate[data-body="replica"]');
    return [...stage.querySelectorAll("g.leader .line")].map((l) => l.getAttribute("d"));
  }));
  await press(page, "show_differences");
  await said(page, "difference_shown");
  await press(page, "lamp_on");
  await press(page, "lift_parts");
  await canvas(page).focus();
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowRight");
  await rest(page);
  const [before, places, label] = [await cells(page), await ends(page), await canvas(page).getAttribute("aria-label")];
  await page.keyboard.press("Home");
  await rest(page);
  assert.ok(differ(before, await cells(page)) > 2, "the first view is another picture");
  await press(page, "lift_parts");
  await canvas(page).focus();
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowRight");
  await rest(page);
  for (let time = 0; time < 3; time++) {
    await lose(page);
    await said(page, "model_lost");
    assert.equal(await page.locator(".sheet canvas >> visible=true").count(), 0);
    assert.ok(await page.locator(".sheet .still >> visible=true").count(), "the still stands in");
    const lines = await page.locator('.plate[data-body="replica"] g.leader:not(.hidden) .line').evaluateAll((all) => all.map((l) => l.getAttribute("d")));
    assert.deepEqual(lines, printed, "the letters are those of the still");
    if (time === 2) {
      // This wait would be the longest of the three; the device gives the canvas back before it ends.
      const since = Date.now();
      await page.evaluate(() => setTimeout(() => globalThis.taken.restoreContext(), 300));
      await said(page, "model_back");
      assert.ok(Date.now() - since < 3500, "it does not wait longer than it must");
    } else {
      await said(page, "model_back");
    }
    assert.ok(differ(before, await cells(page)) < 1, `time ${time}: the picture is as it was`);
    assert.ok(apart(places, await ends(page)) < 1.5 && Object.keys(places).join() === Object.keys(await ends(page)).join(), "and so are the letters");
    assert.equal(await canvas(page).getAttribute("aria-label"), label);
    assert.ok(await canvas(page).evaluate((c) => c === document.activeElement), "the keyboard is where it was");
  }
  assert.deepEqual(faults, []);
  await context.close();
});

test("a drawing that cannot be had again leaves the still, with a sentence, until it is asked for", async () => {
  const { page, context } = await ready();
  // Time runs a hundred times as fast for the waits between the tries.
  await page.evaluate(() => {
    const [later, get] = [window.setTimeout, HTMLCanvasElement.prototype.getContext];
    window.setTimeout = (act, wait, ...rest) => later(act, wait / 100, ...rest);
    HTMLCanvasElement.prototype.getContext = function (...rest) {
      globalThis.asked = (globalThis.asked ?? 0) + 1;
      return globalThis.giving ? get.apply(this, rest) : null;
    };
    globalThis.bring = () => {
      globalThis.giving = true;
      HTMLCanvasElement.prototype.getContext = get;
    };
  });
  const c = await canvas(page).elementHandle();
  await c.evaluate((e) => e.dispatchEvent(new Event("webglcontextlost", { cancelable: true })));
  await said(page, "model_gone");
  const asked = await page.evaluate(() => globalThis.asked);
  assert.ok(asked >= 2 && asked <= 5, `a few tries: ${asked}`);
  await page.waitForTimeout(500);
  assert.equal(await page.evaluate(() => globalThis.asked), asked, "and then no more");
  assert.equal(await page.locator(".hand button >> visible=true").count(), 0, "buttons that would do nothing are gone");
  assert.ok(await page.locator(".sheet .still >> visible=true").count());
  await page.evaluate(() => globalThis.bring());
  const again = page.getByRole("button", { name: await word(page, "model_again"), exact: true });
  await again.focus();
  await page.keyboard.press("Enter");
  await said(page, "model_back");
  assert.ok(await canvas(page).isVisible());
  assert.ok(await canvas(page).evaluate((e) => e === document.activeElement));
  assert.ok((await page.locator(".hand button >> visible=true").count()) > 6);
  await context.close();
});

/** What the figure on the sheet says: millimetres and their ±. */
const measured = async (page) => {
  const text = await page.locator(".ruler .figure >> visible=true").textContent();
  const [mm, uncertainty] = text.match(/[\d.,]+/g).map((t) => Number(t.replace(",", ".")));
  return { mm, uncertainty, text };
};

test("every object can be measured, in every language", async () => {
  for (const path of objects) {
    const { page, context } = await ready({}, path);
    await press(page, "ruler_on");
    await canvas(page).scrollIntoViewIfNeeded();
    const box = await canvas(page).boundingBox();
    for (const x of [0.45, 0.55]) await page.mouse.click(box.x + box.width * x, box.y + box.height * 0.55);
    const { mm, uncertainty } = await measured(page);
    assert.ok(mm > 1 && uncertainty > 0 && uncertainty < mm, `${path}: ${mm} ± ${uncertainty}`);
    await context.close();
  }
});

test("a distance between two keyed places is that of the scan, within what it says of itself", async () => {
  for (const [viewport, scale] of [[PHONE, 1], [DESKTOP, 1], [{ width: 1920, height: 1080 }, 2]]) {
    const { page, context } = await ready({ viewport, deviceScaleFactor: scale });
    if (scale === 2) await page.waitForSelector('.plate[data-body="replica"][data-level="2"]', { timeout: 90_000 });
    await press(page, "ruler_on");
    await canvas(page).scrollIntoViewIfNeeded();
    const ids = Object.keys(await ends(page)).slice(0, 5);
    const off = [];
    for (let i = 0; i + 1 < ids.length; i++) {
      const points = [await anchor(page, ids[i]), await anchor(page, ids[i + 1])];
      // Where the drawing stands is asked each time: a font that comes late moves it.
      for (const point of points) await page.mouse.click(...falls(await still(page), point));
      const { mm, uncertainty } = await measured(page);
      const true_ = Math.hypot(...points[0].map((v, k) => v - points[1][k]));
      off.push(Math.abs(mm - true_));
      assert.ok(Math.abs(mm - true_) <= uncertainty, `${ids[i]} to ${ids[i + 1]}: ${mm} ± ${uncertainty}, ${true_} on the scan`);
    }
    const { uncertainty } = await measured(page);
    console.log(`# at ${viewport.width} px: off by at most ${Math.max(...off).toFixed(2)} mm, the last told as ± ${uncertainty} mm`);
    await context.close();
  }
});

test("the rim, measured from above, is as wide as the callipers had it", async () => {
  // On the finest model: the first may stray from the scan by more than the pixels that are aimed at.
  const { page, context } = await ready({ viewport: { width: 1920, height: 1080 }, deviceScaleFactor: 2 });
  await page.waitForSelector('.plate[data-body="replica"][data-level="2"]', { timeout: 90_000 });
  await canvas(page).focus();
  for (let i = 0; i < 8; i++) await page.keyboard.press("ArrowUp");
  await rest(page);
  await press(page, "ruler_on");
  await canvas(page).scrollIntoViewIfNeeded();
  // The record's own places and reading: content/brackwater-mortar/record.toml, bodies.replica.calipers.
  const view = { ...(await still(page)), elevation: 80 };
  for (const point of [[0, 127.16, 75.45], [0.26, 126.34, -75.28]]) {
    const [x, y] = falls(view, point);
    // The outermost line itself is a hair off the surface: half a pixel inwards.
    await page.mouse.click(x, y + (point[2] > 0 ? -0.5 : 0.5));
  }
  const { mm, uncertainty } = await measured(page);
  console.log(`# rim: ${mm} ± ${uncertainty} mm, by callipers 150.8 ± 0.2 mm`);
  assert.ok(Math.abs(mm - 150.8) <= Math.hypot(uncertainty, 0.2), `${mm} ± ${uncertainty}`);
  await context.close();
});

test("two details are measured by key alone, told by their titles, and the ruler is put away", async () => {
  const { page, faults, context } = await ready();
  const button = page.getByRole("button", { name: await word(page, "ruler_on"), exact: true }).locator("visible=true").first();
  await button.focus();
  await page.keyboard.press("Enter");
  await said(page, "ruler_ready");
  assert.equal(await button.getAttribute("aria-pressed"), "true");
  assert.ok(await page.locator(".ruler-group p").first().isVisible(), "how it is done is told in words");
  const titles = [];
  for (const [id, by] of [["rim-dent", "canvas"], ["lip-patch", "button"]]) {
    const line = page.locator(`[data-key] [data-detail="${id}"]`);
    titles.push(await line.locator(".key-title").innerText());
    await line.locator(".key-link").focus();
    await page.keyboard.press("Enter");
    await page.waitForFunction((hash) => location.hash === hash, `#${id}`);
    await rest(page);
    if (by === "canvas") {
      await canvas(page).focus();
      await page.keyboard.press("Enter");
      await page.waitForFunction((t) => [...document.querySelectorAll(".living")].some((e) => e.offsetParent && e.textContent.includes(t)), titles[0]);
    } else {
      await page.getByRole("button", { name: await word(page, "ruler_set"), exact: true }).locator("visible=true").first().press("Enter");
    }
  }
  const told = await living(page);
  for (const title of titles) assert.ok(told.includes(title), `${title} in “${told}”`);
  assert.ok(told.includes(await word(page, "ruler_how")));
  const { mm, uncertainty } = await measured(page);
  const [a, b] = [await anchor(page, "rim-dent"), await anchor(page, "lip-patch")];
  assert.ok(Math.abs(mm - Math.hypot(...a.map((v, k) => v - b[k]))) <= uncertainty, `${mm} ± ${uncertainty}`);
  await page.keyboard.press("Escape");
  await said(page, "ruler_gone");
  assert.equal(await page.locator(".ruler >> visible=true").count(), 0);
  assert.equal(await button.getAttribute("aria-pressed"), "false");
  assert.ok(await button.evaluate((e) => e === document.activeElement), "the focus is not lost");
  assert.deepEqual(faults, []);
  await context.close();
});

test("the marks move with the object, are broken lines behind it, and beside it nothing is measured", async () => {
  const { page, context } = await ready();
  await press(page, "ruler_on");
  const box = await canvas(page).boundingBox();
  await page.mouse.click(box.x + 30, box.y + 40);
  await said(page, "ruler_missed");
  for (const x of [0.4, 0.55]) await page.mouse.click(box.x + box.width * x, box.y + box.height * 0.6);
  const line = () => page.locator('.plate[data-body="replica"] .ruler path.line').first().evaluate((e) => [e.getAttribute("d"), e.classList.contains("behind")]);
  const figure = (await measured(page)).text;
  const [first, hidden] = await line();
  assert.equal(hidden, false);
  await canvas(page).focus();
  await page.keyboard.press("ArrowRight");
  await rest(page);
  assert.notEqual((await line())[0], first);
  for (let i = 0; i < 11; i++) await page.keyboard.press("ArrowRight");
  await rest(page);
  assert.equal((await line())[1], true, "behind the object");
  assert.equal((await measured(page)).text, figure, "the distance is the same from every side");
  await context.close();
});

test("two touches on a place go closer to it, and from close up further off again", async () => {
  const { page, context } = await ready();
  const first = await ends(page);
  const id = "hare-frieze" in first ? "hare-frieze" : Object.keys(first)[1];
  const box = await canvas(page).boundingBox();
  await page.mouse.dblclick(box.x + first[id][0], box.y + first[id][1]);
  await rest(page);
  const near = await ends(page);
  // The place is in the middle of the sheet now, but for what the line's end lies off the coarse model.
  assert.ok(Math.hypot(near[id][0] - box.width / 2, near[id][1] - box.height / 2) < 6, `${near[id]} of ${box.width} × ${box.height}`);
  await page.mouse.dblclick(box.x + box.width / 2, box.y + box.height / 2);
  await rest(page);
  assert.ok(apart(first, await ends(page)) < 0.5, "all of it is back");
  await page.mouse.dblclick(box.x + 30, box.y + 40);
  await rest(page);
  assert.ok(apart(first, await ends(page)) < 0.5, "beside the object there is nothing to go closer to");
  await context.close();
});

test("Shift with arrows, or the buttons once moving is chosen, move it; it cannot be lost; home brings it back", async () => {
  const { page, context } = await ready();
  const first = await ends(page);
  const box = await canvas(page).boundingBox();
  await canvas(page).focus();
  await page.keyboard.press("Shift+ArrowRight");
  await rest(page);
  const moved = await ends(page);
  for (const [id, [x, y]] of Object.entries(moved)) {
    if (first[id]) assert.ok(Math.abs(x - first[id][0] - box.height * 0.1) < 1.5 && Math.abs(y - first[id][1]) < 1.5, `${id} went right by a tenth of the height`);
  }
  await press(page, "move_instead");
  await press(page, "move_left");
  await rest(page);
  assert.ok(apart(first, await ends(page)) < 1.5);
  for (const [key, times] of [["ArrowLeft", 40], ["ArrowUp", 40]]) for (let i = 0; i < times; i++) await page.keyboard.press(key);
  await canvas(page).focus();
  for (let i = 0; i < 40; i++) await page.keyboard.press("ArrowUp");
  await rest(page);
  const dark = (await cells(page)).filter((v, i) => i % 4 === 0 && v < 120).length;
  assert.ok(dark > 20, `some of it is still in the picture: ${dark}`);
  // Close up, a corner of the box round a round thing is empty: then it is said, with the way back.
  await canvas(page).focus();
  for (let i = 0; i < 16; i++) await page.keyboard.press("+");
  for (const key of ["ArrowRight", "ArrowUp"]) for (let i = 0; i < 60; i++) await page.keyboard.press(key);
  await said(page, "off_sheet");
  await press(page, "home_view");
  await rest(page);
  assert.ok(apart(first, await ends(page)) < 0.5);
  await context.close();
});

/** Fingers on the sheet, as the device tells them; places as shares of the canvas. */
async function fingers(page, context) {
  await canvas(page).evaluate((c) => c.scrollIntoView({ block: "center" }));
  const box = await canvas(page).boundingBox();
  const client = await context.newCDPSession(page);
  return async (type, ...points) => {
    await client.send("Input.dispatchTouchEvent", { type, touchPoints: points.map(([id, x, y]) => ({ id, x: box.x + x * box.width, y: box.y + y * box.height })) });
    await page.waitForTimeout(60);
  };
}

test("two fingers move and spread it as they hold it, and a third one does nothing", async () => {
  const { page, context } = await ready({ viewport: PHONE, hasTouch: true });
  const touch = await fingers(page, context);
  const box = await canvas(page).boundingBox();
  const first = await ends(page);
  await touch("touchStart", [1, 0.4, 0.5]);
  await touch("touchStart", [1, 0.4, 0.5], [2, 0.6, 0.5]);
  for (let i = 1; i <= 5; i++) await touch("touchMove", [1, 0.4 + 0.02 * i, 0.5 + 0.02 * i], [2, 0.6 + 0.02 * i, 0.5 + 0.02 * i]);
  await rest(page);
  const moved = await ends(page);
  assert.ok(Object.keys(moved).length > 3);
  for (const [id, [x, y]] of Object.entries(moved)) {
    if (first[id]) assert.ok(Math.hypot(x - first[id][0] - 0.1 * box.width, y - first[id][1] - 0.1 * box.height) < 2.5, `${id}: ${first[id]} to ${x}, ${y}`);
  }
  // Another hand comes down, moves and goes.
  await touch("touchStart", [1, 0.5, 0.6], [2, 0.7, 0.6], [3, 0.2, 0.2]);
  for (let i = 1; i <= 4; i++) await touch("touchMove", [1, 0.5, 0.6], [2, 0.7, 0.6], [3, 0.2 + 0.1 * i, 0.2]);
  await rest(page);
  assert.ok(apart(moved, await ends(page)) < 1, "a third finger is not heard");
  // The first is lifted while the third is still down: nothing jumps, and the third is not taken instead.
  await touch("touchEnd", [2, 0.7, 0.6], [3, 0.6, 0.2]);
  await touch("touchMove", [2, 0.7, 0.6], [3, 0.9, 0.2]);
  await rest(page);
  assert.ok(apart(moved, await ends(page)) < 1, "nor when one of the two is lifted");
  await touch("touchEnd");
  await rest(page);
  assert.ok(apart(moved, await ends(page)) < 1);
  // Spread to twice the distance: twice as far apart, and what was between the fingers stays there.
  await touch("touchStart", [1, 0.45, 0.5], [2, 0.55, 0.5]);
  for (let i = 1; i <= 5; i++) await touch("touchMove", [1, 0.45 - 0.01 * i, 0.5], [2, 0.55 + 0.01 * i, 0.5]);
  await touch("touchEnd");
  await rest(page);
  const spread = await ends(page);
  const middle = [0.5 * box.width, 0.5 * box.height];
  const common = Object.keys(spread).filter((id) => moved[id]);
  assert.ok(common.length > 0);
  for (const id of common) {
    assert.ok(spread[id].every((v, k) => Math.abs(v - middle[k] - 2 * (moved[id][k] - middle[k])) < 5), `${id}: ${moved[id]} to ${spread[id]}`);
  }
  await context.close();
});

test("two taps of a finger go closer", async () => {
  const { page, context } = await ready({ viewport: PHONE, hasTouch: true });
  const touch = await fingers(page, context);
  const first = await ends(page);
  for (let i = 0; i < 2; i++) {
    await touch("touchStart", [1, 0.5, 0.6]);
    await touch("touchEnd");
  }
  await rest(page);
  const near = await ends(page);
  const common = Object.keys(near).filter((id) => first[id]);
  assert.ok(common.length > 0 || Object.keys(near).length < Object.keys(first).length);
  assert.ok(common.length === 0 || apart(first, near) > 20, "it is closer");
  await context.close();
});

/** Drags across the sheet and lets go while moving; `stay` milliseconds after the last move. In the page
 * itself, since a software renderer lets real events wait for longer than a hand does. */
const fling = (page, stay = 0) =>
  canvas(page).evaluate((c, wait) => {
    c.setPointerCapture = () => {};
    const { x, y, width, height } = c.getBoundingClientRect();
    const tell = (type, at) =>
      c.dispatchEvent(new PointerEvent(type, { pointerId: 1, pointerType: "mouse", button: type === "pointermove" ? -1 : 0, clientX: x + width * at, clientY: y + height / 2, bubbles: true }));
    const pass = (ms) => {
      for (const since = performance.now(); performance.now() - since < ms; );
    };
    tell("pointerdown", 0.4);
    for (let i = 1; i <= 8; i++) {
      pass(12);
      tell("pointermove", 0.4 + 0.02 * i);
    }
    pass(wait);
    tell("pointerup", 0.56);
  }, stay);

test("let go, the turn runs out softly and soon, and at rest nothing is drawn", async () => {
  // The same drag without motion ends where the hand did.
  const calm = await ready();
  await fling(calm.page);
  await calm.page.waitForTimeout(1500);
  const hand = await ends(calm.page);
  await calm.context.close();
  const { page, context } = await ready({ reducedMotion: "no-preference" });
  await fling(page);
  // Half a second by the clock, and as many slow frames as the letters need to glide to their places.
  await page.waitForTimeout(4500);
  const after = await ends(page);
  assert.ok(apart(hand, after) > 3, `it goes on a little: ${apart(hand, after)} px`);
  const drawn = await page.evaluate(() => globalThis.drawn);
  await page.waitForTimeout(1500);
  assert.equal(await page.evaluate(() => globalThis.drawn), drawn, "at rest no frame is drawn");
  assert.ok(apart(after, await ends(page)) < 0.01);
  await context.close();
});

test("for those who want no motion, it stops with the hand", async () => {
  const { page, context } = await ready();
  await fling(page);
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  const atOnce = await ends(page);
  await rest(page);
  assert.ok(apart(atOnce, await ends(page)) < 0.5, `${apart(atOnce, await ends(page))} px`);
  await context.close();
});

test("a hand that has stopped before it lets go leaves nothing running", async () => {
  const { page, context } = await ready({ reducedMotion: "no-preference" });
  await fling(page, 200);
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  const before = await ends(page);
  await page.waitForTimeout(900);
  assert.ok(apart(before, await ends(page)) < 0.5);
  await context.close();
});

test("the parts are lifted apart and put back, their letters go with them, and it is said", async () => {
  const { page, faults, context } = await ready();
  const first = await ends(page);
  const view = await still(page);
  const scale = view.height / 2 / view.half;
  await press(page, "lift_parts");
  await said(page, "parts_apart_now");
  await rest(page);
  const lifted = await ends(page);
  // The pestle's end was in the well; now it is in sight.
  assert.ok(!first["pestle-polish"] && lifted["pestle-polish"], Object.keys(lifted).join());
  assert.equal(await page.locator(".stage .scale:not(.hidden) >> visible=true").count(), 0, "the bar of true length is of the first view");
  // The letters of one part keep their distances, made smaller alike; that of the other goes up past them.
  const stay = Object.keys(first).filter((id) => lifted[id]);
  const ratios = stay.slice(1).map((id) => Math.hypot(lifted[id][0] - lifted[stay[0]][0], lifted[id][1] - lifted[stay[0]][1]) / Math.hypot(first[id][0] - first[stay[0]][0], first[id][1] - first[stay[0]][1]));
  assert.ok(Math.max(...ratios) - Math.min(...ratios) < 0.03 && Math.max(...ratios) < 0.95, ratios.join());
  const where = falls({ ...view, x: 0, y: 0 }, await anchor(page, "pestle-polish"));
  const beneath = falls({ ...view, x: 0, y: 0 }, await anchor(page, stay[0]));
  const rise = ((lifted[stay[0]][1] - lifted["pestle-polish"][1]) / ratios[0] - (beneath[1] - where[1])) / scale;
  assert.ok(rise / Math.cos((view.elevation * Math.PI) / 180) > 60, `the pestle rose by ${rise} mm of the picture`);
  await press(page, "lift_parts");
  await said(page, "parts_together_now");
  await rest(page);
  assert.ok(apart(first, await ends(page)) < 0.5);
  await press(page, "lift_parts");
  await rest(page);
  await canvas(page).press("Home");
  await rest(page);
  assert.ok(apart(first, await ends(page)) < 0.5, "home puts them together too");
  const button = page.getByRole("button", { name: await word(page, "lift_parts"), exact: true }).locator("visible=true").first();
  assert.equal(await button.getAttribute("aria-pressed"), "false");
  assert.deepEqual(faults, []);
  await context.close();
});

test("an object of one part has nothing to lift apart", async () => {
  const { page, context } = await ready({}, objects.find((p) => p.includes("token") && !p.startsWith("cy/")));
  assert.equal(await page.getByRole("button", { name: await word(page, "lift_parts"), exact: true }).count(), 0);
  await context.close();
});
