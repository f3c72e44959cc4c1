// The desk: one walk from an empty folder to a published object with five details, then what may go wrong.

import assert from "node:assert/strict";
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, afterEach, before, test } from "node:test";
import { axe, keyboard, overflow, spacing } from "./checks.mjs";
import { DESKTOP, launch, NARROW, PHONE, SLOWEST } from "./browser.mjs";
import { BOWL, bowl, client, off, open } from "./desk.mjs";

const SHOTS = process.env.SHOTS;
const home = mkdtempSync(join(tmpdir(), "desk-"));
const content = join(home, "content");
let browser;
let desk;
let context;
let page;
const faults = [];

before(async () => {
  browser = await launch();

  desk = await open(content);
  context = await browser.newContext({ viewport: DESKTOP, locale: "en-GB", reducedMotion: "reduce" });
  page = await context.newPage();
  // On the demonstration the difference of two scans is found first.
  page.setDefaultTimeout(SLOWEST);
  page.on("pageerror", (error) => faults.push(error.message));
  page.on("console", (message) => message.type() === "error" && !/status of (401|409|422)|ERR_|net::/.test(message.text()) && faults.push(`${message.text()} ${message.location().url}`));
});

afterEach(async (t) => {
  if (SHOTS && t.passed === false) await shot("failed").catch(() => {});
});

after(async () => {
  await browser?.close();
  await desk?.kill();
  rmSync(home, { recursive: true, force: true });
});

const shot = async (name) => SHOTS && page.screenshot({ path: join(SHOTS, `${name}.png`), fullPage: true });
const files = (below = "") => readdirSync(join(content, below), { recursive: true }).filter((f) => !String(f).startsWith(".")).map(String).sort();

const LABEL =
  "This cup stood on the counter of the museum shop for many years. Nobody knows who turned it, or when. It was scanned in spring, in one piece, and this page shows what the scan found. Its wall is even, its floor is thick, and its rim has been worn by many hands. Please look at it from every side before you read the words beside it, and tell us what you see.";

async function ready() {
  await page.waitForFunction(() => document.querySelector(".stage-desk canvas") && !/coming/.test(document.querySelector(".stage-desk .living")?.textContent ?? ""));
}

