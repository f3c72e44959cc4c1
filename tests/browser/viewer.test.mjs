// The viewer in a real browser: with a model, without one, by key and by pointer.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { crc32, deflateSync, gzipSync } from "node:zlib";
import { DESKTOP, PHONE, launch, open } from "./browser.mjs";
import { browser, displayed, folder, having, site } from "./display.mjs";

const objects = having("data-stage");
/** Most that all script of a page may weigh on the wire, bytes. */
const BUDGET = 60_000;
displayed();

/** An object's page with its model in place. */
async function ready(path, settings = {}) {
  const context = await browser.newContext({ viewport: DESKTOP, reducedMotion: "reduce", ...settings });
  const { page, faults } = await open(context, site.base, path);
  await page.waitForSelector(".sheet canvas", { state: "visible", timeout: 90_000 });
  // The description is whole once the words below the sheet begin it.
  await page.waitForFunction(
    () => {
      const figure = [...document.querySelectorAll(".plate")].find((e) => e.offsetParent && e.querySelector("canvas"));
      const said = figure?.querySelector(".living")?.textContent;
      return said && figure.querySelector("canvas").getAttribute("aria-label").startsWith(said);
    },
    null,
    { timeout: 90_000 },
  );
  return { page, faults, context };
}

const label = (page) => page.getAttribute(".plate:not([style]) .sheet canvas >> visible=true", "aria-label");

test("there are objects with a stage", () => assert.ok(objects.length >= 4));

test("the model takes the place of the still without a jump", async () => {
  for (const path of objects) {
    const { page, faults, context } = await ready(path);
    const [sheet, canvas] = await page.evaluate(() => {
      const c = [...document.querySelectorAll(".sheet canvas")].find((e) => e.offsetParent);
      return [c.closest(".sheet").getBoundingClientRect(), c.getBoundingClientRect()].map((r) => [r.width, r.height]);
    });
    assert.ok(Math.abs(sheet[0] - canvas[0]) < 4 && Math.abs(sheet[1] - canvas[1]) < 4, `${path}: ${sheet} and ${canvas}`);
    assert.deepEqual(faults, [], path);
    await context.close();
  }
});

test("still and first frame show the same outline", async () => {
  const { page, context } = await ready(objects.find((p) => p.includes("mortar")));
  // The sheet as it is seen, without its letters: once with the still, once with the model.
  const seen = async (model) => {
    await page.evaluate((show) => {
      const canvas = [...document.querySelectorAll(".sheet canvas")].find((e) => e.closest(".plate").offsetParent);
      const sheet = canvas.closest(".sheet");
      sheet.querySelector("svg").style.visibility = "hidden";
      canvas.style.visibility = show ? "visible" : "hidden";
      sheet.querySelector("img").style.visibility = show ? "hidden" : "visible";
    }, model);
    await page.waitForTimeout(300);
    return (await page.locator(".sheet >> visible=true").first().screenshot()).toString("base64");
  };
  const pictures = [await seen(false), await seen(true)];
  const { share, dark } = await page.evaluate(async (all) => {
    const masks = [];
    for (const text of all) {
      const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
      const bitmap = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
      const pen = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
      pen.drawImage(bitmap, 0, 0);
      const { data } = pen.getImageData(0, 0, bitmap.width, bitmap.height);
      // The dark replica against pale paper; the soft shadow on the ground is lighter than this.
      masks.push(Array.from({ length: data.length / 4 }, (_, i) => data[4 * i] + data[4 * i + 1] + data[4 * i + 2] < 240));
    }
    const [a, b] = masks;
    const both = a.filter((v, i) => v && b[i]).length;
    const either = a.filter((v, i) => v || b[i]).length;
    return { share: both / either, dark: Math.min(...masks.map((m) => m.filter(Boolean).length / m.length)) };
  }, pictures);
  await context.close();
  assert.ok(dark > 0.1, `one of the two shows almost nothing: ${dark}`);
  assert.ok(share > 0.9, `the outlines agree on ${share}`);
});

