// Every page of the published site, by every check. DISPLAY_DIR names the folder.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { alternatives } from "./alternatives.mjs";
import { DESKTOP, NARROW, PHONE, open } from "./browser.mjs";
import { browser, displayed, folder, site, visited } from "./display.mjs";
import * as checks from "./checks.mjs";
import { files } from "./site.mjs";

const all = visited;
displayed();

/** Runs a check on every page in one setting, two at a time; all faults are told together. */
async function everywhere(settings, check) {
  const left = [...all];
  const faults = [];
  const visitor = async () => {
    const context = await browser.newContext(settings);
    for (let path = left.shift(); path !== undefined; path = left.shift()) {
      const { page, faults: own } = await open(context, site.base, path);
      // What can be opened is judged as well.
      await page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
      const found = await check(page, path);
      faults.push(...[...own, ...found].map((f) => `/${path}: ${f}`));
      await page.close();
    }
    await context.close();
  };
  await Promise.all([visitor(), visitor()]);
  assert.deepEqual(faults, []);
}

/** Where a model is to come, waits until it has. */
async function settled(page) {
  if (await page.locator("[data-stage]").count()) await page.waitForSelector(".sheet canvas", { timeout: 90_000 });
}

test("there are pages in every language", () => {
  assert.ok(all.includes("") && all.includes("cy/"), "home pages");
  assert.equal(all.filter((p) => p.startsWith("cy/")).length, all.length / 2);
});

// The layout changes with the size and the contrast with the scheme: two settings meet all four.
for (const [name, viewport, colorScheme] of [["phone", PHONE, "light"], ["desktop", DESKTOP, "dark"]]) {
  test(`axe-core finds nothing: ${name}, ${colorScheme}`, () =>
    everywhere({ viewport, colorScheme, reducedMotion: "reduce" }, async (page) => {
      await settled(page);
      return checks.axe(page);
    }));
}

test("no scrolling to the side at 320 px", () => everywhere({ viewport: NARROW }, (page) => checks.overflow(page)));

test("no scrolling to the side with text at 200 %", () =>
  everywhere({ viewport: DESKTOP }, async (page) => {
    await page.evaluate(() => document.documentElement.style.setProperty("font-size", "200%"));
    return checks.overflow(page);
  }));

test("wider text spacing loses nothing", () => everywhere({ viewport: PHONE }, (page) => checks.spacing(page)));

test("the keyboard reaches everything", () => everywhere({ viewport: DESKTOP, reducedMotion: "reduce" }, async (page) => {
    await settled(page);
    return checks.keyboard(page);
  }));

test("pages can be read without script", () =>
  everywhere({ viewport: PHONE, javaScriptEnabled: true }, async (page, path) => {
    const context = await browser.newContext({ viewport: PHONE, javaScriptEnabled: false });
    const bare = await context.newPage();
    await bare.goto(site.base + path, { waitUntil: "load" });
    const text = await bare.locator("main").innerText();
    const pictures = await bare.locator("main img").count();
    const withScript = await page.locator("main img").count();
    await context.close();
    const faults = await checks.withoutScript(page);
    if (text.trim().length < 60) faults.push("almost no words without script");
    if (pictures !== withScript) faults.push("pictures are missing without script");
    return faults;
  }));

test("links lead somewhere, fragments too", async () => {
  const context = await browser.newContext({ viewport: DESKTOP, javaScriptEnabled: true });
  const ids = new Map();
  const links = new Map();
  for (const path of all) {
    const { page } = await open(context, site.base, path);
    links.set(path, await checks.addresses(page));
    ids.set(path, new Set(await page.evaluate(() => [...document.querySelectorAll("[id], [data-key] > [data-detail]")].map((e) => e.id || e.dataset.detail))));
    await page.close();
  }
  await context.close();
  const there = new Set(files(folder));
  const faults = [];
  for (const [from, targets] of links) {
    for (const target of targets.filter((t) => t.startsWith(site.base))) {
      const [path, fragment] = target.slice(site.base.length).split("#");
      const file = path === "" || path.endsWith("/") ? `${path}index.html` : path;
      if (!there.has(file)) faults.push(`/${from}: ${target} leads nowhere`);
      else if (fragment && !ids.get(path)?.has(fragment)) faults.push(`/${from}: there is no #${fragment} on /${path}`);
    }
  }
  assert.deepEqual(faults, []);
});

test("titles are their own, and each page says its language", async () => {
  const seen = new Map();
  for (const path of all) {
    const html = readFileSync(join(folder, path, "index.html"), "utf8");
    const title = /<title>([^<]*)<\/title>/.exec(html)?.[1];
    assert.ok(title, `/${path} has no title`);
    assert.ok(!seen.has(title), `/${path} and /${seen.get(title)} have one title: ${title}`);
    seen.set(title, path);
    const lang = /<html[^>]*\blang="?([\w-]+)/.exec(html)?.[1];
    assert.equal(lang, path.startsWith("cy/") ? "cy" : "en", `/${path}`);
  }
});

// Without script: the viewer brings letters of its own, which turn with the model.
test("every picture is told to those who cannot see it", () =>
  everywhere({ viewport: DESKTOP, javaScriptEnabled: false }, (page) => alternatives(page)));

test("nothing inline, nothing foreign", () => {
  const faults = all.flatMap((path) => checks.policy(readFileSync(join(folder, path, "index.html"), "utf8")).map((f) => `/${path}: ${f}`));
  assert.deepEqual(faults, []);
});

test("label and large print come out on paper", async () => {
  const context = await browser.newContext();
  for (const path of all.filter((p) => /(label|large-print)\/$/.test(p))) {
    const { page } = await open(context, site.base, path);
    const pdf = await page.pdf({ format: "A4", printBackground: true });
    assert.ok(pdf.length > 5000, `/${path} prints nothing`);
    await page.close();
  }
  await context.close();
});