/** Fills the sheet of a new detail and writes it. `place` brings it onto the surface. */
async function detail(name, kind, place) {
  await page.getByRole("link", { name: "Place a new detail" }).click();
  await page.getByRole("heading", { level: 1, name: "A new detail" }).waitFor();
  await ready();
  await place();
  await page.locator(".place-told", { hasText: "Taken from the full scan" }).waitFor();
  await page.getByLabel(kind).check();
  await page.getByLabel("It is there", { exact: true }).check();
  await page.getByLabel("Title").fill(name);
  await page.getByLabel("Words", { exact: true }).fill(`The ${name.toLowerCase()} is plain to see.\n\nSomebody made it so.`);
  await page.getByLabel("For someone who cannot see it").fill("A smooth place, as broad as a thumb.");
  const frame = page.frameLocator("iframe.preview");
  await frame.getByRole("heading", { level: 1, name: new RegExp(name) }).waitFor();
  await page.getByRole("button", { name: "Write it to the files" }).click();
  await page.waitForURL(/\/d\//);
  await page.getByText("Written to the files.").first().waitFor({ state: "attached" });
}

const back = () => page.locator(".over a").first().click();
const touch = (right, down) => async () => {
  const box = await page.locator(".stage-desk canvas").boundingBox();
  await page.mouse.click(box.x + box.width * right, box.y + box.height * down);
};

test("from an empty folder to a published object with five details", async () => {
  await page.goto(desk.address);
  await page.getByText("There is nothing here yet.").waitFor();
  assert.ok(!page.url().includes("key="), "the secret does not stay in the address");
  await shot("1-empty");
  await page.getByRole("main").getByRole("link", { name: "Accession" }).click();
  await page.getByRole("heading", { level: 1, name: "Accession" }).waitFor();
  const fill = (label, text) => page.getByLabel(label, { exact: true }).first().fill(text);
  await page.getByRole("radio", { name: "English", exact: true }).check();
  await fill("Who publishes", "Brackwater Museum");
  await fill("Address at which the site will stand", "https://brackwater.example/");
  await fill("Name of the site", "Brackwater: what is in the gallery");
  await fill("A sentence or two for the first page", "What stands here.");
  await fill("Title", "The turned cup");
  await fill("Object number", "BRKMU:1950.2");
  await fill("What kind of thing it is", "cup");
  await fill("When it was made", "not known");
  await fill("Who keeps the original", "Brackwater Museum");
  await fill("Name of the material", "bronze");
  await fill("Least density, g/cm³", "8.4");
  await fill("Greatest density, g/cm³", "8.9");
  await fill("Who holds the rights", "Brackwater Museum");
  await fill("Where it is now", "Gallery, Brackwater Museum");
  await fill("Its surface", "Dull brown");
  await page.getByLabel("Scans of the original").setInputFiles({ name: "cup.stl", mimeType: "model/stl", buffer: bowl() });
  await page.getByLabel(/^Millimetres/).check();
  await page.getByText(/80.0 mm wide, 50.0 mm high, 80.0 mm deep/).waitFor();
  await shot("2-accession");
  await page.getByRole("button", { name: "Begin this object" }).click();
  await page.getByRole("heading", { level: 1, name: "The turned cup" }).waitFor();
  await page.getByRole("heading", { name: "What is missing" }).waitFor();

  // The missing label has a way to the field that mends it.
  await page.getByRole("link", { name: "Facts and rights" }).click();
  await page.getByLabel("Words of the label").fill(LABEL);
  await page.getByRole("button", { name: "Write it to the files" }).click();
  await page.getByText("Written to the files.").first().waitFor({ state: "attached" });
  await back();
  await page.getByRole("link", { name: "Words", exact: true }).click();
  await page.getByLabel("Introduction and story").fill("A cup with straight walls. It stood in the shop.\n\n## What is known\n\nNot much is known of it.");
  await page.getByRole("button", { name: "Write it to the files" }).click();
  await page.getByText("Written to the files.").first().waitFor({ state: "attached" });
  await back();

  await detail("A worn place", "Wear, a dent or a crack", touch(0.5, 0.55));
  await shot("3-detail");
  await back();
  await detail("A turned line", "It shows how the thing was put together", touch(0.42, 0.62));
  await back();
  await detail("A painted ring", "An ornament or an image", touch(0.6, 0.6));
  await back();
  await detail("A mended spot", "An old mending of the original", touch(0.55, 0.7));
  await back();
  // By keys alone: the cross is moved, the object turned, and Enter places.
  await detail("A scratched word", "Lettering", async () => {
    await page.locator(".stage-desk canvas").focus();
    for (const key of ["ArrowDown", "ArrowDown", "ArrowDown", "ArrowLeft", "ArrowLeft", "Shift+ArrowRight", "Alt+ArrowLeft", "Enter"]) await page.keyboard.press(key);
  });
  await back();
  await shot("4-object");

  // What was placed lies on the cup as it was turned: its walls are round to the height of a chord, r (1 − cos(π/n)).
  const chord = BOWL.outer * (1 - Math.cos(Math.PI / 96));
  const ids = ["a-worn-place", "a-turned-line", "a-painted-ring", "a-mended-spot", "a-scratched-word"];
  for (const id of ids) {
    const record = readFileSync(join(content, "the-turned-cup/details", id, "record.toml"), "utf8");
    const point = /point_mm = \[([^\]]+)\]/.exec(record)[1].split(",").map(Number);
    assert.ok(off(point) <= chord + 0.02, `${id} at ${point} is ${off(point)} mm off the surface`);
    assert.match(readFileSync(join(content, "the-turned-cup/details", id, "en.md"), "utf8"), /^# A .+\n\nThe .+ is plain to see\.\n\nSomebody made it so\.\n$/);
  }

  await page.getByRole("navigation").getByRole("link", { name: "Everything" }).click();
  await page.getByRole("heading", { name: "Publish", exact: true }).waitFor();
  await shot("5-home");
  await page.getByRole("button", { name: "Publish the site" }).click({ timeout: 90_000 });
  await page.getByText(/^Published: \d+ pages\.$/).first().waitFor({ timeout: 120_000 });
  // What stands in the files stands on the site: title, words, kind, and what is said to those who cannot see it.
  const kinds = ["Damage", "Construction", "Motif", "Repair", "Inscription"];
  const published = await context.newPage();
  for (const [i, id] of ids.entries()) {
    const [, heading, ...words] = /^# (.+)\n\n(.+)\n\n(.+)\n$/.exec(readFileSync(join(content, "the-turned-cup/details", id, "en.md"), "utf8"));
    await published.setContent(readFileSync(join(home, "display/the-turned-cup/details", id, "index.html"), "utf8"));
    const said = await published.locator("main").innerText();
    for (const part of [heading, ...words, kinds[i], "A smooth place, as broad as a thumb."]) assert.ok(said.includes(part), `${id}: ‘${part}’ is not in ‘${said}’`);
  }
  await published.close();
  const [look] = await Promise.all([context.waitForEvent("page"), page.getByRole("link", { name: "Look at the published site" }).click()]);
  await look.getByRole("link", { name: "The turned cup" }).first().click();
  await look.getByRole("link", { name: /A scratched word/ }).last().waitFor();
  assert.notEqual(new URL(look.url()).origin, desk.base, "the site is a stranger to the desk");
  await look.close();
  assert.deepEqual(faults, []);
});

test("every sheet is accessible, in both languages, narrow and with large text", async (t) => {
  // The tests after this one speak English, whatever is found here.
  t.after(async () => {
    await page.setViewportSize(DESKTOP);
    await page.getByRole("button", { name: "English", exact: true }).click();
  });
  const sheets = ["#/", "#/accession", "#/site", "#/done", "#/o/the-turned-cup", "#/o/the-turned-cup/words", "#/o/the-turned-cup/facts", "#/o/the-turned-cup/new", "#/o/the-turned-cup/d/a-worn-place", "#/file/site.toml?3"];
  for (const lang of ["Cymraeg", "English"]) {
    await page.getByRole("button", { name: lang, exact: true }).click();
    await page.waitForFunction((tag) => document.documentElement.lang === tag, lang === "English" ? "en" : "cy");
    for (const sheet of sheets) {
      for (const size of [DESKTOP, NARROW]) {
        await page.setViewportSize(size);
        await page.goto(`${desk.base}/${sheet}`);
        await page.reload();
        await page.locator("main h1").waitFor();
        await page.waitForTimeout(150);
        assert.deepEqual(await axe(page), [], `${sheet}, ${lang}, ${size.width}`);
        assert.deepEqual(await overflow(page), [], `${sheet}, ${lang}, ${size.width}`);
      }
      await page.setViewportSize(DESKTOP);
      // A sheet may begin further down, at what is to be mended: here Tab begins at the top.
      await page.evaluate(() => {
        const top = document.createElement("span");
        top.tabIndex = -1;
        document.body.prepend(top);
        top.focus();
      });
      assert.deepEqual(await keyboard(page), [], `${sheet}, ${lang}, by keyboard`);
      await page.setViewportSize(PHONE);
      assert.deepEqual(await spacing(page), [], `${sheet}, ${lang}, wider text`);
      // 1280 pixels with text of twice the size are 640 CSS pixels.
      await page.setViewportSize({ width: 640, height: 450 });
      assert.deepEqual(await overflow(page), [], `${sheet}, ${lang}, 200 %`);
    }
  }
  if (SHOTS) {
    for (const sheet of sheets) {
      await page.setViewportSize(PHONE);
      await page.goto(`${desk.base}/${sheet}`);
      await page.reload();
      await page.locator("main h1").waitFor();
      await page.waitForTimeout(1200);
      await shot(`phone-${sheet.replace(/\W+/g, "-")}`);
    }
  }
  await page.setViewportSize(DESKTOP);
});

/** Saves a note several times, as an editor would; the time until the preview shows it, at best, is at most a second.
 * A busy machine makes single ones longer. */
async function shows(note, was, becomes) {
  const times = [];
  const frame = page.frameLocator("iframe.preview");
  for (let n = 1; n <= 5; n++) {
    const text = `${becomes} ${n}.`;
    const now = readFileSync(note, "utf8").replace(n === 1 ? was : `${becomes} ${n - 1}.`, text);
    const start = performance.now();
    writeFileSync(note, now);
    await frame.getByText(text).waitFor();
    times.push(Math.round(performance.now() - start));
  }
  console.log(`a save by another program shows after ${times.join(", ")} ms`);
  assert.ok(Math.min(...times) <= 1000, `${times} ms`);
}

test("a save by another program shows within a second, and is never written over", async () => {
  const note = join(content, "the-turned-cup/details/a-worn-place/en.md");
  await page.goto(`${desk.base}/#/o/the-turned-cup/d/a-worn-place`);
  await page.reload();
  await ready();
  await shows(note, "Somebody made it so.", "Many hands did it");
  const changed = readFileSync(note, "utf8");

  await page.getByLabel("Words", { exact: true }).fill("Written here.");
  writeFileSync(note, changed.replace("Many hands", "A few hands"));
  await page.getByRole("heading", { name: "Two versions" }).waitFor();
  await page.getByRole("button", { name: "Write it to the files" }).click();
  await page.waitForTimeout(500);
  assert.match(readFileSync(note, "utf8"), /A few hands/);
  await shot("6-two-versions");
  assert.deepEqual(await axe(page), []);
  await page.getByRole("button", { name: "Write mine" }).click();
  await page.getByText("Written to the files.").first().waitFor({ state: "attached" });
  assert.match(readFileSync(note, "utf8"), /Written here\./);
});

test("two windows at once are safe", async () => {
  const sheet = `${desk.base}/#/o/the-turned-cup/words`;
  const other = await context.newPage();
  for (const one of [page, other]) {
    await one.goto(sheet);
    await one.reload();
    await one.getByLabel("Introduction and story").waitFor();
  }
  await page.getByLabel("Introduction and story").fill("From the first window.");
  await other.getByLabel("Introduction and story").fill("From the second window.");
  await page.getByRole("button", { name: "Write it to the files" }).click();
  await other.getByRole("heading", { name: "Two versions" }).waitFor();
  await other.getByRole("button", { name: "Write it to the files" }).click();
  await other.waitForTimeout(400);
  const note = join(content, "the-turned-cup/en.md");
  assert.match(readFileSync(note, "utf8"), /From the first window\./);
  await other.getByRole("button", { name: "Write mine" }).click();
  await other.getByText("Written to the files.").first().waitFor({ state: "attached" });
  assert.match(readFileSync(note, "utf8"), /From the second window\./);
  await other.close();
});

test("what goes to the bin comes back", async () => {
  page.goto(`${desk.base}/#/o/the-turned-cup/d/a-turned-line`);
  await page.getByRole("button", { name: "Put this detail in the bin" }).click();
  await page.getByRole("heading", { level: 1, name: "The turned cup" }).waitFor();
  assert.ok(!files().includes("the-turned-cup/details/a-turned-line/en.md"));
  await page.getByRole("navigation").getByRole("link", { name: "What was done" }).click();
  await page.getByRole("button", { name: /^Bring back/ }).click();
  await page.getByText("Nothing is in it.").waitFor();
  assert.ok(files().includes("the-turned-cup/details/a-turned-line/en.md"));
  await shot("7-done");
});

/** Drops a file where the page takes files, as a hand would. */
async function drop(where, { name, type, bytes }) {
  const held = await page.evaluateHandle(([name, type, text]) => {
    const all = new DataTransfer();
    all.items.add(new File([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], name, { type }));
    return all;
  }, [name, type, bytes.toString("base64")]);
  await where.dispatchEvent("dragover", { dataTransfer: held });
  await where.dispatchEvent("drop", { dataTransfer: held });
}

test("a change that is heard of before a late answer shows too", async () => {
  const note = join(content, "the-turned-cup/en.md");
  const before = readFileSync(note, "utf8");
  await page.goto(`${desk.base}/#/o/the-turned-cup/words`);
  await page.reload();
  await page.getByLabel("Introduction and story").waitFor();
  // The list is asked for, and comes when the desk has long told that the title is another.
  let held = 0;
  const late = async (route) => {
    const response = await route.fetch();
    writeFileSync(note, before.replace("# The turned cup", "# The cup, turned"));
    await new Promise((done) => setTimeout(done, 1_500));
    await route.fulfill({ response });
    held += 1;
  };
  await page.route("**/api/desk?*", late, { times: 1 });
  await back();
  await page.getByRole("heading", { name: "The cup, turned", level: 1 }).waitFor();
  assert.equal(held, 1);
  writeFileSync(note, before);
  await page.getByRole("heading", { name: "The turned cup", level: 1 }).waitFor();
});

test("a scan that is dropped is measured at once", async () => {
  await page.goto(`${desk.base}/#/accession`);
  await page.reload();
  await page.getByLabel("Title", { exact: true }).first().fill("The second cup");
  await drop(page.locator(".drop", { has: page.getByLabel("Scans of the original") }), { name: "Second Cup.stl", type: "model/stl", bytes: bowl() });
  await page.getByLabel(/^Millimetres/).check();
  await page.getByText(/80.0 mm wide, 50.0 mm high, 80.0 mm deep/).waitFor();
});

test("measuring a large scan tells how far it has come", async () => {
  await page.goto(`${desk.base}/#/accession`);
  await page.reload();
  await page.getByLabel("Title", { exact: true }).first().fill("The mortar again");
  await page.evaluate(() => {
    window.told = [];
    new MutationObserver(() => window.told.push(document.querySelector(".scan .living")?.textContent)).observe(document.body, { subtree: true, childList: true, characterData: true });
  });
  await page.getByLabel("Scans of the original").setInputFiles(new URL("../../content/brackwater-mortar/models/original-mortar.glb", import.meta.url).pathname);
  await page.getByText(/150.2 mm wide, 132.4 mm high, 150.8 mm deep/).waitFor({ timeout: 90_000 });
  const told = await page.evaluate(() => window.told);
  for (const part of [/% has come/, /^1 of 3/, /^2 of 3/, /^3 of 3/]) assert.ok(told.some((text) => part.test(text)), `${part} is not among ${[...new Set(told)].join("; ")}`);
});

test("a photograph is dropped in, and asks what it shows and whose it is", async () => {
  await page.goto(`${desk.base}/#/o/the-turned-cup/d/a-worn-place`);
  await page.reload();
  const photograph = readFileSync(new URL("../../content/brackwater-mortar/details/lip-patch/patch-close.jpg", import.meta.url));
  const form = page.locator(".drop", { has: page.getByLabel("The photograph") });
  await drop(form, { name: "Worn Place.JPG", type: "image/jpeg", bytes: photograph });
  await form.getByText("Chosen: Worn Place.JPG").waitFor();
  await form.getByRole("button", { name: "Add this photograph" }).click();
  await form.getByText(/What it shows|what it shows/).last().waitFor();
  const record = join(content, "the-turned-cup/details/a-worn-place/record.toml");
  assert.doesNotMatch(readFileSync(record, "utf8"), /photographs/, "nothing is taken in before it is told what it shows");
  await form.getByLabel(/^What it shows/).fill("A worn rim, close by.");
  await form.getByRole("button", { name: "Add this photograph" }).click();
  await page.locator(".photographs img").waitFor();
  await page.waitForFunction(() => document.querySelector(".photographs img").naturalWidth > 0);
  assert.match(readFileSync(record, "utf8"), /\[\[photographs\]\]\nfile = "worn-place\.jpg"\nrights = ".+"\nalt = .*A worn rim, close by\./s);
  assert.deepEqual(readFileSync(join(content, "the-turned-cup/details/a-worn-place/worn-place.jpg")), photograph);
});

test("a detail is moved, only its place changes in the file, and the last change is taken back", async () => {
  const record = join(content, "the-turned-cup/details/a-mended-spot/record.toml");
  const before = readFileSync(record, "utf8");
  await page.goto(`${desk.base}/#/o/the-turned-cup/d/a-mended-spot`);
  await page.reload();
  await ready();
  await page.locator(".place-told", { hasText: "Taken from the full scan" }).waitFor();
  await page.getByRole("button", { name: "Move the place" }).click();
  await touch(0.44, 0.45)();
  await page.getByText("Kept as a draft; not in the files yet.").waitFor();
  await page.getByRole("button", { name: "Write it to the files" }).click();
  await page.getByText("Written to the files.").first().waitFor({ state: "attached" });
  const now = readFileSync(record, "utf8").split("\n");
  const changed = now.filter((line, i) => line !== before.split("\n")[i]);
  assert.equal(now.length, before.split("\n").length);
  const point = /point_mm = \[[^\]]+\]/;
  assert.ok(changed.length === 1 && before.replace(point, "") === now.join("\n").replace(point, ""), changed.join("; "));
  assert.ok(off(/\[([^\]]+)\]/.exec(changed[0])[1].split(",").map(Number)) <= 0.05);
  await page.getByRole("navigation").getByRole("link", { name: "What was done" }).click();
  await page.getByRole("button", { name: "Take back the last change" }).click();
  await page.locator(".taken-back").first().waitFor();
  assert.equal(readFileSync(record, "utf8"), before);
});