test("arrow keys turn it, Home goes back, and it is said", async () => {
  const { page, context } = await ready(objects[0]);
  await page.focus(".sheet canvas >> visible=true");
  const before = await label(page);
  for (let i = 0; i < 6; i++) await page.keyboard.press("ArrowRight");
  await page.waitForFunction((b) => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label") !== b), before);
  const turned = await label(page);
  assert.notEqual(turned, before);
  assert.equal(await page.innerText(".living >> visible=true"), turned.slice(0, (await page.innerText(".living >> visible=true")).length));
  await page.keyboard.press("Home");
  await page.waitForFunction((b) => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label") === b), before);
  await context.close();
});

test("every gesture has a button", async () => {
  const { page, context } = await ready(objects[0]);
  const buttons = page.locator(".hand button >> visible=true");
  // Six steps, the way home, moving instead of turning, lifting the parts apart, the ruler, and the lamp.
  assert.equal(await buttons.count(), 11);
  const before = await label(page);
  for (let i = 0; i < 6; i++) await buttons.nth(1).click();
  await page.waitForFunction((b) => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label") !== b), before);
  await context.close();
});

test("a line of the key moves the eye, keeps its link, and the address carries it", async () => {
  const { page, context } = await ready(objects.find((p) => p.includes("mortar")));
  const line = page.locator("[data-key] > li").nth(2);
  const id = await line.getAttribute("data-detail");
  await line.locator(".key-link").click();
  await page.waitForFunction((hash) => location.hash === hash, `#${id}`);
  assert.equal(await line.getAttribute("aria-current"), "true");
  assert.equal(await line.locator(".key-more a").count(), 1);
  await line.locator(".key-link").click();
  await page.waitForURL(/details/);
  await context.close();
});

test("an address with a detail opens there, on the body that has it", async () => {
  const path = objects.find((p) => p.includes("mortar"));
  const { page, context } = await ready(`${path}#wax-bead`);
  await page.waitForSelector('li[data-detail="wax-bead"][aria-current="true"]');
  await context.close();
});

test("turning the page between the bodies keeps the view", async () => {
  const { page, context } = await ready(objects.find((p) => p.includes("mortar")));
  await page.check('input[value="original"]');
  await page.waitForSelector('[data-body="original"] canvas >> visible=true', { timeout: 90_000 });
  await context.close();
});

test("a hand on a phone turns it", async () => {
  const { page, context } = await ready(objects[0], { viewport: PHONE });
  const before = await label(page);
  const box = await page.locator(".sheet canvas >> visible=true").boundingBox();
  await page.mouse.move(box.x + 60, box.y + 100);
  await page.mouse.down();
  await page.mouse.move(box.x + 300, box.y + 100, { steps: 5 });
  await page.mouse.up();
  await page.waitForFunction((b) => [...document.querySelectorAll(".sheet canvas")].some((c) => c.offsetParent && c.getAttribute("aria-label") !== b), before);
  await context.close();
});

test("letters do not overlap and lines do not cross while it turns", async () => {
  const { page, context } = await ready(objects.find((p) => p.includes("mortar")));
  await page.focus(".sheet canvas >> visible=true");
  for (let turn = 0; turn < 12; turn++) {
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("ArrowRight");
    await page.waitForTimeout(250);
    const faults = await page.evaluate(() => {
      const sheet = [...document.querySelectorAll(".sheet")].find((s) => s.offsetParent);
      const leaders = [...sheet.querySelectorAll("g.leader:not(.hidden)")].map((g) => {
        const n = g.querySelector(".line").getAttribute("d").match(/-?[\d.]+/g).map(Number);
        return { id: g.dataset.detail, letter: [n[0], n[1]], knee: [n[2], n[3]], end: [n[4], n[5]] };
      });
      const turnOf = (a, b, c) => Math.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));
      const out = [];
      leaders.forEach((a, i) => leaders.slice(i + 1).forEach((b) => {
        if (a.letter[0] !== b.letter[0]) return;
        if (Math.abs(a.letter[1] - b.letter[1]) < 50) out.push(`${a.id} and ${b.id} overlap`);
        const cross = turnOf(a.knee, a.end, b.knee) * turnOf(a.knee, a.end, b.end) < 0 && turnOf(b.knee, b.end, a.knee) * turnOf(b.knee, b.end, a.end) < 0;
        if (cross) out.push(`${a.id} and ${b.id} cross`);
      }));
      return out;
    });
    assert.deepEqual(faults, []);
  }
  await context.close();
});

test("without WebGL the still stays, with a sentence", async () => {
  const plain = await launch({ model: false });
  const context = await plain.newContext({ viewport: DESKTOP });
  const { page } = await open(context, site.base, objects[0]);
  await page.waitForFunction(() => [...document.querySelectorAll(".living")].some((e) => e.textContent.length > 20));
  assert.equal(await page.locator(".sheet canvas").count(), 0);
  assert.ok(await page.locator(".still >> visible=true").count());
  await plain.close();
});

test("a model that cannot be fetched leaves the still, with a sentence", async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  await context.route("**/*.glb", (route) => route.abort());
  const { page } = await open(context, site.base, objects[0]);
  await page.waitForFunction(() => [...document.querySelectorAll(".living")].some((e) => e.textContent.length > 40));
  assert.equal(await page.locator(".sheet canvas").count(), 0);
  await context.close();
});

