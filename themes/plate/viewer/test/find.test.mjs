// What is typed is folded as the index was, and sets are read as they were written.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { build } from "esbuild";

const load = async (file) => {
  const { outputFiles } = await build({ entryPoints: [new URL(`../find/${file}`, import.meta.url).pathname], bundle: true, write: false, format: "esm" });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].text).toString("base64")}`);
};
const [{ fold, words }, { decode }] = await Promise.all(["fold.ts", "set.ts"].map(load));

test("words are folded as in the index", () => {
  const table = JSON.parse(readFileSync(new URL("../../../../tests/find/folded.json", import.meta.url), "utf8"));
  assert.ok(table.length > 10);
  for (const [text, folded] of table) assert.deepEqual(words(text), folded, text);
  assert.equal(fold("Cŵn"), "cwn");
});

test("sets are read as they are written", () => {
  const numbers = (text, n) => [...decode(text, n).entries()].flatMap(([i, has]) => (has ? [i] : []));
  assert.deepEqual(numbers("", 10), []);
  assert.deepEqual(numbers("3+2 3", 100), [3, 4, 5, 9]);
  assert.deepEqual(numbers("0 2q", 100), [0, 99]);
  assert.deepEqual(numbers("!VVUF", 20), [0, 2, 4, 6, 8, 10, 12, 14, 16, 18]);
  assert.equal(numbers("0+j", 20).length, 20);
});