test("the program proposes a view; the keeper's own is kept instead, and given up again", async () => {
  const record = join(content, "the-turned-cup/details/a-turned-line/record.toml");
  const before = readFileSync(record, "utf8");
  await page.goto(`${desk.base}/#/o/the-turned-cup/d/a-turned-line`);
  await page.reload();
  await ready();
  await page.getByText(/^The view that the program proposes shows \d+ % of it\.$/).waitFor();
  const write = async () => {
    await page.getByText("Kept as a draft; not in the files yet.").waitFor();
    await page.getByRole("button", { name: "Write it to the files" }).click();
    await page.locator(".age, .foot").getByText("Written to the files.").first().waitFor({ state: "attached" });
  };
  await page.getByRole("button", { name: "Show the proposed view" }).click();
  await page.getByRole("button", { name: "Turn left" }).click();
  await page.waitForTimeout(900);
  await page.getByRole("button", { name: "Use the view as it is now" }).click();
  await write();
  assert.match(readFileSync(record, "utf8"), /azimuth_deg = \d+(\.\d)?/);
  assert.ok(readFileSync(record, "utf8").includes(/anchor = .*/.exec(before)[0]), "the place is as it was");
  await page.getByRole("button", { name: "Leave it to the program" }).click();
  await write();
  assert.equal(readFileSync(record, "utf8"), before);
});

