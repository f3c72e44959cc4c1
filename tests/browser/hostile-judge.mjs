// What a hostile text could have done to a page: opens pages of a published folder in a browser and tells it.

import { existsSync, statSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { serve } from "./site.mjs";

/** Waits for what the viewer writes, and looks for words where a page lets one. */
export async function look(page) {
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
}

/** Opens pages, two at a time, does with each what `visit` does, and tells everything that a hostile text could
 * have done. The folder is served below another, so that an address that climbs out of it is seen to do so. */
export async function judged(browser, folder, paths, { policy, visit = look }) {
  const site = await serve(dirname(folder));
  const base = `${site.base}${basename(folder)}/`;
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
      const fault = (what) => faults.push(`/${path}: ${what}`);
      page.on("dialog", (dialog) => {
        fault(`a dialog: ${dialog.message()}`);
        dialog.dismiss();
      });
      page.on("request", (request) => {
        if (!request.url().startsWith(base) && !/^(data|blob):/.test(request.url())) fault(`a request leaves the site: ${request.url()}`);
      });
      page.on("pageerror", (error) => fault(`a script error: ${error.message}`));
      page.on("popup", () => fault("a window opened"));
      await page.goto(base + path, { waitUntil: "load" });
      await visit(page, fault);
      if (!page.url().startsWith(base)) fault(`the page went to ${page.url()}`);
      const { found, addresses } = await page.evaluate(structure);
      found.forEach(fault);
      for (const address of addresses) if (!stands(folder, base, address)) fault(`an address that leads nowhere: ${address}`);
      await page.close();
    }
  };
  await Promise.all([visitor(), visitor()]);
  await context.close();
  site.close();
  return faults;
}

/** Whether there is a file of the site at this whole address. */
function stands(folder, base, address) {
  if (!address.startsWith(base)) return false;
  try {
    const file = join(folder, decodeURIComponent(address.slice(base.length).replace(/[?#].*$/s, "")));
    return existsSync(file) && (statSync(file).isFile() || existsSync(join(file, "index.html")));
  } catch {
    return false;
  }
}

/** What stands in the page itself, whether or not it ran; and whole addresses of everything in the site that it names. */
function structure() {
  const [found, addresses] = [[], []];
  const fault = (what) => found.push(what);
  if (document.querySelectorAll("h1").length !== 1) fault(`${document.querySelectorAll("h1").length} first headings`);
  if (!document.title.trim() || !document.querySelector("main")?.innerText.trim()) fault("no title, or nothing in the page");
  const ids = new Set();
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
    if (element.id && ids.has(element.id)) fault(`a second element is called ${element.id}`);
    ids.add(element.id);
    for (const { name: attribute, value } of element.attributes) {
      if (/^on/i.test(attribute)) fault(`<${name} ${attribute}>`);
      if (!/^(href|src|srcset|action|formaction|data|poster|ping|cite|manifest|background|xlink:href)$/i.test(attribute)) continue;
      const each = /^srcset$/i.test(attribute) ? value.split(/,\s+/).map((one) => one.trim().split(/\s/)[0]) : [value];
      for (const one of each) {
        // A page points elsewhere by links alone, whole ones; and at what is in it, and in the site, by relative ones.
        if (/^(https?:\/\/|mailto:)/.test(one) && (name === "a" || name === "link")) continue;
        if (/^(data:,|data:text\/vtt;base64,[\w+/=]*)$/.test(one) || one.startsWith("#")) continue;
        if (/^([a-z][a-z0-9+.-]*:|[/\\\s\0-\x1f])/i.test(one)) fault(`<${name} ${attribute}="${one.slice(0, 80)}">`);
        else addresses.push(new URL(one, document.baseURI).href);
      }
    }
  }
  return { found, addresses };
}
