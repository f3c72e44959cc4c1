// Our reading of captions beside a general validator of WebVTT (npm `webvtt-parser`, CC0): on the
// same files it finds faults where we do. The library's own test, in `src/record/captions/tests.rs`,
// says which those are.

import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import parser from "webvtt-parser";

const folder = new URL("../captions/", import.meta.url).pathname;
const faults = (kind, name) => new parser.WebVTTParser().parse(readFileSync(join(folder, kind, name), "utf8"), "subtitles").errors;

for (const [kind, wanted] of [["good", false], ["bad", true]]) {
  test(`${kind} captions are ${kind} to another reader too`, () => {
    const names = readdirSync(join(folder, kind));
    assert.ok(names.length >= 12, "there are files");
    for (const name of names) {
      const found = faults(kind, name);
      assert.equal(found.length > 0, wanted, `${name}: ${JSON.stringify(found)}`);
    }
  });
}
