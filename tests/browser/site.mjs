// The published site: its pages, and a small server on the loopback for them.

import { createServer } from "node:http";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { extname, join, normalize, sep } from "node:path";
import { gzipSync } from "node:zlib";

const TYPES = {
  ".html": "text/html; charset=utf-8",
  ".css": "text/css",
  ".js": "text/javascript",
  ".svg": "image/svg+xml",
  ".webp": "image/webp",
  ".jpg": "image/jpeg",
  ".png": "image/png",
  ".woff2": "font/woff2",
  ".glb": "model/gltf-binary",
  ".mp3": "audio/mpeg",
  ".mp4": "video/mp4",
  ".vtt": "text/vtt",
  ".jsonld": "application/ld+json",
  ".json": "application/json",
  ".xml": "application/tei+xml",
};

/** All files below a folder, with `/` between steps. */
export function files(folder, below = "") {
  return readdirSync(join(folder, below), { withFileTypes: true }).flatMap((entry) => {
    const name = below ? `${below}/${entry.name}` : entry.name;
    return entry.isDirectory() ? files(folder, name) : [name];
  });
}

/** Whether a page only leads on to where something is now. */
const leadsOn = (folder, name) => readFileSync(join(folder, name), "utf8").includes("data-moved");

/** Addresses of all pages: `""`, `"mortar/"`, …; without those that only lead on. */
export function pages(folder) {
  return files(folder)
    .filter((name) => name.endsWith(".html") && !leadsOn(folder, name))
    .map((name) => name.replace(/index\.html$/, ""))
    .sort();
}

/** Addresses of the pages that only lead on. */
export function moved(folder) {
  return files(folder)
    .filter((name) => name.endsWith(".html") && leadsOn(folder, name))
    .map((name) => name.replace(/index\.html$/, ""))
    .sort();
}

/** What a web server usually compresses; the other kinds are compressed by themselves. */
const TEXTS = new Set([".html", ".css", ".js", ".svg", ".txt"]);

/** Serves a folder, or whichever a function names at the time; gives its address and a way to end.
 * `packed` compresses texts, as servers on the network do; `hold` lets a page
 * itself come so many milliseconds late. */
export function serve(folder, { packed = false, hold = 0 } = {}) {
  // Kept, so that the time of compressing is not taken for the network's.
  const small = new Map();
  const server = createServer((request, response) => {
    const wait = request.headers["sec-fetch-dest"] === "document" ? hold : 0;
    if (wait) setTimeout(answer, wait, request, response);
    else answer(request, response);
  });
  const answer = (request, response) => {
    const root = normalize(typeof folder === "function" ? folder() : folder);
    const path = decodeURIComponent(new URL(`http://local${request.url}`).pathname);
    let file = normalize(join(root, path));
    try {
      if (!(file + sep).startsWith(root + sep)) throw new Error("outside");
      if (statSync(file).isDirectory()) file = join(file, "index.html");
      const body = readFileSync(file);
      const head = { "content-type": TYPES[extname(file)] ?? "application/octet-stream" };
      if (packed && TEXTS.has(extname(file)) && /\bgzip\b/.test(request.headers["accept-encoding"] ?? "")) {
        if (!small.has(file)) small.set(file, gzipSync(body, { level: 6 }));
        response.writeHead(200, { ...head, "content-encoding": "gzip", vary: "accept-encoding" });
        response.end(small.get(file));
      } else {
        response.writeHead(200, head);
        response.end(body);
      }
    } catch {
      response.writeHead(404, { "content-type": "text/plain" });
      response.end("not here");
    }
  };
  return new Promise((resolve) => {
    server.listen(0, "127.0.0.1", () => {
      const close = () => {
        server.close();
        server.closeAllConnections();
      };
      resolve({ base: `http://127.0.0.1:${server.address().port}/`, close });
    });
  });
}
