// Screens in the gallery, at the sizes that they have there. KIOSK_DIR names a site whose record asks
// for a tally; DISPLAY_DIR one that does not.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { alternatives } from "./alternatives.mjs";
import { launch, open } from "./browser.mjs";
import * as checks from "./checks.mjs";
import { clock, faster } from "./clock.mjs";
import { pages, serve } from "./site.mjs";

const folder = process.env.KIOSK_DIR;
assert.ok(folder, "KIOSK_DIR names no site");
const screens = pages(folder).filter((path) => /(^|\/)kiosk\//.test(path));
/** Those that show all objects have no model. */
const SHELF = /^(cy\/)?kiosk\/$/;
const ONE = "brackwater-mortar/kiosk/";
/** Pixels, and the millimetres that site.toml states. */
const WIDE = { width: 1920, height: 1080, mm: 598 / 1920 };
const TALL = { width: 1080, height: 1920, mm: 336 / 1080 };
/** Clocks run so much faster in tests of idle time; frames stay what they are. */
const SPEED = 15;

let site;
let browser;
before(async () => {
  site = await serve(folder);
  browser = await launch();
});
after(async () => {
  await browser.close();
  site.close();
});


/** Waits until the model is there; without it, tells what the page says instead. */
async function modelled(page) {
  const came = page.waitForSelector(".sheet canvas:visible", { timeout: 90_000 });
  await came.catch(async () => assert.fail(`no model: ${await page.locator(".living").allInnerTexts()}`));
}

async function screen(size, path = ONE, { begin = true, ...settings } = {}) {
  const context = await browser.newContext({ viewport: { width: size.width, height: size.height }, hasTouch: true, reducedMotion: "reduce", ...settings });
  await context.addInitScript(clock);
  const { page, faults } = await open(context, site.base, path);
  if (begin && settings.javaScriptEnabled !== false) await page.click("[data-begin]");
  if (begin && !SHELF.test(path) && settings.javaScriptEnabled !== false) await modelled(page);
  return { page, faults, end: async () => { await context.close(); assert.deepEqual(faults, []); } };
}

test("there is a screen for all objects, and two for each, in every language", () => {
  const wanted = ["", "cy/"].flatMap((lang) => ["kiosk/", ...["brackwater-mortar", "pilgrim-token"].flatMap((o) => [`${o}/kiosk/`, `kiosk/${o}/`])].map((p) => lang + p));
  assert.deepEqual([...screens].sort(), wanted.sort());
});

test("axe, overflow, policy and alternative texts: nothing to find", async () => {
  const found = [];
  for (const size of [WIDE, TALL]) {
    // Welsh words are longer: they are judged where there is less room for them.
    for (const path of screens.filter((path) => size === TALL || !path.startsWith("cy/"))) {
      for (const begin of [false, true]) {
        const { page, end } = await screen(size, path, { begin });
        if (begin && !SHELF.test(path)) await page.locator(".key li:nth-child(2) a").first().click().catch(() => {});
        const faults = [...(await checks.axe(page)), ...(await checks.overflow(page))];
        found.push(...faults.map((f) => `/${path} ${size.width} ${begin ? "begun" : "resting"}: ${f}`));
        await end();
      }
    }
  }
  for (const path of screens) {
    found.push(...checks.policy(readFileSync(join(folder, path, "index.html"), "utf8")).map((f) => `/${path}: ${f}`));
    const { page, end } = await screen(WIDE, path, { javaScriptEnabled: false });
    found.push(...(await alternatives(page)).map((f) => `/${path}: ${f}`));
    await end();
  }
  assert.deepEqual(found, []);
});

test("no link leads off the screen", async () => {
  const faults = [];
  for (const path of screens) {
    const { page, end } = await screen(WIDE, path, { begin: false });
    const targets = await page.evaluate(() => [...document.querySelectorAll("a[href], area[href], form, iframe, video")].map((e) => e.getAttribute("href") ?? e.tagName));
    for (const target of targets) {
      if (target.startsWith("#")) {
        if (!(await page.evaluate((id) => document.getElementById(id) !== null, target.slice(1)))) faults.push(`/${path}: no ${target}`);
        continue;
      }
      const there = new URL(target, site.base + path).href.slice(site.base.length);
      if (!screens.includes(there)) faults.push(`/${path}: ${target}`);
    }
    await end();
  }
  assert.deepEqual(faults, []);
});

test("nothing that is used is smaller than 12 mm, in either position of the screen", async () => {
  const faults = [];
  for (const size of [WIDE, TALL]) {
    for (const path of [ONE, "kiosk/", "kiosk/pilgrim-token/"]) {
      const { page, end } = await screen(size, path);
      for (const step of ["begun", "detail", "large"]) {
        if (step === "detail" && !SHELF.test(path)) await page.locator(".key li:nth-child(2) .key-link").click();
        if (step === "large") await page.click('[data-choice="type"]');
        await page.waitForTimeout(300);
        const small = await page.evaluate((least) => {
          const hidden = (e) => e.getClientRects().length === 0 || getComputedStyle(e).visibility === "hidden";
          // A radio button is used by its label, a letter by the circle around it.
          const used = [...document.querySelectorAll("a[href], button, label")].filter((e) => !hidden(e) && !e.closest(".leaf-words"));
          return used.flatMap((e) => {
            const { width, height } = e.getBoundingClientRect();
            return width < least - 0.5 || height < least - 0.5 ? [`${e.textContent.trim().slice(0, 30)}: ${width.toFixed(0)} × ${height.toFixed(0)} px`] : [];
          });
        }, 12 / size.mm);
        faults.push(...small.map((f) => `/${path} ${size.width} ${step}: ${f}`));
      }
      await end();
    }
  }
  assert.deepEqual(faults, []);
});

test("every button is whole on the screen, and the object keeps its room, whatever else is open", async () => {
  const faults = [];
  for (const size of [WIDE, TALL]) {
    for (const path of [ONE, `cy/${ONE}`]) {
      const { page, end } = await screen(size, path);
      const press = (word) => page.evaluate((key) => {
        const text = document.querySelector(`[data-word="${key}"]`).textContent;
        [...document.querySelectorAll(".stage button")].find((b) => b.offsetParent && b.textContent === text).click();
      }, word);
      for (const step of ["begun", "show_differences", "lamp_on", "ruler_on", "large"]) {
        if (step === "large") await page.click('[data-choice="type"]');
        else if (step !== "begun") await press(step);
        await page.waitForTimeout(700);
        const seen = await page.evaluate(() => {
          const used = [...document.querySelectorAll(".stage :is(button, label, input), .bar :is(a, button)")].filter((e) => e.getClientRects().length && getComputedStyle(e).visibility !== "hidden");
          const out = used.filter((e) => {
            const r = e.getBoundingClientRect();
            const met = document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2);
            return r.top < 0 || r.left < 0 || r.right > innerWidth || r.bottom > innerHeight || !(met && (e.contains(met) || met.contains(e)));
          });
          const sheet = [...document.querySelectorAll(".sheet")].find((e) => e.offsetParent).getBoundingClientRect();
          return { used: used.length, out: out.map((e) => e.textContent.trim() || e.name || e.type), tall: sheet.height / innerHeight };
        });
        assert.ok(seen.used > 14, `${seen.used} were looked at`);
        faults.push(...seen.out.map((name) => `/${path} ${size.width} ${step}: ${name}`));
        if (seen.tall < 0.3) faults.push(`/${path} ${size.width} ${step}: the sheet has ${(seen.tall * 100).toFixed(0)} % of the height`);
      }
      await end();
    }
  }
  assert.deepEqual(faults, []);
});

