// The checks themselves: each must report the fault that it is there for.

import assert from "node:assert/strict";
import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { NARROW, launch, open } from "./browser.mjs";
import * as checks from "./checks.mjs";
import { serve } from "./site.mjs";

const page = (body, head = "") => `<!doctype html><html lang="en"><head><title>t</title>${head}</head><body><main><h1>h</h1>${body}</main></body></html>`;
const BAD = {
  "alt.html": page('<img src="x.svg">'),
  "wide.html": page('<div style="width:900px">wide</div>'),
  "foreign.html": page('<img alt="a" src="http://127.0.0.2:9/x.png">'),
  "missing.html": page('<img alt="a" src="gone.png">'),
  "error.html": page("<script>throw new Error('x')</script>"),
  "focus.html": page('<a href="#a">one</a>', "<style>a:focus,a:focus-visible{outline:none}</style>"),
  "trap.html": page('<a href="#a">one</a><a href="#b" id="b">two</a><script>document.querySelector("a").addEventListener("keydown", e => e.key === "Tab" && e.preventDefault())</script>'),
  "empty.html": page("<script>document.write('words '.repeat(40))</script>"),
  "cut.html": page('<p style="width:6em;height:1.2em;overflow:hidden">words that fit</p>'),
};
let site, browser, context;

before(async () => {
  const folder = mkdtempSync(join(tmpdir(), "bad-pages-"));
  for (const [name, html] of Object.entries(BAD)) writeFileSync(join(folder, name), html);
  writeFileSync(join(folder, "x.svg"), '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>');
  site = await serve(folder);
  browser = await launch();
  context = await browser.newContext({ viewport: NARROW });
});
after(async () => {
  await browser?.close();
  site?.close();
});

async function found(name, check) {
  const { page, faults } = await open(context, site.base, name);
  await page.waitForTimeout(100);
  const own = check ? await check(page) : [];
  await page.close();
  return [...faults, ...own].join("\n");
}

test("a picture without alternative text", async () => assert.match(await found("alt.html", checks.axe), /image-alt/));
test("a page that is too wide", async () => assert.match(await found("wide.html", checks.overflow), /px wide/));
test("a request that leaves the site", async () => assert.match(await found("foreign.html"), /leaves the site/));
test("a file that is not there", async () => assert.match(await found("missing.html"), /404/));
test("a script error", async () => assert.match(await found("error.html"), /script error/));
test("a focus that does not show", async () => assert.match(await found("focus.html", checks.keyboard), /does not show/));
test("a trap for the keyboard", async () => assert.match(await found("trap.html", checks.keyboard), /cannot be reached/));
test("text that is cut", async () => assert.match(await found("cut.html", checks.spacing), /text is cut/));
test("a page that is empty without script", async () => {
  const bare = await browser.newContext({ javaScriptEnabled: false });
  const { page } = await open(bare, site.base, "empty.html");
  assert.ok((await page.locator("main").innerText()).length < 60);
  await bare.close();
});
test("inline script, inline style, events and foreign files", () => {
  for (const [html, fault] of [
    ["<script>1</script>", /inline script/],
    ["<style>a{}</style>", /inline style sheet/],
    ['<p style="color:red">', /style attribute/],
    ['<p onclick="x()">', /event attribute/],
    ['<a href="javascript:x()">', /javascript:/],
    ['<img src="https://elsewhere.example/x.png">', /foreign/],
    ["<p>", /no Content-Security-Policy/],
  ]) {
    assert.match(checks.policy(html).join("\n"), fault);
  }
});
