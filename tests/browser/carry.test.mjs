// The copy for a disk or a stick, opened as a visitor does: from a file, with no network at all.

import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";
import { DESKTOP, launch, open } from "./browser.mjs";
import { pages } from "./site.mjs";

const folder = process.env.CARRY_DIR;
assert.ok(folder, "CARRY_DIR must name the copy to be carried");
const base = pathToFileURL(folder).href.replace(/\/?$/, "/");
let browser;
before(async () => (browser = await launch()));
after(() => browser?.close());

const context = async () => {
  const context = await browser.newContext({ viewport: DESKTOP });
  await context.setOffline(true);
  return context;
};

test("every page reads fully: pictures, type, links to files that are there", async () => {
  const all = pages(folder);
  assert.ok(all.length > 20);
  const own = await context();
  for (const path of all) {
    const { page, faults } = await open(own, base, `${path}index.html`);
    const found = await page.evaluate(async () => {
      for (const image of document.images) image.loading = "eager";
      await Promise.all([...document.images].map((image) => image.decode().catch(() => {})));
      await document.fonts.ready;
      return {
        broken: [...document.images].filter((image) => image.naturalWidth === 0).map((image) => image.currentSrc || image.src),
        fonts: [...document.fonts].filter((font) => font.status === "loaded").length,
        links: [...document.links].map((link) => link.href.split("#")[0]),
      };
    });
    assert.deepEqual(faults, [], path);
    assert.deepEqual(found.broken, [], path);
    assert.ok(found.fonts > 0, `${path} has no type of its own`);
    for (const link of found.links.filter((href) => href.startsWith("file:"))) {
      assert.ok(existsSync(fileURLToPath(link)) && !link.endsWith("/"), `${path} leads to ${link}`);
    }
    await page.close();
  }
  await own.close();
});

test("the model turns, finds details, and shows what differs", async () => {
  const own = await context();
  const { page, faults } = await open(own, base, "brackwater-mortar/index.html");
  await page.waitForSelector("canvas", { timeout: 90_000 });
  const canvas = page.locator("canvas").first();
  const before = await canvas.getAttribute("aria-label");
  await canvas.focus();
  for (let i = 0; i < 8; i++) await page.keyboard.press("ArrowLeft");
  await page.waitForFunction((was) => document.querySelector("canvas")?.getAttribute("aria-label") !== was, before, { timeout: 90_000 });
  await page.locator("[data-key] > [data-detail] a").first().click();
  await page.waitForFunction(() => location.hash.length > 1, null, { timeout: 90_000 });
  await page.getByRole("button", { name: "Show what differs" }).click();
  await page.waitForFunction(() => document.querySelector("[aria-pressed=true]")?.textContent === "Show what differs", null, { timeout: 90_000 });
  assert.deepEqual(faults, []);
  await own.close();
});

test("from one page to the next and to another language by its links", async () => {
  const own = await context();
  const { page, faults } = await open(own, base, "index.html");
  await page.locator("main a").first().click();
  await page.waitForURL(/brackwater-mortar\/index\.html$/);
  await page.getByRole("link", { name: "What differs" }).first().click();
  await page.waitForURL(/what-differs\/index\.html$/);
  await page.getByRole("link", { name: "Cymraeg" }).click();
  await page.waitForURL(/cy\/brackwater-mortar\/what-differs\/index\.html$/);
  assert.equal(await page.getAttribute("html", "lang"), "cy");
  // Pictures that were still on their way when the page was left are none.
  assert.deepEqual(faults.filter((fault) => !fault.startsWith("request failed")), []);
  assert.ok(existsSync(join(folder, "index.html")));
  await own.close();
});
