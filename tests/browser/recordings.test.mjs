// Sound and film on the published pages: captions load and say what their files say, words can be
// read without playing anything, and the keyboard reaches what plays.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { test } from "node:test";
import parser from "webvtt-parser";
import { DESKTOP, open } from "./browser.mjs";
import * as checks from "./checks.mjs";
import { browser, displayed, folder, having, site, visited } from "./display.mjs";
import { pages, serve } from "./site.mjs";

displayed({ model: false });
const playing = having("<track ");
const all = (html, pattern) => [...html.matchAll(pattern)].map(([, found]) => found);
const html = (root, path) => readFileSync(join(root, path, "index.html"), "utf8");

/** Both readers count seconds in floating point. */
const ms = (seconds) => Math.round(seconds * 1000);

/** Cues of a file by a general parser, their marks taken out. */
function cues(file) {
  const { cues, errors } = new parser.WebVTTParser().parse(readFileSync(file, "utf8"), "subtitles");
  assert.deepEqual(errors, [], file);
  return cues.map((cue) => ({ start: ms(cue.startTime), end: ms(cue.endTime), text: cue.text.replace(/<[^>]*>/g, "") }));
}

/** What the browser has loaded of every track of the page. */
const loaded = (page) =>
  page.evaluate(async () => {
    const out = [];
    for (const element of document.querySelectorAll("track")) {
      element.track.mode = "hidden";
      if (element.readyState < 2) await new Promise((done) => ["load", "error"].forEach((e) => element.addEventListener(e, done)));
      const cues = [...(element.track.cues ?? [])];
      out.push({
        src: element.getAttribute("src"),
        lang: element.srclang,
        kind: element.track.kind,
        cues: cues.map((cue) => ({ start: cue.startTime, end: cue.endTime, text: cue.getCueAsHTML().textContent })),
      });
    }
    return out;
  }).then((tracks) => tracks.map((track) => ({ ...track, cues: track.cues.map((cue) => ({ ...cue, start: ms(cue.start), end: ms(cue.end) })) })));

/** The words of a page's transcripts, whether they are open or not. */
const transcripts = (page) => page.evaluate(() => [...document.querySelectorAll(".said")].map((e) => e.textContent.replace(/\s+/g, " ")));

test("captions load in the browser and are those of the file", async () => {
  assert.ok(playing.some((path) => path.startsWith("cy/")) && playing.length >= 4, playing.join(", "));
  const context = await browser.newContext({ viewport: DESKTOP });
  for (const path of playing) {
    const { page, faults } = await open(context, site.base, path);
    const tracks = await loaded(page);
    assert.deepEqual(tracks.map((t) => t.lang).sort(), ["cy", "en"], path);
    for (const track of tracks) {
      const wanted = cues(join(folder, path, track.src));
      assert.equal(track.kind, "captions");
      assert.ok(wanted.length > 2, track.src);
      assert.deepEqual(track.cues, wanted, track.src);
    }
    assert.deepEqual(faults, []);
    await page.close();
  }
  await context.close();
});

