// Prints pages of the published site as a browser does: node print.mjs SITE-FOLDER OUT-FOLDER

import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { launch } from "../browser/browser.mjs";
import { pages, serve } from "../browser/site.mjs";

const [folder, out] = process.argv.slice(2);
mkdirSync(out, { recursive: true });
const site = await serve(folder);
const browser = await launch({ model: false });
const context = await browser.newContext();
const printed = [];
// Of every kind of page one of each object and language, and of details the first.
const wanted = (path) => !/\/details\//.test(path) || path === pages(folder).find((p) => /\/details\//.test(p) && p.split("/details/")[0] === path.split("/details/")[0]);
for (const path of pages(folder).filter(wanted)) {
  const page = await context.newPage();
  await page.goto(site.base + path, { waitUntil: "load" });
  // What is fetched late on a screen is wanted at once on paper.
  await page.evaluate(async () => {
    for (const image of document.querySelectorAll("img")) image.loading = "eager";
    await Promise.all([...document.images].map((image) => image.decode().catch(() => {})));
    await document.fonts.ready;
  });
  const name = `${path.replace(/\/$/, "").replace(/\W+/g, "_") || "home"}.pdf`;
  writeFileSync(join(out, name), await page.pdf({ preferCSSPageSize: true, printBackground: false }));
  printed.push({ path, file: name });
  await page.close();
}
writeFileSync(join(out, "printed.json"), JSON.stringify({ folder, printed }, null, 1));
await browser.close();
site.close();
console.log(`${printed.length} pages printed`);