test("models are unpacked beside the page, not on it", async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  // What the page itself would compile is counted.
  await context.addInitScript(() => {
    window.compiled = 0;
    for (const name of ["compile", "compileStreaming", "instantiate", "instantiateStreaming"]) {
      const real = WebAssembly[name].bind(WebAssembly);
      WebAssembly[name] = (...given) => (window.compiled++, real(...given));
    }
  });
  const { page, faults } = await open(context, site.base, objects[0]);
  await page.waitForSelector(".sheet canvas", { state: "visible", timeout: 90_000 });
  assert.deepEqual(page.workers().map((w) => new URL(w.url()).protocol), ["blob:"]);
  assert.equal(await page.evaluate(() => window.compiled), 0);
  assert.deepEqual(faults, []);
  await context.close();
});

for (const [how, script] of [
  ["cannot be had", () => { window.Worker = class { constructor() { throw new Error("none left"); } }; }],
  ["ends before it answers", () => { const Real = Worker; window.Worker = class extends Real { constructor() { super("data:text/javascript,throw 1"); } }; }],
]) {
  test(`a worker that ${how} leaves the still, with a sentence`, async () => {
    const context = await browser.newContext({ viewport: DESKTOP, bypassCSP: true });
    await context.addInitScript(script);
    const { page } = await open(context, site.base, objects[0]);
    await page.waitForFunction(() => {
      const wanted = document.querySelector('[data-word="model_failed"]').textContent;
      return [...document.querySelectorAll(".living")].some((e) => e.textContent === wanted);
    });
    assert.equal(await page.locator(".sheet canvas").count(), 0);
    await context.close();
  });
}

test("a finer model that cannot be fetched leaves the lighter one, with a sentence", async () => {
  const context = await browser.newContext({ viewport: DESKTOP, deviceScaleFactor: 2 });
  await context.route(/-(desk|kiosk)\..*\.glb$/, (route) => route.abort());
  const { page } = await open(context, site.base, objects[0]);
  await page.waitForFunction(() => {
    const wanted = document.querySelector('[data-word="finer_failed"]').textContent;
    return [...document.querySelectorAll(".living")].some((e) => e.textContent === wanted);
  });
  assert.ok((await page.locator(".sheet canvas").count()) > 0);
  await context.close();
});

