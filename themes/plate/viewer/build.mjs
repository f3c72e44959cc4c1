// Bundles the viewer into one classic script: it must also run where modules are forbidden.
import { build } from "esbuild";

await build({
  entryPoints: ["src/main.ts"],
  outfile: process.argv[2] ?? "viewer.js",
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  charset: "utf8",
  legalComments: "none",
  banner: { js: "/* counterpart viewer; contains ogl (Unlicense) and the meshoptimizer decoder (MIT) */" },
  logLevel: "warning",
});