test("a page in another language than the one spoken shows its captions unasked", () => {
  for (const path of playing) {
    const marked = all(html(folder, path), /<track ([^>]*)>/g).filter((t) => /\bdefault\b/.test(t));
    assert.equal(marked.length, path.startsWith("cy/") ? 1 : 0, path);
    for (const track of marked) assert.match(track, /srclang="?cy/);
  }
});

test("all that is said can be read, without script and on paper", async () => {
  const context = await browser.newContext({ viewport: DESKTOP, javaScriptEnabled: false });
  for (const path of playing) {
    const page = await context.newPage();
    await page.goto(site.base + path, { waitUntil: "load" });
    const lang = path.startsWith("cy/") ? "cy" : "en";
    const own = all(html(folder, path), new RegExp(`<track [^>]*src="?([^\\s">]*-${lang}\\.[^\\s">]*vtt)`, "g"));
    const words = own.flatMap((src) => cues(join(folder, path, src)).map((cue) => cue.text));
    const shown = page.locator(".transcript .said").first();
    const sentence = words[0];
    assert.equal(await shown.isVisible(), false, "closed at first");
    await page.locator(".transcript summary").first().click();
    assert.ok(await shown.isVisible());
    for (const text of words) assert.ok((await shown.innerText()).includes(text), `${path}: ${text}`);
    // Closed again, it is open on paper.
    await page.locator(".transcript summary").first().click();
    await page.emulateMedia({ media: "print" });
    const printed = page.getByText(sentence).first();
    assert.ok((await printed.boundingBox())?.height > 5, `${path} on paper`);
    assert.ok(await printed.evaluate((e) => e.checkVisibility({ contentVisibilityAuto: true })), `${path} on paper`);
    await page.close();
  }
  await context.close();
});

test("the large-print sheet and the gallery's screen tell it in words, and play nothing", async () => {
  const spoken = new Set(playing.filter((p) => !p.startsWith("cy/")).flatMap((p) => all(html(folder, p), /<track [^>]*src="?([^\s">]*-en\.[^\s">]*vtt)/g).map((src) => cues(join(folder, p, src))[0].text)));
  assert.ok(spoken.size >= 2);
  const sheet = html(folder, "brackwater-mortar/large-print/");
  for (const text of spoken) assert.ok(sheet.includes(text), text);
  const screens = pages(folder).filter((path) => /(^|\/)kiosk\//.test(path));
  assert.ok(screens.length >= 4);
  for (const path of [...screens, "brackwater-mortar/large-print/"]) {
    assert.ok(!/<(audio|video|track)\b|media-src/.test(html(folder, path)), path);
  }
  assert.match(html(folder, "brackwater-mortar/kiosk/"), /class="?said/);
});

test("nothing plays or loads by itself, and only pages with recordings may load any", async () => {
  for (const path of visited) {
    const text = html(folder, path);
    const media = all(text, /<((?:audio|video)\b[^>]*)>/g);
    assert.equal(/media-src 'self'/.test(text), media.length > 0, path);
    for (const one of media) {
      assert.ok(!/autoplay|\bloop\b/.test(one), one);
      assert.match(one, /preload="?none/);
      assert.match(one, /\bcontrols\b/);
    }
  }
  const context = await browser.newContext({ viewport: DESKTOP });
  const { page } = await open(context, site.base, "brackwater-mortar/making/");
  const asked = await page.evaluate(() => performance.getEntriesByType("resource").map((e) => e.name).filter((n) => /\.(mp3|mp4)$/.test(n)));
  assert.deepEqual(asked, []);
  await context.close();
});

test("the keyboard reaches what plays, it plays, and axe finds nothing", async () => {
  const context = await browser.newContext({ viewport: DESKTOP, reducedMotion: "reduce" });
  const described = visited.filter((path) => /class="?described/.test(html(folder, path)) && /<audio/.test(html(folder, path)));
  assert.ok(described.length >= 2);
  for (const path of [...playing, ...described]) {
    const { page, faults } = await open(context, site.base, path);
    assert.deepEqual(await checks.axe(page), [], path);
    let reached = false;
    for (let i = 0; i < 120 && !reached; i++) {
      await page.keyboard.press("Tab");
      reached = await page.evaluate(() => document.activeElement instanceof HTMLMediaElement);
    }
    assert.ok(reached, `${path}: Tab comes to it`);
    await page.keyboard.press("Space");
    // Chromium of Debian plays both formats; what matters is that the key starts it.
    const state = await page.waitForFunction(() => [...document.querySelectorAll("audio, video")].some((m) => m.currentTime > 0.1), null, { timeout: 60_000 });
    assert.ok(state);
    assert.deepEqual(faults, [], path);
    await page.close();
  }
  await context.close();
});

test("what is kept for use without a network includes recordings and captions", () => {
  const worker = readFileSync(join(folder, "offline.js"), "utf8");
  const list = JSON.parse(worker.slice(worker.indexOf("{"), worker.indexOf(";\n")));
  const own = JSON.parse(readFileSync(join(folder, list.objects["brackwater-mortar"].list), "utf8"));
  const kept = own.map(([path]) => path);
  for (const path of playing) {
    for (const src of all(html(folder, path), /<(?:source|track) [^>]*src="?([^\s">]*\.(?:mp3|mp4|vtt))/g)) {
      assert.ok(kept.includes(src.replace(/^(\.\.\/)+/, "")), src);
    }
  }
});

test("what is kept plays with the server gone, and from its middle", async () => {
  const gone = await serve(folder);
  const context = await browser.newContext({ viewport: DESKTOP });
  const { page: asks } = await open(context, gone.base, "brackwater-mortar/");
  await asks.waitForFunction(() => document.querySelector(".keeping")?.textContent.includes("These pages are kept"), null, { timeout: 90_000 });
  await asks.close();
  gone.close();
  const path = playing.find((p) => /<video/.test(html(folder, p)));
  const { page, faults } = await open(context, gone.base, path);
  await page.locator("video").evaluate((video) => video.play());
  await page.waitForFunction(() => document.querySelector("video").currentTime > 0.1, null, { timeout: 60_000 });
  await page.locator("video").evaluate((video) => void (video.currentTime = 10));
  await page.waitForFunction(() => document.querySelector("video").currentTime > 10.2, null, { timeout: 60_000 });
  assert.ok((await loaded(page)).every((track) => track.cues.length > 2));
  assert.deepEqual(faults, []);
  await context.close();
});

// The copy for a disk: another file's captions are refused there, so the page carries them.
const carry = process.env.CARRY_DIR;
test("on a disk the captions load too", { skip: !carry }, async () => {
  const base = pathToFileURL(carry).href.replace(/\/?$/, "/");
  const context = await browser.newContext({ viewport: DESKTOP });
  for (const path of playing) {
    const { page, faults } = await open(context, base, `${path}index.html`);
    const tracks = await loaded(page);
    assert.equal(tracks.length, 2);
    const served = all(html(folder, path), /<track [^>]*src="?([^\s">]*vtt)/g);
    assert.deepEqual(tracks.map((t) => t.cues), served.map((src) => cues(join(folder, path, src))), path);
    assert.ok((await transcripts(page)).length > 0);
    await page.locator("audio, video").first().evaluate((m) => m.play());
    await page.waitForFunction(() => [...document.querySelectorAll("audio, video")].some((m) => m.currentTime > 0.1), null, { timeout: 60_000 });
    assert.deepEqual(faults, [], path);
    await page.close();
  }
  await context.close();
});
