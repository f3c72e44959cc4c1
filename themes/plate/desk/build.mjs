// Bundles the desk's page into one classic script. Libraries are the viewer's: npm ci there first.
// node build.mjs [FOLDER]
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const viewer = join(here, "../viewer");
const { build } = createRequire(join(viewer, "package.json"))("esbuild");
await build({
  absWorkingDir: here,
  entryPoints: ["src/main.ts"],
  outfile: join(process.argv[2] ?? here, "desk.js"),
  nodePaths: [join(viewer, "node_modules")],
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  charset: "utf8",
  legalComments: "none",
  logLevel: "warning",
  banner: { js: "/* counterpart desk; contains ogl (Unlicense) */" },
});
