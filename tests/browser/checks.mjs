// What is asked of every page. Each check gives a list of faults; an empty list is a pass. The
// self-test shows that each of them can fail.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** WCAG 2.2 A and AA and best practice, by axe-core. */
export async function axe(page) {
  await page.evaluate(AXE);
  const found = await page.evaluate((rules) => globalThis.axe.run(document, { runOnly: rules }), RULES);
  return found.violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${v.help}: ${n.target.join(" ")} ${n.failureSummary?.split("\n")[1] ?? ""}`));
}

/** No scrolling to the side (WCAG 1.4.10). */
export async function overflow(page) {
  return page.evaluate(() => {
    const wide = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= wide) return [];
    const out = [...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > wide + 1);
    return [`the page is ${document.documentElement.scrollWidth} px wide in ${wide}: ${out.slice(0, 3).map((e) => `${e.tagName}.${e.className?.baseVal ?? e.className}`).join(", ")}`];
  });
}

/** Everything that can be used is reached by Tab, in order, and shows that it is (2.1.1, 2.1.2, 2.4.7). */
export async function keyboard(page) {
  const wanted = await page.evaluate(() => {
    // What a closed summary hides keeps its boxes, but is not in sight.
    const shown = (e) => e.getClientRects().length > 0 && e.checkVisibility({ visibilityProperty: true });
    // Of a group of radio buttons only one takes part in the order.
    const once = (e) => e.type !== "radio" || e.checked;
    const all = [...document.querySelectorAll("a[href], button, input, select, textarea, canvas[tabindex], summary, audio[controls], video[controls]")];
    const usable = all.filter((e) => shown(e) && once(e) && e.getAttribute("tabindex") !== "-1");
    usable.forEach((e, i) => e.setAttribute("data-order", String(i)));
    return usable.length;
  });
  // Within a player the browser has stops of its own; so have a frame, and a group of which nothing is chosen yet.
  const within = 12 * (await page.locator("audio[controls], video[controls], iframe").count()) + (await page.locator("input[type=radio]").count());
  const faults = [];
  const reached = [];
  for (let i = 0; i < wanted + 3 + within; i++) {
    await page.keyboard.press("Tab");
    const now = await page.evaluate(() => {
      const e = document.activeElement;
      if (!e || e === document.body) return null;
      const style = getComputedStyle(e);
      const seen = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0;
      return { order: e.getAttribute("data-order"), name: e.textContent?.trim().slice(0, 30) ?? "", seen };
    });
    if (!now) break;
    if (now.order !== null) reached.push(Number(now.order));
    if (!now.seen) faults.push(`the focus does not show on ‘${now.name}’`);
  }
  const once = new Set(reached);
  if (once.size < wanted) faults.push(`${wanted - once.size} of ${wanted} things cannot be reached by Tab`);
  const order = [...once];
  if (order.some((n, i) => i > 0 && n < order[i - 1])) faults.push("Tab does not follow the order of the page");
  return faults;
}

/** Without script the page still has its words, headings, stills and tables. */
export async function withoutScript(page) {
  return page.evaluate(() => {
    const faults = [];
    const text = document.querySelector("main")?.innerText.trim() ?? "";
    if (text.length < 60) faults.push("the page has almost no words without script");
    if (!document.querySelector("h1")?.getClientRects().length) faults.push("no heading is to be seen");
    for (const image of document.querySelectorAll("main img:not([loading=lazy])")) {
      const shown = image.getClientRects().length > 0;
      if (shown && !(image.complete && image.naturalWidth > 0)) faults.push(`a picture is not there: ${image.currentSrc}`);
    }
    return faults;
  });
}

/** Text spacing as WCAG 1.4.12 names it loses nothing. */
export async function spacing(page) {
  await page.evaluate(() => {
    for (const e of document.querySelectorAll("body, body *:not(svg):not(svg *)")) {
      e.style.setProperty("line-height", "1.5", "important");
      e.style.setProperty("letter-spacing", "0.12em", "important");
      e.style.setProperty("word-spacing", "0.16em", "important");
      if (e.tagName === "P") e.style.setProperty("margin-bottom", "2em", "important");
    }
  });
  const clipped = await page.evaluate(() =>
    [...document.querySelectorAll("main *, header *, footer *")]
      .filter((e) => {
        const style = getComputedStyle(e);
        const hides = ["hidden", "clip"].includes(style.overflowX) || ["hidden", "clip"].includes(style.overflowY);
        return hides && e.clientWidth > 2 && !e.querySelector("svg, img, canvas") && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1);
      })
      .map((e) => `text is cut in ${e.tagName}.${e.className}`),
  );
  return [...clipped, ...(await overflow(page))];
}

/** Every address on the page: those inside must exist, fragments too. */
export async function addresses(page) {
  return page.evaluate(() =>
    [...document.querySelectorAll("a[href], link[rel=alternate]")].map((e) => new URL(e.getAttribute("href"), location.href).href),
  );
}

/** The policy that the page promises (section 11 of the standards): nothing inline, nothing foreign. */
export function policy(html) {
  const faults = [];
  const own = html.replace(/<!--[\s\S]*?-->/g, "");
  if (!/http-equiv="?Content-Security-Policy/i.test(own)) faults.push("no Content-Security-Policy");
  for (const [, attributes, body] of own.matchAll(/<script\b([^>]*)>([\s\S]*?)<\/script>/gi)) {
    // One kind of block of data is no script (HTML Standard, 4.12.1): that of this type alone, with no
    // other attribute, and JSON within that could not end it.
    if (/^\s*type=["']?application\/ld\+json["']?\s*$/.test(attributes)) {
      if (/[<>]/.test(body)) faults.push("a block of data with < or >");
      try {
        JSON.parse(body);
      } catch {
        faults.push("a block of data that is no JSON");
      }
    } else if (!/\bsrc=/.test(attributes) || body.trim()) faults.push("an inline script");
  }
  if (/<style\b/i.test(own)) faults.push("an inline style sheet");
  for (const [tag] of own.matchAll(/<[a-z][^>]*>/gi)) {
    const bare = tag.replace(/"[^"]*"|'[^']*'/g, '""');
    if (/\sstyle=/i.test(bare)) faults.push(`a style attribute: ${tag.slice(0, 80)}`);
    if (/\son[a-z]+=/i.test(bare)) faults.push(`an event attribute: ${tag.slice(0, 80)}`);
    if (/(?:href|src)=["']?\s*javascript:/i.test(tag)) faults.push(`a javascript: address: ${tag.slice(0, 80)}`);
    if (!/^<(a|meta)\b/i.test(tag) && /(?:src|srcset|href|poster)=["']?\s*(?:https?:)?\/\//i.test(tag)) {
      faults.push(`a foreign resource: ${tag.slice(0, 80)}`);
    }
  }
  return faults;
}
