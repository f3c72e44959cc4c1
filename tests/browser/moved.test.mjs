// Old addresses: with script they lead on and keep what comes after the #; without, they lead on; and the page itself,
// where neither works, says where the thing is.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import * as checks from "./checks.mjs";
import { DESKTOP, PHONE } from "./browser.mjs";
import { browser, displayed, folder, site } from "./display.mjs";
import { moved, pages } from "./site.mjs";

displayed();
const old = moved(folder);
const own = pages(folder);
const below = (page) => page.url().slice(site.base.length);

test("every old address leads to a page, in every language, with script and without", async () => {
  assert.ok(old.length > 40, `${old.length} old addresses`);
  for (const javaScriptEnabled of [true, false]) {
    const context = await browser.newContext({ viewport: DESKTOP, javaScriptEnabled });
    const page = await context.newPage();
    for (const path of old.filter((p) => javaScriptEnabled || /details|^[a-z-]+\/$/.test(p))) {
      await page.goto(site.base + path);
      await page.waitForURL((url) => own.includes(url.href.slice(site.base.length)), { timeout: 60_000 });
      const there = below(page);
      assert.equal(there.startsWith("cy/"), path.startsWith("cy/"), `${path} to ${there}`);
    }
    await context.close();
  }
});

test("a place on the page is kept, by its old name too", async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  const page = await context.newPage();
  for (const [from, to, chosen] of [
    ["apothecary-mortar/#lip-patch", "brackwater-mortar/#lip-patch", "lip-patch"],
    ["apothecary-mortar/#hares", "brackwater-mortar/#hares", "hare-frieze"],
    ["cy/apothecary-mortar/making/#varnish", "cy/brackwater-mortar/making/#varnish", null],
    ["glossary/#metal-printing", "glossary/#metal-printing", null],
  ]) {
    await page.goto(site.base + from);
    await page.waitForURL(site.base + to, { timeout: 60_000 });
    if (chosen) await page.waitForSelector(`.leader.chosen[data-detail="${chosen}"]`, { timeout: 90_000, state: "attached" });
    else {
      const top = await page.evaluate(() => document.getElementById(decodeURIComponent(location.hash.slice(1)))?.getBoundingClientRect().top);
      assert.ok(top !== undefined && Math.abs(top) < 400, `${from}: the place stands at ${top}`);
    }
  }
  await context.close();
});

test("the page at an old address keeps the policy and is told without sight", async () => {
  for (const path of old) {
    const html = readFileSync(join(folder, path, "index.html"), "utf8");
    assert.deepEqual(checks.policy(html), [], path);
  }
  const context = await browser.newContext({ viewport: PHONE, javaScriptEnabled: true });
  const page = await context.newPage();
  // Its script is held back, so that it can be looked at.
  await page.route(/moved\.[0-9a-f]+\.js$/, (route) => route.abort());
  for (const path of ["apothecary-mortar/", "cy/apothecary-mortar/details/hares/"]) {
    await page.goto(site.base + path);
    assert.deepEqual(await checks.axe(page), [], path);
    assert.equal(await page.locator("main a").count(), 1);
  }
  await context.close();
});
