// No name and no address is more than that: not in records, not in the address bar of a published page. PROGRAM names
// the program, HOSTILE_DIR a folder to work in.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { after, before, test } from "node:test";
import { launch } from "./browser.mjs";
import { judged, look } from "./hostile-judge.mjs";
import { PLACES, together, tried } from "./hostile-names.mjs";
import { ASKED } from "./hostile-payloads.mjs";
import { stripped } from "./hostile.mjs";
import { files, moved, pages, serve } from "./site.mjs";

assert.ok(process.env.HOSTILE_DIR && process.env.PROGRAM, "HOSTILE_DIR and PROGRAM must be set");
const program = resolve(process.env.PROGRAM);
const home = resolve(process.env.HOSTILE_DIR);
const [work, plain] = [join(home, "names"), join(home, "plain")];
const [display, bare] = [join(work, "display"), join(work, "bare")];

let browser;
before(async () => {
  for (const folder of [work, plain]) mkdirSync(folder, { recursive: true });
  browser = await launch();
});
after(() => browser?.close());

/** What a record may hold. */
const taken = [];
test("what no record may hold is refused with a finding", async () => {
  const all = await tried(program, work, Number(process.env.ROUNDS ?? 1) > 1);
  taken.push(...all.filter((one) => one.code === 0));
  for (const place of PLACES) {
    const own = all.filter((one) => one.place === place);
    console.log(`${place.name}: ${own.filter((one) => one.code === 0).length} taken, ${own.filter((one) => one.code === 1).length} refused`);
  }
  const told = ({ place, payload, code, found }) => `${place.name}: ${JSON.stringify(payload).slice(0, 120)}: ${code}, ${found.length} findings`;
  assert.deepEqual(all.filter((one) => one.code !== 0 && one.code !== 1).map(told), [], "ended otherwise");
  assert.deepEqual(all.filter((one) => one.may === false && one.code === 0).map(told), [], "taken");
  assert.deepEqual(all.filter((one) => one.may === true && one.code === 1).map(told), [], "refused");
  assert.deepEqual(all.filter((one) => one.code === 1 && one.found.length === 0).map(told), [], "refused without a finding about it");
});

