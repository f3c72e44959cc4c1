// A desk to be walked: the program on a free port, a bowl whose shape is known in closed form, and the
// plain requests that a page would send.

import { spawn } from "node:child_process";
import { createInterface } from "node:readline";

const PROGRAM = process.env.COUNTERPART ?? new URL("../../target/release/counterpart", import.meta.url).pathname;

/** Opens a desk; gives the newest start address, and ways to end it. */
export function open(content, more = []) {
  const child = spawn(PROGRAM, ["desk", content, "--json", ...more], { stdio: ["ignore", "pipe", "pipe"] });
  const desk = { child, address: "", base: "", errors: "" };
  child.stderr.on("data", (text) => (desk.errors += text));
  desk.ended = new Promise((done) => child.on("exit", done));
  desk.kill = async (signal = "SIGKILL") => {
    child.kill(signal);
    await desk.ended;
  };
  return new Promise((resolve, reject) => {
    child.on("exit", () => reject(new Error(`the desk did not open: ${desk.errors}`)));
    createInterface({ input: child.stdout }).on("line", (line) => {
      desk.address = JSON.parse(line).open;
      desk.base = new URL(desk.address).origin;
      resolve(desk);
    });
  });
}

/** What a page would send, with the cookie of the start address. */
export async function client(desk) {
  const first = await fetch(desk.address, { redirect: "manual" });
  const cookie = first.headers.get("set-cookie").split(";")[0];
  const headers = { cookie, origin: desk.base, "sec-fetch-site": "same-origin", "content-type": "application/json" };
  const answer = async (response) => ({ status: response.status, said: await response.json() });
  return {
    cookie,
    get: async (path) => answer(await fetch(`${desk.base}/api/${path}`, { headers })),
    post: async (path, body) => answer(await fetch(`${desk.base}/api/${path}`, { method: "POST", headers, body: JSON.stringify(body) })),
  };
}

/** Outer and inner radius of the bowl and its height, millimetres. */
export const BOWL = { outer: 40, inner: 36, high: 50, floor: 5 };

/** An upright cup with straight walls, as binary STL in millimetres, +Y up. */
export function bowl({ outer, inner, high, floor } = BOWL, around = 96, along = 24) {
  const profile = [[0, 0], ...steps([0, 0], [outer, 0], 8), ...steps([outer, 0], [outer, high], along), [inner, high], ...steps([inner, high], [inner, floor], along), ...steps([inner, floor], [0, floor], 8)];
  const at = ([r, y], k) => {
    const turn = (2 * Math.PI * (k % around)) / around;
    return [r * Math.sin(turn), y, r * Math.cos(turn)];
  };
  const triangles = [];
  for (let i = 0; i + 1 < profile.length; i++) {
    for (let k = 0; k < around; k++) {
      const [a, b, c, d] = [at(profile[i], k), at(profile[i + 1], k), at(profile[i + 1], k + 1), at(profile[i], k + 1)];
      if (profile[i + 1][0] > 0) triangles.push([a, c, b]);
      if (profile[i][0] > 0) triangles.push([a, d, c]);
    }
  }
  const file = Buffer.alloc(84 + 50 * triangles.length);
  file.writeUInt32LE(triangles.length, 80);
  triangles.forEach((corners, i) => {
    const start = 84 + 50 * i + 12;
    corners.flat().forEach((value, j) => file.writeFloatLE(value, start + 4 * j));
  });
  return file;
}

function steps([r0, y0], [r1, y1], count) {
  return Array.from({ length: count }, (_, i) => [r0 + ((r1 - r0) * (i + 1)) / count, y0 + ((y1 - y0) * (i + 1)) / count]);
}

/** How far a point is from the surface of the bowl, as if it were truly round. */
export function off([x, y, z], { outer, inner, high, floor } = BOWL) {
  const r = Math.hypot(x, z);
  const side = (radius, low) => Math.hypot(r - radius, Math.max(low - y, 0, y - high));
  const disc = (level, least, most) => Math.hypot(y - level, Math.max(least - r, 0, r - most));
  return Math.min(side(outer, 0), side(inner, floor), disc(0, 0, outer), disc(floor, 0, inner), disc(high, inner, outer));
}