/** A grey PNG (ISO/IEC 15948) whose left half has one code and whose right half another. */
function halves(left, right, size = 64) {
  const row = [0, ...Array.from({ length: size }, (_, x) => (x < size / 2 ? left : right))];
  const chunk = (type, data) => {
    const body = Buffer.concat([Buffer.from(type), data]);
    const [length, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
    length.writeUInt32BE(data.length);
    sum.writeUInt32BE(crc32(body));
    return Buffer.concat([length, body, sum]);
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(size, 0);
  head.writeUInt32BE(size, 4);
  head[8] = 8;
  const pixels = deflateSync(Buffer.from(Array.from({ length: size }, () => row).flat()));
  return Buffer.concat([Buffer.from("\x89PNG\r\n\x1a\n", "latin1"), chunk("IHDR", head), chunk("IDAT", pixels), chunk("IEND", Buffer.alloc(0))]);
}

/** A mortar's page whose models carry this picture of differences; `null`: one that cannot be fetched. */
async function measured(codes, { bare = false } = {}) {
  const path = objects.find((p) => p.includes("mortar"));
  const context = await browser.newContext({ viewport: DESKTOP, reducedMotion: "reduce" });
  const entry = bare ? "- 0 " : "codes.test.png 99 ";
  await context.route(site.base + path, async (route) => {
    const response = await route.fetch();
    const plain = (await response.text()).replace(/ data-(differences|steps|legend)=("[^"]*"|[^\s>]*)/g, "");
    const body = plain.replace(/<figure (?=[^>]*data-levels)/g, `$&data-differences="${entry.repeat(3)}" data-steps="8 16 40" data-legend="How to read it." `);
    await route.fulfill({ response, body });
  });
  await context.route("**/codes.test.png", (route) => (codes ? route.fulfill({ contentType: "image/png", body: codes }) : route.abort()));
  const { page } = await open(context, site.base, path);
  await page.waitForSelector(".shown button >> visible=true", { timeout: 90_000 });
  await page.waitForFunction(() => [...document.querySelectorAll(".living")].some((e) => e.offsetParent && !/[{(]/.test(e.textContent) && e.textContent.length > 30));
  return { page, context };
}

/** Shares of the sheet's pixels that are ochre and blue, and its mean brightness of 255. */
async function tones(page) {
  const shot = await page.locator(".sheet canvas >> visible=true").screenshot();
  return page.evaluate(async (text) => {
    const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
    const bitmap = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
    const pen = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
    pen.drawImage(bitmap, 0, 0);
    const { data } = pen.getImageData(0, 0, bitmap.width, bitmap.height);
    const all = data.length / 4;
    let [ochre, blue, light] = [0, 0, 0];
    for (let i = 0; i < data.length; i += 4) {
      const warm = data[i] - data[i + 2];
      if (warm > 70) ochre++;
      if (warm < -25) blue++;
      light += data[i + 1];
    }
    return { ochre: ochre / all, blue: blue / all, light: light / all };
  }, shot.toString("base64"));
}

test("what differs is shown on the model by key, explained, announced, and taken away again", async () => {
  const { page, context } = await measured(halves(255, 1));
  const buttons = page.locator(".shown button >> visible=true");
  const pressed = () => buttons.evaluateAll((all) => all.map((b) => b.getAttribute("aria-pressed")).join(" "));
  const legend = page.locator(".plate:has(.shown button:visible) .shown-legend");
  assert.equal(await buttons.count(), 2);
  assert.equal(await pressed(), "true false");
  assert.equal(await legend.isVisible(), false);
  await page.waitForTimeout(600);
  const before = await tones(page);
  assert.ok(before.blue < 0.005, `the bare surface is blue on ${before.blue}`);
  await buttons.nth(1).focus();
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => [...document.querySelectorAll('.shown button[aria-pressed="true"]')].some((b) => b.offsetParent && b.previousElementSibling));
  await page.waitForTimeout(600);
  const shown = await tones(page);
  assert.ok(shown.ochre > 0.03 && shown.blue > 0.03, `ochre on ${shown.ochre}, blue on ${shown.blue}`);
  assert.equal(await legend.innerText(), "How to read it.");
  const word = (key) => page.evaluate((k) => document.querySelector(`[data-word="${k}"]`).textContent, key);
  assert.equal(await page.innerText(".living >> visible=true"), await word("difference_shown"));
  await page.keyboard.press("Shift+Tab");
  await page.keyboard.press("Space");
  await page.waitForTimeout(600);
  assert.equal(await pressed(), "true false");
  assert.equal(await legend.isVisible(), false);
  const after = await tones(page);
  assert.ok(shown.light > before.light + 10, "paper is lighter than the dark replica");
  for (const tone of ["ochre", "blue", "light"]) {
    assert.ok(Math.abs(after[tone] - before[tone]) < (tone === "light" ? 2 : 0.005), `${tone}: ${before[tone]}, then ${after[tone]}`);
  }
  await context.close();
});

test("not captured and within tolerance are neither ochre nor blue", async () => {
  const { page, context } = await measured(halves(0, 130));
  await page.locator(".shown button >> visible=true").nth(1).click();
  await page.waitForFunction(() => [...document.querySelectorAll(".shown-legend")].some((e) => e.offsetParent));
  await page.waitForTimeout(600);
  const { ochre, blue } = await tones(page);
  assert.ok(ochre < 0.001 && blue < 0.001, `ochre on ${ochre}, blue on ${blue}`);
  await context.close();
});

test("differences that cannot be fetched or shown leave the surface, with a sentence", async () => {
  for (const [settings, key] of [[{}, "difference_failed"], [{ bare: true }, "difference_without_sheet"]]) {
    const { page, context } = await measured(null, settings);
    const buttons = page.locator(".shown button >> visible=true");
    await buttons.nth(1).click();
    await page.waitForFunction((k) => {
      const wanted = document.querySelector(`[data-word="${k}"]`).textContent;
      return [...document.querySelectorAll(".living")].some((e) => e.offsetParent && e.textContent === wanted);
    }, key);
    assert.equal(await buttons.nth(1).getAttribute("aria-pressed"), "false");
    await context.close();
  }
});

test("all script of a page is within 60 KB", () => {
  for (const path of objects) {
    const html = readFileSync(join(folder, path, "index.html"), "utf8");
    // The script that comes with the page, and the viewer that it asks for.
    const scripts = [/<script[^>]*src="?([^"\s>]+)/g, /data-stage="?([^"\s>]+)/g].flatMap((each) => [...html.matchAll(each)].map((m) => m[1]));
    assert.equal(scripts.length, 2, path);
    const bytes = scripts.reduce((sum, src) => sum + gzipSync(readFileSync(join(folder, path, src)), { level: 9 }).length, 0);
    assert.ok(bytes > 0 && bytes <= BUDGET, `${path}: ${bytes} bytes of script`);
  }
});

test("nothing moves while an object's page is built up", async () => {
  for (const viewport of [PHONE, DESKTOP]) {
    const context = await browser.newContext({ viewport });
    await context.addInitScript(() => {
      globalThis.moved = 0;
      new PerformanceObserver((list) => {
        for (const entry of list.getEntries()) if (!entry.hadRecentInput) globalThis.moved += entry.value;
      }).observe({ type: "layout-shift", buffered: true });
    });
    const { page } = await open(context, site.base, objects[0]);
    await page.waitForSelector(".sheet canvas", { timeout: 90_000 });
    await page.waitForTimeout(800);
    const moved = await page.evaluate(() => globalThis.moved);
    assert.ok(moved < 0.02, `layout shift ${moved} at ${viewport.width} px`);
    await context.close();
  }
});
