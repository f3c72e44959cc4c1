// What pictures show, for those who cannot see them: every picture of every page.

import { readFileSync } from "node:fs";

/** Pictures that tell nothing and so have an empty text, each with the reason. There are none. */
export const DECORATIVE = [
  // { selector: "img.rule", reason: "a line between sections" },
];

/** Listened to in one breath. */
const MOST = 250;
const THEME = new URL("../../themes/plate/words/", import.meta.url);

/** The program's words about pictures in one language: key → text. */
export function wordsOf(lang) {
  const lines = readFileSync(new URL(`sight.${lang}.toml`, THEME), "utf8").split("\n");
  return new Map(lines.map((line) => /^(\w+) = "(.*)"$/.exec(line)).filter(Boolean).map(([, key, text]) => [key, text]));
}

/** Letters that a text names, by the places it names them at: "Letters: upper left b; middle a, c." */
function lettersIn(alt, words) {
  const [before, after] = words.get("alt_letters").split("{list}");
  const start = alt.indexOf(before);
  if (start < 0) return null;
  const list = alt.slice(start + before.length, alt.indexOf(after, start + before.length));
  const places = [...words].filter(([key]) => key.startsWith("at_")).map(([, place]) => `${place} `);
  places.sort((a, b) => b.length - a.length);
  return list.split("; ").flatMap((item) => {
    const place = places.find((p) => item.startsWith(p));
    return place ? item.slice(place.length).split(", ") : [`?${item}`];
  });
}

/** Faults of the alternative texts of a page. */
export async function alternatives(page) {
  const { lang, pictures } = await page.evaluate((decorative) => {
    const told = (img) => ({
      src: img.getAttribute("src"),
      alt: img.getAttribute("alt"),
      decorative: decorative.some((selector) => img.matches(selector)),
      // A still is the program's own picture; it tells from where it was taken.
      still: img.classList.contains("still"),
      // What the text had no room for.
      more: img.closest("figure")?.querySelector(".picture-tells")?.textContent ?? "",
      letters: [...(img.closest("figure")?.querySelectorAll("svg.leaders a text") ?? [])].map((t) => t.textContent.trim()),
    });
    return { lang: document.documentElement.lang, pictures: [...document.querySelectorAll("img")].map(told) };
  }, DECORATIVE.map((d) => d.selector));
  const words = wordsOf(lang);
  const sides = [...words].filter(([key, text]) => key.startsWith("view_") && !text.includes("{")).map(([, text]) => text);
  const faults = [];
  const seen = new Map();
  for (const { src, alt, more, decorative, still, letters } of pictures) {
    const fault = (what) => faults.push(`${src}: ${what}${alt ? ` (“${alt}”)` : ""}`);
    if (alt === null) { fault("has no alternative text"); continue; }
    if (alt.trim() === "") { if (!decorative) fault("has an empty alternative text and is not listed as decorative"); continue; }
    if (decorative) fault("is listed as decorative and has a text");
    if (/\.(jpe?g|png|webp|svg)\b/i.test(alt) || src.includes(alt)) fault("is told by its file name");
    if (!/[.!?…][”’")]?$/.test(alt)) fault("does not end with a stop");
    if ([...alt].length > MOST) fault(`is told in ${[...alt].length} characters`);
    if (seen.has(alt) && seen.get(alt) !== src) fault(`is told like ${seen.get(alt)}`);
    seen.set(alt, src);
    if (/\{\w*\}/.test(alt)) fault("has a blank that was not filled");
    if (still && !sides.some((side) => alt.includes(side))) fault(`does not say in ‘${lang}’ from where it is seen`);
    const named = lettersIn(alt, words) ?? lettersIn(more, words) ?? [];
    if (named.toSorted().join() !== letters.toSorted().join()) fault(`names the letters ${named.join() || "–"}, and ${letters.join() || "none"} are drawn`);
  }
  return faults;
}
