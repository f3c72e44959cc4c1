// A collection of more objects than a page lists: every object is come upon once, by every way, without script.
// DISPLAY_DIR names a site of such a collection.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { DESKTOP, NARROW, PHONE, open } from "./browser.mjs";
import { browser, displayed, folder, site } from "./display.mjs";
import * as checks from "./checks.mjs";
import { pages } from "./site.mjs";

const all = pages(folder);
const objects = all.filter((path) => /^[^/]+\/rights\/$/.test(path)).map((path) => path.split("/")[0]);
const LANGUAGES = ["", "cy/"];
const lists = LANGUAGES.flatMap((lang) => [lang, ...all.filter((path) => path.startsWith(`${lang}objects/`))]);
const screens = LANGUAGES.flatMap((lang) => [`${lang}kiosk/`, ...all.filter((path) => path.startsWith(`${lang}kiosk/objects/`))]);
/** Pixels, and the millimetres that site.toml states. */
const WIDE = { width: 1920, height: 1080, mm: 598 / 1920 };
const TALL = { width: 1080, height: 1920, mm: 336 / 1080 };

displayed({ model: false });

/** Addresses below the site of what a selector finds on a page. */
const led = (page, selector) =>
  page.evaluate(([selector, base]) => [...document.querySelectorAll(selector)].map((a) => new URL(a.href).href.slice(base.length)), [selector, site.base]);

/** Names of the objects of a list, page by page, by its link to the next. */
async function walked(page, start, entries) {
  const found = [];
  await page.goto(site.base + start);
  for (let turns = 0; turns < 100; turns++) {
    found.push((await led(page, entries)).map((path) => path.replace(/\/$/, "").split("/").pop()));
    const next = page.locator(".pager-next a");
    if (!(await next.count())) return found;
    await next.click();
  }
  assert.fail(`${start}: no last page`);
}

const quiet = { viewport: DESKTOP, javaScriptEnabled: false };

/** What a selector finds on a page as it is served, asked in a page that is empty. */
async function served(page, path, selector) {
  const html = await (await fetch(site.base + path)).text();
  return page.evaluate(([html, selector]) => {
    const found = new DOMParser().parseFromString(html, "text/html").querySelectorAll(selector);
    return [...found].map((e) => ({ href: e.getAttribute("href"), text: e.textContent }));
  }, [html, selector]);
}

/** Addresses below the site of the links that a selector finds on a page as it is served. */
async function links(page, path, selector) {
  const found = await served(page, path, selector);
  return found.map(({ href }) => new URL(href, site.base + path).href.slice(site.base.length).split("#")[0]);
}

/** Names of the objects of a list, page by page. */
async function followed(page, start, entries) {
  const found = [];
  for (let path = start; path !== undefined; [path] = await links(page, path, ".pager-next a")) {
    assert.ok(found.length < 100, `${start}: no last page`);
    found.push((await links(page, path, entries)).map((path) => path.replace(/\/$/, "").split("/").pop()));
  }
  return found;
}

/** Of pages made by one template a few say it all. */
const some = lists.filter((path, i) => /^(cy\/)?$|objects\/2\/$|by\/(name|material)\/$/.test(path) || i % 16 === 0);

test("the collection is larger than a page, and has lists in every language", () => {
  assert.ok(objects.length >= 12, `${objects.length} objects`);
  const shown = (lang) => lists.filter((path) => path.startsWith(`${lang}objects/`)).length;
  assert.ok(shown("") > 10);
  assert.equal(shown(""), shown("cy/"));
});

test("by the next page, and without script, every object is come upon once", async () => {
  const context = await browser.newContext(quiet);
  const page = await context.newPage();
  for (const [ways, entries] of [["", ".listed a"], ["kiosk/", ".shelf a"]]) {
    for (const lang of LANGUAGES) {
      const found = await walked(page, lang + ways, entries);
      assert.ok(found.length > 2, `${lang}${ways}: ${found.length} pages`);
      assert.deepEqual(found.flat().sort(), [...objects].sort(), lang + ways);
    }
  }
  await context.close();
});

