// Screenshots for people to look at: node look.mjs SITE-FOLDER OUT-FOLDER [page …]

import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { launch } from "./browser.mjs";
import { serve } from "./site.mjs";

const [folder, out, ...chosen] = process.argv.slice(2);
const paths = chosen.length ? chosen : ["", "brackwater-mortar/", "brackwater-mortar/details/lip-patch/", "brackwater-mortar/what-differs/", "brackwater-mortar/making/", "brackwater-mortar/label/", "brackwater-mortar/data/"];
mkdirSync(out, { recursive: true });
const site = await serve(folder);
const browser = await launch();
for (const [width, height] of [[390, 844], [1280, 900], [1920, 1080], [1080, 1920]]) {
  for (const colorScheme of ["light", "dark"]) {
    const context = await browser.newContext({ viewport: { width, height }, colorScheme });
    for (const path of paths) {
      const page = await context.newPage();
      await page.goto(site.base + path, { waitUntil: "networkidle" });
      await page.waitForTimeout(1500);
      await page.screenshot({ path: join(out, `${path.replace(/\W+/g, "_") || "home"}-${width}-${colorScheme}.png`) });
      await page.close();
    }
    await context.close();
  }
}
await browser.close();
site.close();
