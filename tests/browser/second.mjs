// A second browser, of another make: Firefox ESR, by WebDriver BiDi.

import { spawn } from "node:child_process";
import puppeteer from "puppeteer-core";

/** Firefox draws models only on a screen: a made-up one where there is none, in memory. */
function screen() {
  return new Promise((resolve, reject) => {
    const x = spawn("Xvfb", ["-displayfd", "1", "-screen", "0", "1400x1000x24", "-nolisten", "tcp"], { stdio: ["ignore", "pipe", "ignore"] });
    x.on("error", reject);
    x.on("exit", (code) => reject(new Error(`Xvfb ended: ${code}`)));
    x.stdout.once("data", (number) => resolve({ display: `:${String(number).trim()}`, end: () => x.kill() }));
  });
}

/** Starts Firefox; without a model it can draw none, as on a device without WebGL. */
export async function launch({ model = true } = {}) {
  const made = model ? await screen() : null;
  const browser = await puppeteer.launch({
    browser: "firefox",
    executablePath: process.env.FIREFOX ?? "/usr/bin/firefox-esr",
    headless: !model,
    env: { ...process.env, ...(made ? { DISPLAY: made.display, LIBGL_ALWAYS_SOFTWARE: "1" } : {}) },
    extraPrefsFirefox: { "webgl.disabled": !model, "webgl.force-enabled": model, "ui.prefersReducedMotion": 1 },
  });
  return {
    browser,
    async close() {
      await browser.close();
      made?.end();
    },
  };
}

/** Sets the size. An older Firefox cannot turn the screen, which the library then asks of it as well: only that may fail. */
async function sized(page, size) {
  await page.setViewport(size).catch((error) => {
    if (!/unknown command emulation\.setScreenOrientationOverride/.test(error.message)) throw error;
  });
  await until(page, ({ width, height }) => innerWidth === width && innerHeight === height, size);
}

/** Waits for a page. The library's own way makes a function from text, which the policy of our pages forbids. */
export async function until(page, holds, given = null, patience = 30_000) {
  const end = Date.now() + patience;
  while (!(await page.evaluate(holds, given))) {
    if (Date.now() > end) throw new Error(`waited ${patience / 1000} s in vain for ${holds}`);
    await new Promise((done) => setTimeout(done, 100));
  }
}

/** Opens a page and gathers everything that goes wrong on it. */
export async function open(browser, address, { width = 1280, height = 900 } = {}) {
  const page = await browser.newPage();
  await sized(page, { width, height });
  const faults = [];
  // The browser warns that a slow renderer is slow.
  page.on("console", (m) => ["error", "warn"].includes(m.type()) && !/WebGL.*(ReadPixels|perf)/i.test(m.text()) && faults.push(`console ${m.type()}: ${m.text()}`));
  page.on("pageerror", (error) => faults.push(`script error: ${error.message}`));
  page.on("requestfailed", (request) => faults.push(`request failed: ${request.url()}`));
  page.on("response", (response) => response.status() >= 400 && faults.push(`${response.status()}: ${response.url()}`));
  await page.goto(address, { waitUntil: "load" });
  return { page, faults };
}
