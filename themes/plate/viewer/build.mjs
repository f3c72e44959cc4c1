// Bundles the script that comes with a page, the viewer, what a gallery screen does beside, what looks for
// words, and the worker that keeps pages, into one classic script each: they must also run where modules are forbidden. The worker that unpacks
// models is a text within the viewer. node build.mjs [FOLDER]
import { join } from "node:path";
import { build } from "esbuild";

const folder = process.argv[2] ?? ".";
const shared = { bundle: true, minify: true, format: "iife", target: "es2022", charset: "utf8", legalComments: "none", logLevel: "warning" };
const unpack = {
  name: "unpack",
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /^unpack:text$/ }, ({ path }) => ({ path, namespace: "unpack" }));
    onLoad({ filter: /.*/, namespace: "unpack" }, async () => {
      const { outputFiles } = await build({ ...shared, entryPoints: ["worker/unpack.ts"], write: false });
      return { contents: outputFiles[0].text, loader: "text" };
    });
  },
};
await build({
  ...shared,
  plugins: [unpack],
  entryPoints: ["src/main.ts"],
  outfile: join(folder, "stage.js"),
  banner: { js: "/* counterpart viewer; contains ogl (Unlicense) and the meshoptimizer decoder (MIT) */" },
});
await build({ ...shared, entryPoints: ["src/first.ts"], outfile: join(folder, "viewer.js") });
await build({ ...shared, entryPoints: ["kiosk/main.ts"], outfile: join(folder, "kiosk.js") });
await build({ ...shared, entryPoints: ["find/main.ts"], outfile: join(folder, "find.js") });
await build({ ...shared, entryPoints: ["worker/offline.ts"], outfile: join(folder, "offline.js") });