test("what a record may hold is taken, published, and stays in its folder", () => {
  const put = together(taken, work);
  const stands = (folder) => readdirSync(folder).filter((name) => !name.startsWith("."));
  const beside = stands(work);
  run(work, "survey", "content");
  run(work, "publish", "content", "--to", "display");
  assert.deepEqual(stands(work).sort(), [...beside, "display"].sort(), "what stands beside the site");
  assert.ok(stripped(display, bare) >= pages(bare).length);
  const published = files(display);
  assert.deepEqual(published.filter((name) => !/^[a-z0-9._-]+(\/[a-z0-9._-]+)*$/.test(name) || name.includes("..")), [], "names of files");
  assert.deepEqual(published.filter((name) => /\.json(ld)?$/.test(name)).filter((name) => !readable(join(display, name))), [], "data that cannot be read");
  // What was put is there: none was lost on its way, and none hides another.
  const making = readFileSync(join(display, "bowl/making/index.html"), "utf8");
  const count = (...names) => put.filter(({ place }) => names.includes(place.name)).length;
  const shown = (pattern) => making.match(pattern)?.length ?? 0;
  assert.equal(shown(/<video/g), count("posters of films"), "films");
  // The links of transcripts have a recording of their own.
  assert.equal(shown(/<audio/g), count("recordings", "captions", "transcripts", "languages of captions") + 1, "sounds");
  assert.equal(shown(/<track/g), count("captions", "languages of captions"), "captions");
  assert.equal(shown(/<figure class="?photograph/g), count("photographs", "photographs in notes", "agreements"), "photographs");
  assert.equal(shown(/ poster=/g), count("posters of films"), "posters");
});

test("a package for an archive takes them along, and is whole", () => {
  run(work, "deposit", "bowl", "--to", "archive");
  run(work, "deposit", "--verify", "archive/bowl");
});

/** The program in a folder; what it says to a terminal is words alone. */
function run(folder, ...more) {
  const said = spawnSync(program, more, { cwd: folder, encoding: "utf8", maxBuffer: 1 << 28 });
  const errors = said.stderr.split("\n\n").filter((part) => part.startsWith("error"));
  assert.equal(said.status, 0, errors.join("\n\n").slice(0, 4000));
  assert.ok(!/[^\P{Cc}\n]/u.test(said.stdout + said.stderr), "a control character of a name reaches the terminal");
}

function readable(path) {
  try {
    JSON.parse(readFileSync(path, "utf8"));
    return true;
  } catch {
    return false;
  }
}

/** The bowl's own page is waited for; the others show no name that it does not. */
const briefly = (page) => (page.url().endsWith("/bowl/") || page.url().includes("/find/") ? look(page) : undefined);

test("none of them runs, breaks a page or becomes another address", async () => {
  const all = pages(display);
  assert.ok(all.length > 40, `${all.length} pages`);
  assert.deepEqual(await judged(browser, display, all, { policy: true, visit: briefly }), []);
});

test("none of them runs where pages have no policy, nor in documents beside the pages", async () => {
  assert.deepEqual(await judged(browser, bare, pages(bare), { policy: false, visit: briefly }), []);
  const faults = [];
  const documents = files(display).filter((name) => /\.(xml|svg)$/.test(name));
  assert.ok(documents.length > 10, `${documents.length} documents`);
  const page = await browser.newPage();
  for (const name of documents) {
    const found = await page.evaluate((text) => {
      const document = new DOMParser().parseFromString(text, "application/xml");
      const all = [...document.querySelectorAll("*")];
      const acts = (e) => /^(script|foreignObject|handler|parsererror)$/i.test(e.localName) || [...e.attributes].some((a) => /^on/i.test(a.name) || (/href$/i.test(a.name) && /^\s*(javascript|data|vbscript):/i.test(a.value)));
      return all.filter(acts).map((e) => e.outerHTML.slice(0, 200));
    }, readFileSync(join(display, name), "utf8"));
    faults.push(...found.map((what) => `${name}: ${what}`));
  }
  await page.close();
  assert.deepEqual(faults, []);
});

/** Pages whose scripts read their own address. */
const READERS = [["find/"], ["kiosk/"], ["kiosk/bowl/", "bowl/kiosk/"]];
const asked = (text) => {
  // A query ends where a fragment begins.
  const query = text.replace(/[#&]/g, encodeURIComponent);
  return `?q=${query}&kind=${query}&type=${query}&contrast=${query}&awake=${query}&${query}#${text}`;
};

/** Looks as a visitor would who came by such an address, and at the object's page goes to the others. */
async function visit(page, fault) {
  const { pathname, search } = new URL(page.url());
  if (pathname.endsWith("/find/")) {
    const answer = page.locator("[data-found] .found-count");
    await answer.filter({ hasText: /found|none/i }).waitFor({ timeout: 20_000 }).catch(async () => fault(`no answer but: ${await answer.textContent()}`));
  } else if (/\/(kiosk\/bowl|bowl\/kiosk)\/$/.test(pathname)) {
    await page.locator("a[href='#wall']").first().click({ timeout: 10_000 }).catch(() => fault("the screen in the gallery takes no touch"));
    if (!(await page.locator("#wall.open").count())) fault("the screen in the gallery does not open a leaf");
  } else if (pathname.endsWith("/bowl/") && search) {
    await look(page);
    for (const text of ASKED) {
      await page.evaluate((text) => (location.hash = text), text);
      await page.waitForTimeout(20);
    }
    await page.evaluate(() => (location.hash = "wall"));
    await page.locator('[data-detail="wall"][aria-current="true"]').waitFor({ timeout: 5_000 }).catch(() => fault("the page no longer hears of a detail"));
  }
}

test("nothing in the address bar of a page runs or breaks it", async () => {
  together(PLACES.filter(({ name }) => name.startsWith("former")).flatMap((place) => [{ place, payload: place.payloads[0][0], n: 0 }]), plain);
  run(plain, "publish", "content", "--to", "display");
  assert.ok(stripped(join(plain, "display"), join(plain, "bare")) > 10);
  // Those that lead on to a page that is soon there.
  const old = moved(join(plain, "bare")).filter((path) => /(making|rights|label)\/$/.test(path));
  assert.ok(old.length > 2, `${old.length} pages lead on`);
  const all = READERS.flatMap((paths) => ASKED.map((text, i) => paths[i % paths.length] + asked(text)));
  all.push(`bowl/${asked(ASKED[0])}`, ...ASKED.map((text, i) => `${old[i % old.length]}#${text}`));
  const faults = await judged(browser, join(plain, "bare"), all, { policy: false, visit });
  assert.deepEqual([...new Set(faults.map((fault) => fault.slice(0, 300)))], []);
});

test("a page answers at two slashes, which servers take for one and browsers for another host", async () => {
  const site = await serve(join(plain, "bare"));
  const page = await browser.newPage();
  const faults = [];
  page.on("pageerror", (error) => faults.push(error.message));
  page.on("request", (request) => request.url().startsWith(site.base) || /^(data|blob):/.test(request.url()) || faults.push(request.url()));
  for (const path of ["bowl/#wall", "kiosk/bowl/", ...moved(join(plain, "bare")).slice(0, 1), "find/?q=bowl"]) await page.goto(`${site.base}/${path}`);
  await page.locator(".found-count").filter({ hasText: /found/i }).waitFor({ timeout: 5_000 }).catch(() => faults.push("nothing is found"));
  await page.close();
  site.close();
  assert.deepEqual(faults, []);
});

test("what is planted raw is caught", async () => {
  const [held, free] = ["display", "bare"].map((name) => join(plain, name));
  const into = (folder, markup) => {
    const path = join(folder, "glossary/index.html");
    writeFileSync(path, readFileSync(path, "utf8").replace("</main>", `${markup}</main>`));
  };
  assert.deepEqual(await judged(browser, free, ["glossary/"], { policy: false }), []);
  // A script that takes an address at its word.
  for (const folder of [held, free]) {
    writeFileSync(join(folder, "planted.js"), `document.querySelector("main").insertAdjacentHTML("beforeend", decodeURIComponent(location.hash.slice(1)));`);
    into(folder, `<script src="../planted.js"></script>`);
  }
  const ran = await judged(browser, free, [`glossary/#${ASKED[0]}`], { policy: false });
  assert.ok(ran.some((f) => f.includes("a script ran: alert")) && ran.some((f) => f.includes("<img onerror>")), JSON.stringify(ran));
  const stopped = await judged(browser, held, [`glossary/#${ASKED[0]}`], { policy: true });
  assert.ok(stopped.some((f) => f.includes("the policy was broken")) && !stopped.some((f) => f.includes("a script ran")), JSON.stringify(stopped));
  const broken = await judged(browser, free, ["glossary/#%"], { policy: false });
  assert.ok(broken.some((f) => f.includes("a script error")), JSON.stringify(broken));
  // Addresses that lead elsewhere, and a name that is there twice.
  const led = ["java\nscript:alert(1)", "//evil.example/", "\\\\evil.example", "https:evil.example", "/etc/hostname", "../../outside/", "../assets/a b.jpg", "vbscript:x", "DATA:text/html,x"];
  into(free, led.map((is) => `<a href="${is}">words</a>`).join("") + `<p id="_main">again</p>`);
  const seen = await judged(browser, free, ["glossary/"], { policy: false });
  assert.equal(seen.filter((f) => /<a href=|leads nowhere/.test(f)).length, led.length, JSON.stringify(seen));
  assert.ok(seen.some((f) => f.includes("a second element is called _main")), JSON.stringify(seen));
});