// 2010 ADA Standards, 308.2.1: nothing higher than 48 inches (1220 mm). The lower edge is at 850 mm.
test("an upright screen keeps its controls within reach from a wheelchair", async () => {
  const { page, end } = await screen(TALL);
  await page.locator(".key li:nth-child(2) .key-link").click();
  const tops = await page.evaluate(() => [...document.querySelectorAll("a[href], button, label, input")].filter((e) => !e.closest("svg") && e.getClientRects().length).map((e) => e.getBoundingClientRect().top));
  const highest = 850 + (TALL.height - Math.min(...tops)) * TALL.mm;
  console.log(`the highest control is ${highest.toFixed(0)} mm above the floor`);
  assert.ok(tops.length > 8 && highest <= 1220, `${highest} mm`);
  await end();
});

test("it rests on a tour, and begins at a touch with the key and the first view", async () => {
  const { page, end } = await screen(WIDE, ONE, { begin: false });
  await page.evaluate(faster, SPEED);
  await page.waitForSelector(".leaf.open");
  const first = await page.locator(".leaf.open").getAttribute("id");
  await page.waitForFunction((id) => document.querySelector(".leaf.open")?.id !== id, first);
  assert.equal(await page.locator("[data-begin]").innerText().then((t) => t.replace(/\s+/g, " ")), "Touch to begin Cyffyrddwch i ddechrau");
  // The first touch wakes and does nothing else, wherever it falls.
  await page.touchscreen.tap(1500, 400);
  await page.waitForSelector("[data-begin]", { state: "hidden" });
  assert.ok(await page.locator("[data-panel-key]").isVisible());
  assert.equal(await page.locator(".leaf.open").count(), 0);
  await end();
});

