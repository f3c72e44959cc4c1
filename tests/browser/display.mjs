// The published site that DISPLAY_DIR names, served and opened in a browser for the tests of a file.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before } from "node:test";
import { launch } from "./browser.mjs";
import { pages, serve } from "./site.mjs";

export const folder = process.env.DISPLAY_DIR;
assert.ok(folder, "DISPLAY_DIR must name the published site");
/** Addresses of all pages but screens in the gallery, which have a test of their own, at their own sizes. */
export const visited = pages(folder).filter((path) => !/(^|\/)kiosk\//.test(path));
/** Addresses of those of them whose text holds a mark. */
export const having = (mark) => visited.filter((p) => readFileSync(join(folder, p, "index.html"), "utf8").includes(mark));
export let site, browser;

/** Serves the site and starts the browser before the tests of the file that calls this. */
export function displayed(settings) {
  before(async () => {
    site = await serve(folder);
    browser = await launch(settings);
  });
  after(async () => {
    await browser?.close();
    site?.close();
  });
}