test("every value has as many objects as it says, and all values of a choice have every object", async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  for (const lang of LANGUAGES) {
    const choices = await links(page, lang, ".choose h3 a");
    assert.equal(choices.length, 4, choices.join());
    for (const [choice, entries] of [...choices.map((c) => [c, ".listed a"]), [`${lang}kiosk/objects/by/`, ".shelf a"]]) {
      const values = await links(page, choice, "main li:has(.number) a");
      const counts = (await served(page, choice, "main li .number")).map(({ text }) => Number(text));
      const found = [];
      for (const [i, value] of values.entries()) {
        const own = (await followed(page, value, entries)).flat();
        assert.equal(own.length, counts[i], value);
        found.push(...own);
      }
      assert.deepEqual(found.sort(), [...objects].sort(), choice);
    }
  }
  await context.close();
});

test("every list is led to, and every link of a list leads to a page", async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  const reached = new Set();
  for (const [start, within] of [["", lists], ["kiosk/", screens]]) {
    const left = [start];
    while (left.length > 0) {
      const path = left.pop();
      if (reached.has(path)) continue;
      reached.add(path);
      for (const to of await links(page, path, "a[href]")) {
        assert.ok(all.includes(to), `/${path} leads to /${to}`);
        if (within.includes(to)) left.push(to);
      }
    }
  }
  assert.deepEqual([...lists, ...screens].filter((path) => !reached.has(path)), []);
  await context.close();
});

