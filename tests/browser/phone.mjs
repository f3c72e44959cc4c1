// A phone in the middle of the market on a slow mobile network, and what a page costs there.

import { PHONE } from "./browser.mjs";

/**
 * The network: Lighthouse's “Slow 4G”, from memory: 1.6 Mbit/s (1638.4 kbit/s) down, 750 kbit/s up, 150 ms
 * a round trip. The browser's own throttle slows whole requests and knows no handshakes, so Lighthouse has
 * a second set for it (562.5 ms a request, nine tenths of the rates). That set charges a handshake to every
 * request, though a server that speaks HTTP/2 asks for one a visit. So here each request pays one round
 * trip, and the page itself, held back by the server, four: a name, a connection, its keys, the request.
 */
export const SLOW_4G = { roundTrip: 150, down: 1638.4, up: 750 };
/** The browser counts its latency from the sending of a request, so this holds the one round trip, too. */
export const FIRST_ANSWER = 4 * SLOW_4G.roundTrip;
/** Lighthouse's slowdown of a desktop's processor to that of a mid-range phone, from memory. */
export const SLOWDOWN = 4;
/** Milliseconds without a request after which a page has all that it asks for by itself. */
const REST = 500;
const BYTES_PER_KBIT = 1000 / 8;

/** Runs in the page before its own scripts: gathers what the browser tells of paints, shifts and long tasks. */
function gather() {
  const seen = (globalThis.seen = { first: null, largest: null, element: "", shift: 0, moved: [], tasks: [], waits: [], frame: null });
  const watch = (type, take) =>
    new PerformanceObserver((list) => list.getEntries().forEach(take)).observe({ type, buffered: true });
  watch("paint", (entry) => {
    if (entry.name === "first-contentful-paint") seen.first = entry.startTime;
  });
  watch("largest-contentful-paint", (entry) => {
    seen.largest = entry.startTime;
    seen.element = `${entry.element?.tagName} ${entry.url.replace(/.*\//, "") || entry.element?.textContent.slice(0, 40)}`;
  });
  watch("layout-shift", (entry) => {
    // Nobody touches the page here. What the browser takes for input is its own turning into a phone, half a
    // second from the start: shifts in that time count.
    seen.shift += entry.value;
    for (const { node, previousRect: a, currentRect: b } of entry.sources) {
      const place = (box) => `${Math.round(box.x)},${Math.round(box.y)}`;
      seen.moved.push(`${Math.round(entry.startTime)} ms: ${node?.nodeName}.${node?.className ?? ""} ${place(a)} to ${place(b)}`);
    }
  });
  watch("longtask", (entry) => seen.tasks.push({ start: entry.startTime, length: entry.duration }));
  // Calls that come back only when the renderer has started, or done all that it was asked before. The
  // renderer of this machine is software: what they wait for is not the phone's, so their time is taken
  // out of long tasks and told beside them. Whatever script does itself, and what it takes to send off
  // buffers, pictures and draws, stays in.
  const clock = (owner, name) => {
    const own = owner[name];
    owner[name] = function (...given) {
      const start = performance.now();
      try {
        return own.apply(this, given);
      } finally {
        const length = performance.now() - start;
        if (length > 1 && !(name === "getContext" && given[0] === "2d")) seen.waits.push({ name, start, length });
      }
    };
  };
  const gl = WebGL2RenderingContext.prototype;
  for (const name of ["getShaderInfoLog", "getShaderParameter", "getProgramInfoLog", "getProgramParameter", "getActiveUniform", "getActiveAttrib", "getUniformLocation", "getAttribLocation", "checkFramebufferStatus", "getError", "finish", "readPixels"]) {
    clock(gl, name);
  }
  clock(HTMLCanvasElement.prototype, "getContext");
  for (const name of ["drawElements", "drawArrays"]) {
    const own = gl[name];
    gl[name] = function (...given) {
      if (this.getParameter(this.FRAMEBUFFER_BINDING) === null) seen.frame ??= performance.now();
      return own.apply(this, given);
    };
  }
}

/** Longest task until the model's first frame, or of the whole load; `own` without waits for the renderer.
 * `blocking` is what of all tasks after the first paint goes beyond 50 ms each, the total blocking time,
 * without such waits as well. */
