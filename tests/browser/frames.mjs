// How long the viewer takes for a frame while it is turned, against the same triangles drawn bare.

import { PHONE } from "./browser.mjs";

/** Frames of one round, and rounds; both ways take turns, so that a busy moment meets both. */
const FRAMES = 10;
const ROUNDS = 3;

/** Runs before the page's scripts: keeps what the viewer draws with, to draw the same again. */
function keep() {
  const kept = (globalThis.kept = { arrays: new Map(), bound: new Map(), drawn: [] });
  const gl = WebGL2RenderingContext.prototype;
  const before = (name, act) => {
    const own = gl[name];
    gl[name] = function (...given) {
      act(this, ...given);
      return own.apply(this, given);
    };
  };
  before("bindBuffer", (_, target, buffer) => kept.bound.set(target, buffer));
  before("bufferData", (_, target, data) => kept.arrays.set(kept.bound.get(target), data));
  before("drawElements", (gl, mode, count, type, offset) => {
    if (gl.getParameter(gl.FRAMEBUFFER_BINDING) !== null) return;
    const buffer = gl.getVertexAttrib(gl.getAttribLocation(gl.getParameter(gl.CURRENT_PROGRAM), "position"), gl.VERTEX_ATTRIB_ARRAY_BUFFER_BINDING);
    const index = gl.getParameter(gl.ELEMENT_ARRAY_BUFFER_BINDING);
    kept.drawn.push({ mode, count, type, offset, position: kept.arrays.get(buffer), index: kept.arrays.get(index) });
  });
  addEventListener("pointerdown", (event) => (kept.pointer = event.pointerId), true);
}

