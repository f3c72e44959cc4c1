// Debian's Chromium, headless, with a software renderer and no talk to the outside.

import { chromium } from "playwright-core";

const QUIET = [
  "--no-sandbox",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];
const WITH_MODEL = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"];
/** For those who start the browser in another way. */
export const SWITCHES = [...QUIET, ...WITH_MODEL];
const WITHOUT_MODEL = ["--disable-gpu", "--disable-3d-apis"];

export function launch({ model = true } = {}) {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [...QUIET, ...(model ? WITH_MODEL : WITHOUT_MODEL)],
  });
}

/** Milliseconds after which even a slow machine has done what is waited for. */
export const SLOWEST = 90_000;
export const PHONE = { width: 390, height: 844 };
export const DESKTOP = { width: 1280, height: 900 };
export const NARROW = { width: 320, height: 700 };

/** Opens a page and gathers everything that goes wrong on it. */
export async function open(context, base, path) {
  const page = await context.newPage();
  page.setDefaultTimeout(SLOWEST);
  const faults = [];
  page.on("console", (message) => {
    // A software renderer says that reading pixels back is slow: true, and no fault of the page. Nor is that
    // a test holds the worker back.
    if (["error", "warning"].includes(message.type()) && !/GL Driver Message|ReadPixels|blocked by Playwright/.test(message.text())) {
      faults.push(`console ${message.type()}: ${message.text()}`);
    }
  });
  page.on("pageerror", (error) => faults.push(`script error: ${error.message}`));
  page.on("requestfailed", (request) => faults.push(`request failed: ${request.url()} (${request.failure()?.errorText})`));
  page.on("request", (request) => {
    const url = request.url();
    if (!url.startsWith(base) && !/^(data|blob):/.test(url)) faults.push(`request leaves the site: ${url}`);
  });
  page.on("response", (response) => {
    if (response.status() >= 400) faults.push(`${response.status()}: ${response.url()}`);
  });
  await page.goto(base + path, { waitUntil: "load" });
  return { page, faults };
}