function blocked({ tasks, waits, frame, first }) {
  const until = frame ?? Infinity;
  const all = tasks.map((task) => {
    const end = task.start + task.length;
    const within = waits.filter((w) => w.start >= task.start && w.start < end);
    return { start: task.start, whole: task.length, own: task.length - within.reduce((sum, w) => sum + Math.min(w.length, end - w.start), 0) };
  });
  const before = all.filter(({ start }) => start <= until);
  const painted = all.filter(({ start }) => start >= first);
  return {
    whole: Math.max(0, ...before.map((t) => t.whole)),
    own: Math.max(0, ...before.map((t) => t.own)),
    blocking: painted.reduce((sum, t) => sum + Math.max(0, t.own - 50), 0),
  };
}

/** Slows a page's network and processor, and writes down its requests. */
async function slowed(wire, slowdown) {
  const requests = new Map();
  const state = {
    offline: false,
    latency: SLOW_4G.roundTrip,
    downloadThroughput: SLOW_4G.down * BYTES_PER_KBIT,
    uploadThroughput: SLOW_4G.up * BYTES_PER_KBIT,
    // Told to the page as well: how far ahead a browser fetches pictures depends on it.
    connectionType: "cellular4g",
  };
  let last = Date.now();
  const note = (id, what) => {
    last = Date.now();
    if (requests.has(id)) Object.assign(requests.get(id), what);
  };
  wire.on("Network.requestWillBeSent", ({ requestId, request: { url }, timestamp }) => {
    if (!/^https?:/.test(url)) return;
    requests.set(requestId, { url, begun: timestamp, ended: null, bytes: 0 });
    note(requestId, {});
  });
  wire.on("Network.loadingFinished", ({ requestId, timestamp, encodedDataLength }) => note(requestId, { ended: timestamp, bytes: encodedDataLength }));
  wire.on("Network.loadingFailed", ({ requestId, timestamp, errorText }) => note(requestId, { ended: timestamp, failed: errorText }));
  await wire.send("Network.enable");
  await wire.send("Network.emulateNetworkConditions", state);
  await wire.send("Network.overrideNetworkState", state);
  await wire.send("Emulation.setCPUThrottlingRate", { rate: slowdown });
  const rests = () => Date.now() - last >= REST && [...requests.values()].every((r) => r.ended !== null);
  return { requests, rests };
}

/**
 * Loads a page once with an empty cache, waits for its model, scrolls to its end; gives its figures.
 * The worker that keeps pages is held back: the browser does not slow what a worker fetches.
 */
export async function visit(browser, base, path, slowdown = SLOWDOWN) {
  const context = await browser.newContext({ viewport: PHONE, deviceScaleFactor: 2, hasTouch: true, isMobile: true, serviceWorkers: "block" });
  try {
    const page = await context.newPage();
    const { requests, rests } = await slowed(await context.newCDPSession(page), slowdown);
    await page.addInitScript(gather);
    await page.goto(base + path, { waitUntil: "load" });
    if (await page.locator("[data-stage]").count()) await page.waitForFunction(() => seen.frame !== null, null, { timeout: 90_000 });
    while (!rests()) await page.waitForTimeout(50);
    const all = [...requests.values()].sort((a, b) => a.begun - b.begun);
    const { first, largest, element } = await page.evaluate(() => seen);
    await page.evaluate(async () => {
      for (let y = 0; y < document.documentElement.scrollHeight; y += innerHeight) {
        scrollTo(0, y);
        await new Promise((done) => setTimeout(done, 50));
      }
    });
    await page.waitForTimeout(200);
    const seen = await page.evaluate(() => globalThis.seen);
    const model = all.find((r) => r.url.endsWith(".glb"));
    const before = all.filter((r) => !model || r.begun < model.begun);
    return {
      path, first, largest, element,
      shift: seen.shift,
      moved: seen.moved,
      bytes: before.reduce((sum, r) => sum + r.bytes, 0),
      model: model?.bytes ?? null,
      frame: seen.frame,
      ...blocked(seen),
      failed: all.filter((r) => r.failed).map((r) => `${r.url}: ${r.failed}`),
      before: before.map((r) => `${r.bytes} ${r.url.replace(/.*\//, "") || "page"} ${Math.round((r.begun - all[0].begun) * 1000)}–${Math.round((r.ended - all[0].begun) * 1000)}`),
      tasks: seen.tasks, waits: seen.waits,
    };
  } finally {
    await context.close();
  }
}
