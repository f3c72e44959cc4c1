// Every crate that the program or its tests are built of: its licence is one we may pass on, it comes from the
// registry and nowhere else, its digest is in the lock file, and it was not taken back (yanked) when cargo last
// read the registry's index. Licence names: SPDX. There is no list of known weaknesses here: see DEVELOPERS.md.

import { execFileSync } from "node:child_process";
import { existsSync, readFileSync, readdirSync, statSync } from "node:fs";
import { homedir } from "node:os";
import { join } from "node:path";

const ALLOWED = new Set([
  "MIT", "MIT-0", "Apache-2.0", "Apache-2.0 WITH LLVM-exception", "BSD-2-Clause", "BSD-3-Clause", "0BSD", "ISC", "Zlib",
  "MPL-2.0", "BSL-1.0", "CC0-1.0", "Unlicense", "Unicode-3.0",
]);
/** So many crates may stand in the tree in more than one version; a new one is to be looked at, then counted here. */
const TWICE = 15;

/** Whether an SPDX expression leaves a choice that is allowed; the old `/` says OR. */
export function allowed(expression) {
  const words = expression.replaceAll("/", " OR ").match(/[()]|[^\s()]+/g) ?? [];
  let at = 0;
  const either = () => {
    let holds = both();
    while (words[at] === "OR") { at++; const more = both(); holds = holds || more; }
    return holds;
  };
  const both = () => {
    let holds = one();
    while (words[at] === "AND") { at++; const more = one(); holds = holds && more; }
    return holds;
  };
  const one = () => {
    if (words[at] === "(") { at++; const holds = either(); at++; return holds; }
    let name = words[at++] ?? "";
    if (words[at] === "WITH") { name += ` WITH ${words[at + 1]}`; at += 2; }
    return ALLOWED.has(name);
  };
  const holds = either();
  return holds && at === words.length;
}

/** What must come out of the judge before it is believed. */
const TRIED = [
  ["MIT OR GPL-3.0-only", true], ["MIT AND GPL-3.0-only", false], ["GPL-2.0-only", false], ["", false],
  ["(MIT OR Apache-2.0) AND Unicode-3.0", true], ["(MIT OR Apache-2.0) AND LGPL-3.0-only", false],
  ["Apache-2.0 WITH LLVM-exception", true], ["GPL-2.0-only WITH Classpath-exception-2.0", false], ["MIT/Apache-2.0", true],
];
const faults = TRIED.filter(([text, holds]) => allowed(text) !== holds).map(([text]) => `the judge of licences is wrong about ‘${text}’`);

const metadata = (offline) => JSON.parse(execFileSync("cargo", ["metadata", "--format-version", "1", "--locked", ...(offline ? ["--offline"] : [])], { maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "inherit"] }));
const { packages } = metadata(false);
const foreign = packages.filter((p) => p.source !== null);
const locked = readFileSync("Cargo.lock", "utf8").split("[[package]]").slice(1);
const digests = new Set(locked.filter((p) => /\nchecksum = "[0-9a-f]{64}"/.test(p)).map((p) => `${p.match(/name = "(.*)"/)[1]} ${p.match(/version = "(.*)"/)[1]}`));

/** The index as cargo keeps it: one line of JSON a version, parted by zero bytes. */
const home = join(process.env.CARGO_HOME ?? join(homedir(), ".cargo"), "registry", "index");
const kept = existsSync(home) ? readdirSync(home).map((name) => join(home, name, ".cache")).filter(existsSync) : [];
function indexed(name) {
  const lower = name.toLowerCase();
  const folder = lower.length < 3 ? String(lower.length) : lower.length === 3 ? join("3", lower[0]) : join(lower.slice(0, 2), lower.slice(2, 4));
  const found = kept.map((cache) => join(cache, folder, lower)).filter(existsSync);
  const versions = new Map();
  for (const path of found) {
    for (const line of readFileSync(path, "utf8").split("\0")) {
      if (!line.startsWith("{")) continue;
      const { vers, yanked } = JSON.parse(line);
      versions.set(vers, yanked === true);
    }
  }
  return { versions, at: Math.max(0, ...found.map((path) => statSync(path).mtimeMs)) };
}

let oldest = Date.now();
const versions = new Map();
for (const p of foreign) {
  const called = `${p.name} ${p.version}`;
  if (!allowed(p.license ?? "")) faults.push(`${called}: its licence ‘${p.license}’ is not among those that we may pass on`);
  if (p.source !== "registry+https://github.com/rust-lang/crates.io-index") faults.push(`${called}: comes from ${p.source}, not from the registry`);
  if (!digests.has(called)) faults.push(`${called}: Cargo.lock has no digest of it`);
  const { versions: known, at } = indexed(p.name);
  if (!known.has(p.version)) faults.push(`${called}: the index that cargo keeps does not know it; run: cargo fetch --locked`);
  else if (known.get(p.version)) faults.push(`${called}: was taken back by its makers; run: cargo update -p ${p.name}`);
  oldest = Math.min(oldest, at || oldest);
  versions.set(p.name, [...(versions.get(p.name) ?? []), p.version]);
}
const twice = [...versions].filter(([, all]) => all.length > 1);
if (twice.length > TWICE) faults.push(`${twice.length} crates stand in the tree more than once, at most ${TWICE} may: ${twice.map(([name, all]) => `${name} (${all.join(", ")})`).join("; ")}`);
if (foreign.length < 100) faults.push(`only ${foreign.length} crates were found`);

for (const fault of faults) console.log(fault);
console.log(`${foreign.length} crates, each under a licence that is allowed, from the registry, with a digest, none taken back as the index said ${new Date(oldest).toISOString().slice(0, 10)} or later; ${twice.length} in more than one version`.replace(/^/, faults.length ? "of " : ""));
process.exit(faults.length ? 1 : 0);