test("a draft is there again after the browser was closed", async () => {
  await page.goto(`${desk.base}/#/o/the-turned-cup/d/a-painted-ring`);
  await page.reload();
  await page.getByLabel("Words", { exact: true }).fill("Typed and not written.");
  await page.getByText("Kept as a draft; not in the files yet.").waitFor();
  await context.close();
  context = await browser.newContext({ viewport: DESKTOP, locale: "en-GB", reducedMotion: "reduce" });
  page = await context.newPage();
  await page.goto(desk.address);
  await page.getByRole("heading", { name: "Begun and not yet written" }).waitFor();
  await page.getByRole("link", { name: /a-painted-ring/ }).first().click();
  await page.getByRole("button", { name: "Take it up" }).click();
  assert.equal(await page.getByLabel("Words", { exact: true }).inputValue(), "Typed and not written.");
});

test("killed at fifty random moments, the desk loses nothing", async () => {
  await desk.kill();
  const copy = join(home, "killed/content");
  const whole = readdirSync(join(content, "the-turned-cup/details/a-worn-place")).sort();
  cpSync(content, copy, { recursive: true });
  const note = "the-turned-cup/details/a-worn-place/en.md";
  const acknowledged = { draft: null, saved: readFileSync(join(copy, note), "utf8"), sent: [] };
  let [drafts, saves] = [0, 0];
  let seed = 20261127;
  const random = () => (seed = (seed * 1664525 + 1013904223) % 4294967296) / 4294967296;
  for (let round = 0; round < 50; round++) {
    const one = await open(copy);
    const ask = await client(one);
    // What was acknowledged before the kill is there; of what was under way, one text or the other.
    const now = (await ask.get(`file?path=${note}`)).said;
    const allowed = [acknowledged.saved, ...acknowledged.sent];
    assert.ok(allowed.includes(now.text), `round ${round}: ${JSON.stringify(now.text)} is none of ${JSON.stringify(allowed)}`);
    if (acknowledged.draft) {
      const drafts = (await ask.get("drafts")).said;
      const kept = drafts.some((d) => d.file === note && d.text >= acknowledged.draft);
      assert.ok(kept, `round ${round}: the draft ${acknowledged.draft} is gone; there is ${JSON.stringify(drafts)}`);
    }
    acknowledged.saved = now.text;
    acknowledged.sent = [];
    let version = now.version;
    let going = true;
    const dying = new Promise((done) => setTimeout(done, random() * 120)).then(async () => {
      await one.kill();
      going = false;
    });
    for (let step = 0; going && step < 500; step++) {
      const mark = `${String(round).padStart(2, "0")}-${String(step).padStart(4, "0")}`;
      try {
        const drafted = await ask.post("draft", { window: "walker", path: note, base: version, text: mark });
        if (drafted.status === 200) {
          acknowledged.draft = mark;
          drafts++;
        }
        const text = `# A worn place\n\nWritten in round ${mark}.\n`;
        acknowledged.sent.push(text);
        const saved = await ask.post("save", { files: [{ path: note, version, text }], why: mark });
        if (saved.status !== 200) continue;
        [version] = saved.said.versions;
        saves++;
        acknowledged.saved = text;
        acknowledged.sent = [];
      } catch {
        break;
      }
    }
    await dying;
  }
  assert.ok(drafts > 25 && saves > 25, `${drafts} drafts and ${saves} saves were acknowledged before kills: too few to show anything`);
  const left = readdirSync(join(copy, "the-turned-cup/details/a-worn-place"));
  const last = await open(copy);
  await last.kill("SIGTERM");
  assert.deepEqual(readdirSync(join(copy, "the-turned-cup/details/a-worn-place")).sort(), whole, `nothing half-written is left (before: ${left})`);
  desk = await open(content);
});