/** Runs in the page: times of frames of both ways, milliseconds, the medians of each round. */
async function race({ frames, rounds }) {
  const median = (all) => [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)];
  const next = () => new Promise((done) => requestAnimationFrame(done));
  const canvas = [...document.querySelectorAll(".sheet canvas")].find((c) => c.offsetParent);
  const figure = canvas.closest("figure");
  const gl = canvas.getContext("webgl2");
  // What was drawn last, one frame of it.
  const again = globalThis.kept.drawn.findIndex((d, i, all) => i > 0 && d.index === all[0].index);
  const parts = globalThis.kept.drawn.splice(0).slice(0, again > 0 ? again : undefined);
  if (parts.length === 0 || parts.some((p) => !p.position || !p.index)) throw new Error("the viewer's triangles were not seen");

  // The bare way: positions through one matrix, one colour, on a canvas of the same size and kind.
  const bare = document.createElement("canvas");
  Object.assign(bare, { width: canvas.width, height: canvas.height });
  Object.assign(bare.style, { position: "fixed", inset: "0 auto auto 0", width: `${canvas.clientWidth}px`, height: `${canvas.clientHeight}px` });
  document.body.append(bare);
  const pen = bare.getContext("webgl2", { ...gl.getContextAttributes() });
  const program = pen.createProgram();
  for (const [type, text] of [
    [pen.VERTEX_SHADER, "#version 300 es\nin vec3 position; uniform mat4 view; void main() { gl_Position = view * vec4(position, 1.0); }"],
    [pen.FRAGMENT_SHADER, "#version 300 es\nprecision highp float; out vec4 colour; void main() { colour = vec4(0.5, 0.5, 0.5, 1.0); }"],
  ]) {
    const shader = pen.createShader(type);
    pen.shaderSource(shader, text);
    pen.compileShader(shader);
    pen.attachShader(program, shader);
  }
  pen.bindAttribLocation(program, 0, "position");
  pen.linkProgram(program);
  if (!pen.getProgramParameter(program, pen.LINK_STATUS)) throw new Error(pen.getProgramInfoLog(program));
  const arrays = parts.map((part) => {
    const array = pen.createVertexArray();
    pen.bindVertexArray(array);
    for (const [target, data] of [[pen.ARRAY_BUFFER, part.position], [pen.ELEMENT_ARRAY_BUFFER, part.index]]) {
      pen.bindBuffer(target, pen.createBuffer());
      pen.bufferData(target, data, pen.STATIC_DRAW);
    }
    pen.enableVertexAttribArray(0);
    pen.vertexAttribPointer(0, 3, pen.FLOAT, false, 0, 0);
    return array;
  });
  pen.viewport(0, 0, bare.width, bare.height);
  pen.enable(pen.DEPTH_TEST);
  const half = Number(figure.dataset.halfHeight);
  const [x, y, z] = figure.dataset.centre.trim().split(/\s+/).map(Number);
  const wide = half * (bare.width / bare.height);
  const draw = (turn) => {
    const [s, c] = [Math.sin(turn), Math.cos(turn)];
    // Turned about the upright axis through the centre; columns first.
    const view = [c / wide, 0, s / (8 * half), 0, 0, 1 / half, 0, 0, s / wide, 0, -c / (8 * half), 0, -(c * x + s * z) / wide, -y / half, (c * z - s * x) / (8 * half), 1];
    pen.clear(pen.COLOR_BUFFER_BIT | pen.DEPTH_BUFFER_BIT);
    pen.useProgram(program);
    pen.uniformMatrix4fv(pen.getUniformLocation(program, "view"), false, view);
    parts.forEach((part, i) => {
      pen.bindVertexArray(arrays[i]);
      pen.drawElements(part.mode, part.count, part.type, part.offset);
    });
  };

  // A pixel read back waits until the renderer has done the whole frame.
  const pixel = new Uint8Array(4);
  const done = (context) => context.readPixels(context.drawingBufferWidth >> 1, context.drawingBufferHeight >> 1, 1, 1, context.RGBA, context.UNSIGNED_BYTE, pixel);
  let begun = 0;
  // Asked for a frame ahead, so that it runs before whatever the viewer has asked for meanwhile.
  const begin = () => {
    begun = performance.now();
    requestAnimationFrame(begin);
  };
  requestAnimationFrame(begin);
  const box = canvas.getBoundingClientRect();
  let along = 0;
  const viewer = async () => {
    const start = performance.now();
    along += 3;
    const place = { clientX: box.left + box.width / 2 + along, clientY: box.top + box.height / 2 };
    canvas.dispatchEvent(new PointerEvent("pointermove", { bubbles: true, isPrimary: true, pointerType: "mouse", buttons: 1, pointerId: globalThis.kept.pointer, ...place }));
    const asked = performance.now() - start;
    await next();
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    done(gl);
    return performance.now() - begun + asked;
  };
  const plain = async (turn) => {
    await next();
    const start = performance.now();
    draw(turn);
    done(pen);
    const lit = pixel[3] !== 0;
    return { time: performance.now() - start, lit };
  };

  const out = { viewer: [], bare: [], drawings: 0, triangles: parts.reduce((n, p) => n + p.count / 3, 0), lit: true };
  for (let round = 0; round < rounds; round++) {
    const [v, b] = [[], []];
    globalThis.kept.drawn.length = 0;
    for (let i = 0; i < frames; i++) v.push(await viewer());
    out.drawings += globalThis.kept.drawn.length / parts.length / (frames * rounds);
    // What the viewer has asked for is not the bare way's to wait for.
    for (let i = 0; i < 3; i++) await next();
    done(gl);
    for (let i = 0; i < frames; i++) {
      const { time, lit } = await plain((along + i) * 0.03);
      b.push(time);
      out.lit &&= lit;
    }
    out.viewer.push(median(v));
    out.bare.push(median(b));
  }
  return { ...out, ratio: median(out.viewer.map((t, i) => t / out.bare[i])) };
}

/** Turns the model of an object's page by hand; gives times, drawings of the model a frame, and the ratio
 * of the times. `prepare` may run in the page before its scripts. */
export async function turning(browser, base, path, prepare = () => {}) {
  const context = await browser.newContext({ viewport: PHONE, deviceScaleFactor: 2, serviceWorkers: "block" });
  try {
    const page = await context.newPage();
    // The last to be added wraps the others: what `prepare` draws is not taken for the viewer's.
    await page.addInitScript(prepare);
    await page.addInitScript(keep);
    await page.goto(base + path, { waitUntil: "load" });
    const canvas = page.locator(".sheet canvas >> visible=true");
    await canvas.waitFor({ timeout: 90_000 });
    await page.waitForTimeout(600);
    await canvas.scrollIntoViewIfNeeded();
    const box = await canvas.boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await page.evaluate(() => (globalThis.kept.drawn.length = 0));
    await page.mouse.move(box.x + box.width / 2 + 8, box.y + box.height / 2, { steps: 1 });
    await page.waitForFunction(() => globalThis.kept.drawn.length > 0);
    await page.waitForTimeout(400);
    return await page.evaluate(race, { frames: FRAMES, rounds: ROUNDS });
  } finally {
    await context.close();
  }
}
