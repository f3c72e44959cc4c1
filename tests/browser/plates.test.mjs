// Plates as a browser shows them: sizes of letters, what lies under leader lines, how a screen reader
// is told. DISPLAY_DIR names the folder.

import assert from "node:assert/strict";
import { test } from "node:test";
import { DESKTOP, PHONE } from "./browser.mjs";
import { browser, displayed, folder, site, visited } from "./display.mjs";

const objects = visited.filter((path) => /^(cy\/)?[a-z-]+\/$/.test(path) && !/glossary|find|not-kept|^cy\/$/.test(path));
const handouts = objects.map((path) => `${path}handout/`);
displayed({ model: false });

async function everyPlate(settings, paths, look) {
  // As published: the page's own script would add the letters of other sides, unseen.
  const context = await browser.newContext({ javaScriptEnabled: false, reducedMotion: "reduce", ...settings });
  const faults = [];
  for (const path of paths) {
    const page = await context.newPage();
    await page.goto(site.base + path, { waitUntil: "load" });
    faults.push(...(await look(page)).map((fault) => `/${path}: ${fault}`));
    await page.close();
  }
  await context.close();
  assert.deepEqual(faults, []);
}

test("there are plates of at least two sides, with words of their own", () =>
  everyPlate({ viewport: DESKTOP }, [...objects, ...handouts], (page) =>
    page.evaluate(() => {
      const faults = [];
      const drawings = [...document.querySelectorAll("svg.leaders")];
      if (drawings.length < 2) faults.push(`${drawings.length} plates`);
      const titles = drawings.map((d) => d.querySelector(":scope > title")?.textContent);
      if (new Set(titles).size !== titles.length) faults.push(`two plates have one title: ${titles}`);
      for (const drawing of drawings) {
        const [title, desc] = ["aria-labelledby", "aria-describedby"].map((name) => document.getElementById(drawing.getAttribute(name)));
        if (title?.parentNode !== drawing || desc?.parentNode !== drawing) faults.push("a drawing is not named by its own title and description");
        if (drawing.getAttribute("role") !== "group") faults.push("a drawing with links is a group");
        if (!desc?.textContent.includes("mm")) faults.push("the description does not tell the bar's length");
        for (const link of drawing.querySelectorAll("a")) {
          const [name, letter] = [link.querySelector("title").textContent, link.querySelector("text").textContent];
          if (!name.startsWith(`${letter}: `)) faults.push(`the link ‘${name}’ does not begin with its letter ‘${letter}’`);
        }
      }
      return faults;
    })));

test("letters are nine pixels or more on a phone and do not touch", () =>
  everyPlate({ viewport: PHONE }, [...objects, ...handouts], (page) =>
    page.evaluate(() => {
      const faults = [];
      for (const drawing of document.querySelectorAll("svg.leaders")) {
        if (!drawing.getClientRects().length) continue;
        const scale = drawing.getBoundingClientRect().width / drawing.viewBox.baseVal.width;
        const texts = [...drawing.querySelectorAll("text")];
        for (const text of texts) {
          const size = parseFloat(getComputedStyle(text).fontSize) * scale;
          if (size < 9) faults.push(`‘${text.textContent}’ is ${size.toFixed(1)} px high`);
        }
        const boxes = texts.map((text) => [text.textContent, text.getBBox()]);
        const sheet = drawing.viewBox.baseVal;
        boxes.forEach(([name, a], i) => {
          if (a.x < 0 || a.x + a.width > sheet.width) faults.push(`‘${name}’ leaves the sheet`);
          for (const [other, b] of boxes.slice(i + 1)) {
            // The box of a text is as high as its font, which no letter fills.
            const [dx, dy] = [Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x), Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y)];
            if (dx > 0 && dy > 0.35 * Math.min(a.height, b.height)) faults.push(`‘${name}’ and ‘${other}’ overlap`);
          }
        });
      }
      return faults;
    })));

/** WCAG 2.2, relative luminance of sRGB bytes. */
const luminance = (rgb) => {
  const [r, g, b] = rgb.map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const contrast = (a, b) => (Math.max(luminance(a), luminance(b)) + 0.05) / (Math.min(luminance(a), luminance(b)) + 0.05);

for (const colorScheme of ["light", "dark"]) {
  test(`leader lines stand out from what is under them: ${colorScheme}`, async () => {
    const seen = { least: Infinity, samples: 0 };
    await everyPlate({ viewport: DESKTOP, colorScheme, deviceScaleFactor: 2 }, objects, async (page) => {
      // Of each drawing the halos only: what a line lies on.
      const faults = [];
      for (const drawing of await page.locator("svg.leaders").all()) {
        if (!(await drawing.isVisible())) continue;
        const ink = await drawing.evaluate((svg) => {
          for (const line of svg.querySelectorAll(".line, .end, text")) line.style.setProperty("visibility", "hidden");
          const line = svg.querySelector(".line");
          return line ? getComputedStyle(line).stroke.match(/\d+/g).slice(0, 3).map(Number) : null;
        });
        if (!ink) continue;
        await drawing.scrollIntoViewIfNeeded();
        await page.evaluate(async () => {
          await Promise.all([...document.images].filter((image) => image.getClientRects().length).map((image) => image.decode().catch(() => {})));
        });
        const shot = (await drawing.screenshot()).toString("base64");
        const along = await drawing.evaluate(async (svg, shot) => {
          const image = new Image();
          image.src = `data:image/png;base64,${shot}`;
          await image.decode();
          const canvas = Object.assign(document.createElement("canvas"), { width: image.width, height: image.height });
          const context = canvas.getContext("2d", { willReadFrequently: true });
          context.drawImage(image, 0, 0);
          const scale = image.width / svg.viewBox.baseVal.width;
          return [...svg.querySelectorAll("path.line")].flatMap((line) => {
            const total = line.getTotalLength();
            return Array.from({ length: 60 }, (_, i) => {
              const at = line.getPointAtLength(((i + 0.5) / 60) * total);
              return [...context.getImageData(Math.round(at.x * scale), Math.round(at.y * scale), 1, 1).data.slice(0, 3)];
            });
          });
        }, shot);
        for (const under of along) {
          const found = contrast(ink, under);
          seen.least = Math.min(seen.least, found);
          seen.samples += 1;
          if (found < 3) faults.push(`${ink} on ${under}: ${found.toFixed(2)}`);
        }
      }
      return faults;
    });
    assert.ok(seen.samples > 500, `${seen.samples} places were looked at`);
    console.log(`# ${colorScheme}: ${seen.samples} places, contrast at least ${seen.least.toFixed(2)}`);
  });
}