test("another language shows the same objects", async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  for (const path of [...lists, ...screens].filter((path) => !path.startsWith("cy/"))) {
    const shown = async (path) => (await links(page, path, ".listed a, .shelf a")).map((to) => to.replace(/^cy\//, "")).filter((to) => !to.includes("/by/")).sort();
    const [there] = await links(page, path, "a[hreflang=cy]");
    assert.match(there, /^cy\//);
    assert.deepEqual(await shown(there), await shown(path), path);
  }
  await context.close();
});

test("a list says which page of it this is", async () => {
  const context = await browser.newContext(quiet);
  const page = await context.newPage();
  await page.goto(`${site.base}objects/2/`);
  assert.match(await page.title(), /^Objects \d+ to \d+ – /);
  assert.equal(await page.locator(".pager [aria-current=page]").textContent(), "2");
  assert.deepEqual(await led(page, ".pager-previous a"), [""]);
  assert.equal(await page.locator("h1").textContent(), (await page.title()).split(" – ")[0]);
  await context.close();
});

for (const [name, viewport, colorScheme] of [["phone", PHONE, "light"], ["desktop", DESKTOP, "dark"]]) {
  test(`axe-core, width, policy and keyboard find nothing: ${name}, ${colorScheme}`, async () => {
    const context = await browser.newContext({ viewport, colorScheme, reducedMotion: "reduce" });
    const found = [];
    for (const path of some) {
      const { page, faults } = await open(context, site.base, path);
      faults.push(...(await checks.axe(page)), ...(await checks.overflow(page)), ...(await checks.keyboard(page)));
      faults.push(...checks.policy(readFileSync(join(folder, path, "index.html"), "utf8")));
      found.push(...faults.map((f) => `/${path}: ${f}`));
      await page.close();
    }
    await context.close();
    assert.deepEqual(found, []);
  });
}

test("no scrolling to the side at 320 px, nor with text at 200 %; nothing is lost with wide spacing", async () => {
  const found = [];
  for (const [viewport, size] of [[NARROW, "100%"], [DESKTOP, "200%"]]) {
    const context = await browser.newContext({ viewport });
    for (const path of some) {
      const { page, faults } = await open(context, site.base, path);
      await page.evaluate((size) => document.documentElement.style.setProperty("font-size", size), size);
      found.push(...[...faults, ...(await checks.overflow(page)), ...(await checks.spacing(page))].map((f) => `/${path}: ${f}`));
      await page.close();
    }
    await context.close();
  }
  assert.deepEqual(found, []);
});

test("links that stand alone are as large as a finger asks", async () => {
  const context = await browser.newContext({ viewport: PHONE, hasTouch: true });
  const page = await context.newPage();
  for (const path of ["", "objects/2/", "objects/by/material/"]) {
    await page.goto(site.base + path);
    const small = await page.evaluate(() =>
      [...document.querySelectorAll("main a[href], main button, main input")]
        .filter((e) => e.getClientRects().length > 0)
        .map((e) => [e.textContent.trim(), e.getBoundingClientRect()])
        // WCAG 2.2, success criterion 2.5.8: 24 by 24 CSS pixels.
        .filter(([, box]) => box.width < 24 || box.height < 24)
        .map(([text, box]) => `${text}: ${box.width} × ${box.height}`),
    );
    assert.deepEqual(small, [], path);
  }
  await context.close();
});

test("a question asked on the first page is answered on the page that finds", async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  const { page, faults } = await open(context, site.base, "");
  await page.getByRole("searchbox").fill("heron");
  await page.keyboard.press("Enter");
  await page.waitForURL(/find\/\?q=heron$/);
  await page.waitForFunction(() => document.querySelectorAll(".found-title").length > 0);
  assert.deepEqual(faults, []);
  await context.close();
});

test("pictures below the first rows wait until they are near", async () => {
  const html = readFileSync(join(folder, "objects/2/index.html"), "utf8");
  const pictures = html.match(/<img [^>]*>/g);
  assert.ok(pictures.length > 1);
  for (const [i, picture] of pictures.entries()) assert.equal(/loading=lazy/.test(picture), i >= 6, picture);
});

test("a screen in the gallery: whole, large to touch, nothing typed, and no more pictures than it shows", async () => {
  const found = [];
  for (const size of [WIDE, TALL]) {
    const context = await browser.newContext({ viewport: { width: size.width, height: size.height }, hasTouch: true, reducedMotion: "reduce" });
    for (const path of screens.filter((path, i) => size === TALL ? path.startsWith("cy/") && i % 3 === 0 : /kiosk\/$|objects\/(2|by)\/$/.test(path))) {
      const { page, faults } = await open(context, site.base, `${path}?awake`);
      await page.waitForSelector("[data-choices]:not([hidden])");
      const small = await page.evaluate((least) => {
        const used = [...document.querySelectorAll("a[href], button")].filter((e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== "hidden");
        return used.flatMap((e) => {
          const { width, height, left, right, bottom } = e.getBoundingClientRect();
          const name = e.textContent.trim().slice(0, 30);
          const own = width < least - 0.5 || height < least - 0.5 ? [`${name}: ${width.toFixed(0)} × ${height.toFixed(0)} px`] : [];
          if (left < 0 || right > innerWidth + 0.5 || bottom > innerHeight + 0.5) own.push(`${name} is not whole on the screen`);
          return own;
        });
      }, 12 / size.mm);
      faults.push(...small, ...(await checks.axe(page)), ...(await checks.overflow(page)));
      faults.push(...(await page.evaluate(() => [...document.querySelectorAll("input, textarea, [contenteditable]")].map((e) => `something to type in: ${e.outerHTML}`))));
      if (!(await page.locator(".bar-languages a:visible").count())) faults.push("no language in sight");
      const pictures = await page.evaluate(() => performance.getEntriesByType("resource").filter((r) => /\.(webp|jpg|png)$/.test(r.name)).length);
      const shown = await page.locator(".shelf img").count();
      if (pictures > shown) faults.push(`${pictures} pictures for ${shown} objects`);
      found.push(...faults.map((f) => `/${path} ${size.width}: ${f}`));
      await page.close();
    }
    await context.close();
  }
  assert.deepEqual(found, []);
});

test("a screen in the gallery leads from an object back to the screen that it was chosen on", async () => {
  const context = await browser.newContext({ viewport: { width: WIDE.width, height: WIDE.height }, hasTouch: true });
  const { page } = await open(context, site.base, "kiosk/?awake");
  await page.locator(".pager-next a").click();
  await page.waitForURL(/kiosk\/objects\/2\//);
  await page.locator(".shelf a").first().click();
  await page.waitForURL((url) => !url.pathname.includes("objects"));
  await page.locator(".bar a").first().click();
  await page.waitForURL(/kiosk\/objects\/2\//);
  await context.close();
});
