// Words are found without a server's help: inflected, accented, begun; by keyboard, with few bytes. DISPLAY_DIR
// names the site, CARRY_DIR, if there is one, the copy for a disk.

import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { pathToFileURL } from "node:url";
import { DESKTOP, PHONE, open } from "./browser.mjs";
import { browser, displayed, folder, site } from "./display.mjs";
import * as checks from "./checks.mjs";

displayed();

/** Most bytes that a phone loads for a question. */
const BYTES = 50_000;

/** Asks, and waits for the answer: what is said, titles, and bytes of the index that were loaded. */
async function asked(context, base, path, words) {
  const { page, faults } = await open(context, base, path);
  let bytes = 0;
  const sizes = [];
  page.on("response", (response) => sizes.push(response.body().then((body) => (bytes += body.length), () => {})));
  await page.getByRole("searchbox").fill(words);
  await page.keyboard.press("Enter");
  await answered(page);
  const titles = await page.locator(".found-title").allTextContents();
  await Promise.all(sizes);
  return { page, faults, titles, said: await page.getByRole("status").textContent(), bytes };
}

const answered = (page) => page.waitForFunction(() => /\d|One|Nothing|none of|Ni |Nid|un dudalen/.test(document.querySelector(".found-count").textContent));

test("a word is found by its other forms, without its accents, and by its beginning", async () => {
  const context = await browser.newContext({ viewport: PHONE });
  for (const [path, words, title] of [
    ["find/", "hare", "Hares on the run"],
    ["find/", "HARES", "Hares on the run"],
    ["find/", "casts", "The Brackwater mortar"],
    ["find/", "brackw", "The Brackwater mortar"],
    ["find/", "BRKMU 1923.14", "The Brackwater mortar"],
    ["find/", "hares frieze", "Hares on the run"],
    ["cy/find/", "ysgyfarnog", "Ysgyfarnogod ar garlam"],
    ["cy/find/", "gopi", "Morter Brackwater"],
    ["cy/find/", "forter", "Morter Brackwater"],
  ]) {
    const { page, faults, titles, said, bytes } = await asked(context, site.base, path, words);
    assert.ok(titles.some((t) => t.includes(title)), `${words}: ${titles.join(", ")}`);
    assert.match(said, /\d|One|un dudalen/, words);
    assert.ok(bytes > 0 && bytes <= BYTES, `${words}: ${bytes} bytes`);
    assert.deepEqual(faults, [], words);
    await page.close();
  }
  await context.close();
});

test("accents may be left out and put in", async () => {
  const context = await browser.newContext({ viewport: PHONE });
  const plain = await asked(context, site.base, "cy/find/", "dwr");
  const marked = await asked(context, site.base, "cy/find/", "dŵr");
  assert.ok(marked.titles.length > 0, marked.said);
  assert.deepEqual(plain.titles, marked.titles);
  await context.close();
});

test("what is nowhere is said, with the word", async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  const { said, titles } = await asked(context, site.base, "find/", "mortar xylophone");
  assert.match(said, /‘xylophone’/);
  assert.deepEqual(titles, []);
  await context.close();
});

test("choices narrow what is found, and the address keeps the question", async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  const { page, titles } = await asked(context, site.base, "find/", "mortar");
  await page.locator("summary").click();
  const kind = page.getByLabel("Kind of detail");
  await kind.selectOption({ label: (await kind.locator("option").allTextContents()).find((t) => t.startsWith("Inscription")) });
  // The list is empty while it is looked for.
  await page.waitForFunction((before) => ((now) => now > 0 && now < before)(document.querySelectorAll(".found-title").length), titles.length);
  const lines = await page.locator(".found-line").allTextContents();
  assert.ok(lines.length > 0 && lines.every((line) => line.startsWith("Inscription")), lines.join());
  const again = await open(context, site.base, `find/${new URL(page.url()).search}`);
  await answered(again.page);
  assert.deepEqual(await again.page.locator(".found-line").allTextContents(), lines);
  assert.equal(await again.page.getByRole("searchbox").inputValue(), "mortar");
  // Objects alone, when only what a whole object is was chosen.
  await page.getByRole("searchbox").fill("");
  await kind.selectOption("");
  await page.getByLabel("What it is").selectOption("0");
  await page.waitForFunction(() => document.querySelectorAll(".found-title").length === 1);
  await context.close();
});

test("more is shown by a button, which hands the focus on", async () => {
  const context = await browser.newContext({ viewport: PHONE });
  const { page, titles, said } = await asked(context, site.base, "find/", "the");
  assert.equal(titles.length, 10);
  const all = Number(said.match(/\d+/)[0]);
  await page.getByRole("button", { name: "Show more" }).focus();
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.activeElement?.closest(".found-list"));
  assert.equal(await page.evaluate(() => [...document.querySelectorAll(".found-list a")].indexOf(document.activeElement)), 10);
  assert.match(await page.getByRole("status").textContent(), new RegExp(`20 of ${all}|${all} of ${all}`));
  assert.deepEqual(await checks.axe(page), []);
  assert.deepEqual(await checks.overflow(page), []);
  await context.close();
});

test("every document is listed once, and leads to a page that is there", async () => {
  for (const own of ["find", "cy/find"]) {
    const read = (name) => {
      let content;
      new Function("found", readFileSync(join(folder, own, name), "utf8"))((_, __, given) => (content = given));
      return content;
    };
    const listed = readdirSync(join(folder, own, "t")).flatMap((name) => read(`t/${name}`));
    assert.ok(listed.length > 30);
    assert.equal(new Set(listed.map((d) => d.href)).size, listed.length);
    const context = await browser.newContext();
    const page = await context.newPage();
    for (const { href } of listed) {
      const url = new URL(href, `${site.base}${own}/`);
      assert.equal((await fetch(url)).status, 200, href);
      if (!url.hash) continue;
      await page.goto(url.href);
      assert.ok(await page.locator(url.hash).count(), href);
    }
    await context.close();
  }
});

test("a file of another edition is not joined with this page's", async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  await context.route("**/find/w/*.js", async (route) => {
    const response = await route.fetch();
    await route.fulfill({ response, body: (await response.text()).replace(/^found\("\w+"/, 'found("00000000"') });
  });
  const { page } = await open(context, site.base, "find/?q=hares");
  await page.waitForFunction(() => document.querySelector(".found-count").textContent.includes("could not be loaded"));
  assert.equal(await page.locator(".found-list li").count(), 0);
  await context.close();
});

test("words are found from a disk, with the network off", { skip: process.env.CARRY_DIR ? false : "CARRY_DIR names no copy" }, async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  await context.setOffline(true);
  const base = pathToFileURL(process.env.CARRY_DIR).href.replace(/\/?$/, "/");
  const { titles, page } = await asked(context, base, "find/index.html", "hare");
  assert.ok(titles.includes("Hares on the run"), titles.join());
  await page.locator(".found-title a").first().click();
  await page.waitForFunction(() => document.querySelector("h1")?.textContent.includes("Hares"));
  await context.close();
});
