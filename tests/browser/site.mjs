// The published site: its pages, and a small server on the loopback for them.

import { createServer } from "node:http";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { extname, join, normalize, sep } from "node:path";

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
};

/** All files below a folder, with `/` between steps. */
export function files(folder, below = "") {
  return readdirSync(join(folder, below), { withFileTypes: true }).flatMap((entry) => {
    const name = below ? `${below}/${entry.name}` : entry.name;
    return entry.isDirectory() ? files(folder, name) : [name];
  });
}

/** Addresses of all pages: `""`, `"mortar/"`, … */
export function pages(folder) {
  return files(folder)
    .filter((name) => name.endsWith(".html"))
    .map((name) => name.replace(/index\.html$/, ""))
    .sort();
}

/** Serves a folder, or whichever a function names at the time; gives its address and a way to end. */
export function serve(folder) {
  const server = createServer((request, response) => {
    const root = normalize(typeof folder === "function" ? folder() : folder);
    const path = decodeURIComponent(new URL(request.url, "http://local").pathname);
    let file = normalize(join(root, path));
    try {
      if (!(file + sep).startsWith(root + sep)) throw new Error("outside");
      if (statSync(file).isDirectory()) file = join(file, "index.html");
      const body = readFileSync(file);
      response.writeHead(200, { "content-type": TYPES[extname(file)] ?? "application/octet-stream" });
      response.end(body);
    } catch {
      response.writeHead(404, { "content-type": "text/plain" });
      response.end("not here");
    }
  });
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