test("when nobody is there it warns, any touch stays, and then it begins anew", async () => {
  const { page, end } = await screen(WIDE);
  await page.locator('input[value="original"]').check();
  await page.locator(".key li:nth-child(2) .key-link").click();
  await page.evaluate(faster, SPEED);
  const warning = page.locator("[data-still-there]");
  await warning.waitFor({ state: "visible", timeout: 9000 });
  const left = Number(await page.locator("[data-count]").innerText());
  assert.ok(left > 0 && left <= 20, `${left} s`);
  await page.touchscreen.tap(700, 300);
  await warning.waitFor({ state: "hidden" });
  assert.ok(await page.locator(".leaf.open").isVisible(), "what was being read is still there");
  // 90 s and 20 s at fifteen times the speed.
  await page.waitForSelector("html.resting", { timeout: 12_000 });
  assert.ok(await page.locator('input[value="replica"]').isChecked());
  assert.ok(await warning.isHidden());
  await end();
});

test("language, larger type and contrast are always in sight and go along; a new visitor finds none of them", async () => {
  const { page, end } = await screen(WIDE, "kiosk/");
  const size = () => page.evaluate(() => parseFloat(getComputedStyle(document.documentElement).fontSize));
  const before = await size();
  const visited = await page.evaluate(() => history.length);
  await page.click('[data-choice="type"]');
  await page.click('[data-choice="contrast"]');
  assert.ok((await size()) > before * 1.25);
  await page.locator('.bar a[hreflang="cy"]').click();
  await page.waitForURL(/cy\/kiosk\//);
  assert.equal(await page.locator("html").getAttribute("lang"), "cy");
  assert.equal(await page.locator("html").getAttribute("data-type"), "more");
  await page.locator(".shelf a").first().click();
  await page.waitForURL(/cy\/kiosk\/brackwater-mortar\//);
  assert.equal(await page.locator("html").getAttribute("data-contrast"), "more");
  assert.ok(await page.locator(".bar").isVisible());
  // Black on white: 21 to 1 (WCAG 2.2, 1.4.6 asks for 7).
  const colours = await page.evaluate(() => { const s = getComputedStyle(document.body); return [s.color, s.backgroundColor]; });
  assert.deepEqual(colours, ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]);
  await page.evaluate(faster, SPEED);
  await page.waitForURL((url) => url.pathname === "/kiosk/" && url.search === "", { timeout: 12_000 });
  assert.equal(await page.locator("html").getAttribute("data-type"), null);
  assert.equal(await page.evaluate(() => history.length), visited, "there is no page of the screen to go back to");
  await end();
});

test("what is chosen before the model has come is in sight when it comes", async () => {
  const { page, end } = await screen(WIDE, ONE, { begin: false });
  let come;
  const asked = new Promise((resolve) => (come = resolve));
  await page.route("**/*.glb", async (route) => {
    await asked;
    await route.continue();
  });
  await page.reload();
  await page.click("[data-begin]");
  await page.locator(".key li:nth-child(5) .key-link").click();
  await page.locator(".leaf.open .leaf-onward a").nth(1).click();
  await page.locator(".key li:nth-child(3) .key-link").click();
  come();
  await modelled(page);
  // The faces look to the sides: from the front they are at the edge, here in the middle.
  await page.waitForFunction(() => {
    const end = [...document.querySelectorAll('.leader[data-detail="grotesque-handles"] .end')].find((e) => e.getClientRects().length);
    const sheet = end?.closest("svg").getBoundingClientRect();
    const box = end?.getBoundingClientRect();
    return box && Math.abs((box.left + box.right - sheet.left - sheet.right) / 2) < sheet.width * 0.1;
  });
  await end();
});

test("no menu, no other window, no zoom, no drag, no way back", async () => {
  const { page, end } = await screen(WIDE);
  const others = [];
  page.context().on("page", (other) => others.push(other.url()));
  await page.evaluate(() => {
    globalThis.menus = 0;
    addEventListener("contextmenu", (event) => (globalThis.menus += event.defaultPrevented ? 0 : 1));
  });
  const line = page.locator(".key li:nth-child(3) .key-link");
  await line.click({ button: "right" });
  await line.click({ button: "middle" });
  for (const modifiers of [["Control"], ["Shift"], ["Control", "Shift"]]) await line.click({ modifiers });
  const session = await page.context().newCDPSession(page);
  await session.send("Input.synthesizePinchGesture", { x: 1500, y: 500, scaleFactor: 2.5, gestureSourceType: "touch" });
  await session.send("Input.synthesizePinchGesture", { x: 500, y: 400, scaleFactor: 2.5, gestureSourceType: "touch" });
  await session.send("Input.synthesizeTapGesture", { x: 1500, y: 300, duration: 1500, gestureSourceType: "touch" });
  await page.keyboard.press("Alt+ArrowLeft");
  await page.waitForTimeout(400);
  assert.deepEqual(others, []);
  assert.equal(await page.evaluate(() => globalThis.menus), 0);
  assert.equal(await page.evaluate(() => visualViewport.scale), 1);
  assert.equal(await page.evaluate(() => getSelection().toString()), "");
  assert.ok(page.url().endsWith(ONE));
  assert.equal(await page.evaluate(() => document.querySelectorAll("input:not([type=radio], [type=range]), textarea, select, [contenteditable]").length), 0, "nothing can be typed");
  await end();
});

test("the keyboard reaches everything, the invitation first", async () => {
  const { page, end } = await screen(WIDE, ONE, { begin: false });
  // Everything else is out of reach while it rests: one goes round between the window and the invitation.
  for (let i = 0; i < 2; i++) {
    await page.keyboard.press("Tab");
    if (await page.evaluate(() => document.activeElement !== document.body)) break;
  }
  assert.ok(await page.evaluate(() => document.activeElement?.matches("[data-begin]")));
  await page.keyboard.press("Enter");
  await modelled(page);
  assert.deepEqual(await checks.keyboard(page), []);
  await end();
});

test("two people’s touches do not disturb one another’s", async () => {
  const { page, end } = await screen(WIDE);
  const session = await page.context().newCDPSession(page);
  const touch = (type, ...touchPoints) => session.send("Input.dispatchTouchEvent", { type, touchPoints });
  const box = await page.locator(".sheet canvas:visible").boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  // One turns the object, another lays a hand on the key and takes it away, then on the object too.
  await touch("touchStart", { x, y, id: 1 });
  for (let i = 1; i <= 6; i++) await touch("touchMove", { x: x + 20 * i, y, id: 1 });
  await touch("touchStart", { x: x + 120, y, id: 1 }, { x: 1500, y: 500, id: 2 });
  await touch("touchMove", { x: x + 160, y, id: 1 }, { x: 1500, y: 480, id: 2 });
  await touch("touchStart", { x: x + 160, y, id: 1 }, { x: 1500, y: 480, id: 2 }, { x: x - 60, y, id: 3 }, { x: x - 90, y: y + 40, id: 4 });
  await touch("touchCancel");
  await page.waitForTimeout(300);
  await page.locator(".key li:nth-child(2) .key-link").click();
  assert.ok(await page.locator(".leaf.open").isVisible());
  await page.locator(".leaf.open .leaf-onward a").nth(1).click();
  assert.ok(await page.locator("[data-panel-key]").isVisible());
  await end();
});

test("without script the words of every detail open beside the object", async () => {
  const { page, end } = await screen(WIDE, ONE, { javaScriptEnabled: false });
  assert.ok(await page.locator("[data-panel-key]").isVisible());
  for (const number of [1, 5, 12]) {
    await page.locator(`.key li:nth-child(${number}) .key-link`).click();
    assert.equal(await page.locator(".leaf:visible").count(), 1);
    assert.ok(await page.locator("[data-panel-key]").isHidden());
    await page.locator(".leaf:visible .leaf-onward a").nth(1).click();
  }
  await end();
});

test("what is opened is counted by month, shown, saved and cleared; the tour does not count", async () => {
  const { page, end } = await screen(WIDE);
  const line = (n) => page.locator(`.key li:nth-child(${n}) .key-link`);
  assert.ok(await page.locator(".counted").isVisible(), "visitors are told");
  for (const n of [2, 2, 3]) {
    await line(n).click();
    await page.locator(".leaf.open .leaf-onward a").nth(1).click();
  }
  const kept = await page.evaluate(() => JSON.parse(localStorage.getItem("counterpart-tally")));
  const month = new Date().toISOString().slice(0, 7);
  assert.deepEqual(kept, { [month]: { "brackwater-mortar": { "hare-frieze": 2, "grotesque-handles": 1 } } });
  await page.goto(site.base + "kiosk-tally/");
  const cells = await page.locator("tbody tr").first().innerText();
  assert.match(cells, new RegExp(`${month}\\s+The Brackwater mortar\\s+Hares on the run\\s+2`));
  const [download] = await Promise.all([page.waitForEvent("download"), page.click("[data-save]")]);
  const saved = readFileSync(await download.path(), "utf8");
  assert.ok(saved.includes(`"${month}","The Brackwater mortar","Hares on the run","2"\r\n`), saved);
  await page.click("[data-clear]");
  assert.equal(await page.evaluate(() => localStorage.length), 0);
  assert.match(await page.locator("[data-tally-said]").innerText(), /Nothing/);
  await end();
});

test("a site that does not ask for it counts nothing and has no page for it", async () => {
  const plain = await serve(process.env.DISPLAY_DIR);
  const context = await browser.newContext({ viewport: { width: 1920, height: 1080 } });
  const { page } = await open(context, plain.base, ONE);
  await page.click("[data-begin]");
  await page.locator(".key li:nth-child(2) .key-link").click();
  assert.equal(await page.evaluate(() => localStorage.length), 0);
  assert.equal((await page.goto(`${plain.base}kiosk-tally/`)).status(), 404);
  await context.close();
  plain.close();
});
