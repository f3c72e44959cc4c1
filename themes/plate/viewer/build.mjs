// Bundles the script that comes with a page, the viewer, what a gallery screen does beside, and the worker that
// keeps pages, into one classic script each: they must also run where modules are forbidden. node build.mjs [FOLDER]
import { join } from "node:path";
import { build } from "esbuild";

const folder = process.argv[2] ?? ".";
const shared = { bundle: true, minify: true, format: "iife", target: "es2022", charset: "utf8", legalComments: "none", logLevel: "warning" };
await build({
  ...shared,
  entryPoints: ["src/main.ts"],
  outfile: join(folder, "stage.js"),
  banner: { js: "/* counterpart viewer; contains ogl (Unlicense) and the meshoptimizer decoder (MIT) */" },
});
await build({ ...shared, entryPoints: ["src/first.ts"], outfile: join(folder, "viewer.js") });
await build({ ...shared, entryPoints: ["kiosk/main.ts"], outfile: join(folder, "kiosk.js") });
await build({ ...shared, entryPoints: ["worker/offline.ts"], outfile: join(folder, "offline.js") });