test("on the demonstration: languages side by side, an outside save within a second, a difference explained", async () => {
  await desk.kill();
  const copy = join(home, "demonstration/content");
  cpSync(new URL("../../content", import.meta.url).pathname, copy, { recursive: true });
  rmSync(join(copy, "brackwater-mortar/details/wax-bead"), { recursive: true });
  desk = await open(copy);
  await page.goto(desk.address);
  await page.goto(`${desk.base}/#/o/brackwater-mortar/d/lip-patch`);
  await page.locator("h1", { hasText: "A patch in the lip" }).waitFor();
  assert.equal(await page.getByLabel("Title", { exact: true }).count(), 2, "one title in each language");
  const frame = page.frameLocator("iframe.preview");
  await frame.getByRole("heading", { level: 1, name: /A patch in the lip/ }).waitFor();
  await page.getByText("Taken from the full scan").first().waitFor({ timeout: 120_000 });
  await shot("8-demonstration");
  const note = join(copy, "brackwater-mortar/details/lip-patch/en.md");
  await shows(note, "The lip cracked at some time,", "The lip was cracked at some time,");

  // One changed value is one changed line.
  const record = join(copy, "brackwater-mortar/details/lip-patch/record.toml");
  const lines = readFileSync(record, "utf8").split("\n");
  await page.getByLabel("How this is known").selectOption("documented");
  await page.getByRole("button", { name: "Write it to the files" }).click();
  await page.getByText("Written to the files.").first().waitFor({ state: "attached" });
  const now = readFileSync(record, "utf8").split("\n");
  assert.equal(now.length, lines.length);
  assert.deepEqual(now.filter((line, i) => line !== lines[i]), ['ground = "documented"']);

  // Welsh is said to be up to date; then the English changes.
  const age = page.locator(".age");
  await page.getByRole("button", { name: "It says the same as the English now" }).click();
  await age.getByText("Says the same as the English.").waitFor();
  assert.match(readFileSync(join(copy, "translations.toml"), "utf8"), /brackwater-mortar\/details\/lip-patch\/cy\.md/);
  writeFileSync(note, readFileSync(note, "utf8").replace("The lip was cracked", "Once the lip was cracked"));
  await frame.getByText("Once the lip was cracked").waitFor();
  await page.reload();
  await age.getByText("The English has been changed since this was translated.").waitFor();

  await page.goto(`${desk.base}/#/o/brackwater-mortar`);
  await page.getByRole("link", { name: /^Explain difference/ }).first().click();
  await page.getByText(/^Explains difference/).waitFor();
  await page.locator(".place-told", { hasText: "On the replica" }).waitFor();
  await shot("9-explain");
});
