// The checks themselves: each must report the fault that it is there for.

import assert from "node:assert/strict";
import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { alternatives } from "./alternatives.mjs";
import { NARROW, launch, open } from "./browser.mjs";
import * as checks from "./checks.mjs";
import { serve } from "./site.mjs";

const page = (body, head = "") => `<!doctype html><html lang="en"><head><title>t</title>${head}</head><body><main><h1>h</h1>${body}</main></body></html>`;
const BAD = {
  "alt.html": page('<img src="x.svg">'),
  "told.html": page(`
    <img src="1.svg"><img src="2.svg" alt=""><img src="3.svg" alt="a-picture.jpg."><img src="4.svg" alt="A bowl">
    <img src="5.svg" alt="${"A bowl with a very long foot. ".repeat(9)}"><img src="6.svg" alt="A cup."><img src="7.svg" alt="A cup.">
    <img class="still" src="8.svg" alt="Picture of a jug. Golwg o’r blaen."><img class="still" src="9.svg" alt="A good picture. Seen from the front.">
    <figure><img class="still" src="10.svg" alt="A pot. Seen from the left. Letters: upper left a; middle b, c."><svg class="leaders"><a><text>a</text></a><a><text>b</text></a></svg></figure>
    <figure><img class="still" src="11.svg" alt="A pan. Seen from the left. Letters: upper left a; middle b."><svg class="leaders"><a><text>a</text></a><a><text>b</text></a></svg></figure>
    <img src="12.svg" alt="A thing seen {view}.">`),
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
test("pictures that are told badly, and two that are told well", async () => {
  const { page } = await open(context, site.base, "told.html");
  const faults = await alternatives(page);
  await page.close();
  const wanted = [
    /^1\.svg: has no/, /^2\.svg: has an empty/, /^3\.svg: is told by its file name/, /^4\.svg: does not end/, /^5\.svg: is told in 2\d\d/,
    /^7\.svg: is told like 6\.svg/, /^8\.svg: does not say in ‘en’/, /^10\.svg: names the letters a,b,c, and a,b/, /^12\.svg: has a blank/,
  ];
  for (const fault of wanted) assert.ok(faults.some((f) => fault.test(f)), `${fault} in ${faults.join("\n")}`);
  assert.ok(!faults.some((f) => /^(6|9|11)\.svg/.test(f)), faults.join("\n"));
});
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
    ['<script type="module">1</script>', /inline script/],
    ['<script type="application/ld+json" id="x">{}</script>', /inline script/],
    ['<script type="application/ld+json, text/javascript">1</script>', /inline script/],
    ['<script type="application/ld+json">{"a":"<!--"}</script>', /block of data with </],
    ['<script type="application/ld+json">alert(1)</script>', /no JSON/],
    ["<style>a{}</style>", /inline style sheet/],
    ['<p style="color:red">', /style attribute/],
    ['<p onclick="x()">', /event attribute/],
    ['<a href="javascript:x()">', /javascript:/],
    ['<img src="https://elsewhere.example/x.png">', /foreign/],
    ["<p>", /no Content-Security-Policy/],
  ]) {
    assert.match(checks.policy(html).join("\n"), fault);
  }
  assert.doesNotMatch(checks.policy('<script type=application/ld+json>{"a":"\\u003c"}</script>').join(), /script|data/);
});
