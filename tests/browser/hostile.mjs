// A content folder in which every text is hostile: published strings that try to run a script, in every field
// of records, notes, captions and site.toml. A text that the program refuses is put back to what it was and
// counted; the rest is published.

import { execFileSync, spawnSync } from "node:child_process";
import { appendFileSync, cpSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";

/** Ways out of the places that this site has, which a general list may lack: templates, blocks of data, styles. */
const OURS = [
  "{{ 7 * 7 }}{% raw %}<script>alert(1)</script>{% endraw %}",
  "{% include 'base.html' %}{{ __tera_context }}",
  "</script><script>alert(1)</script>",
  "</style><script>alert(1)</script>",
  "</title><script>alert(1)</script>",
  "]]><script>alert(1)</script>",
  "--><script>alert(1)</script><!--",
  "\" autofocus onfocus=alert(1) x=\"",
  "' autofocus onfocus=alert(1) x='",
  "\u2028alert(1)\u2029",
  "</textarea></noscript></template><img src=x onerror=alert(1)>",
  "<svg><desc><![CDATA[</desc><script>alert(1)</script>]]></svg>",
];

/** Strings of the list that could be markup, script or an escape; the others are words in many writings. */
export function payloads(list) {
  const all = JSON.parse(readFileSync(list, "utf8")).map((text) => text.replace(/[\r\n]+/g, " ").trim());
  const sharp = all.filter((text) => /[<>"'`&{}\\%]|script|on\w+\s*=/i.test(text));
  return [...new Set([...sharp, ...OURS])];
}

/** TOML's basic strings are JSON's, but for one character. */
export const quoted = (text) => JSON.stringify(text).replaceAll("\x7f", "\\u007f");

/** A file as pieces: `[text, hostile text]`; a piece without the second is left alone. */
class Pieces {
  constructor() {
    this.all = [];
  }
  plain(text) {
    this.all.push({ text });
  }
  hostile(text, instead, held) {
    this.all.push({ text, instead, held });
  }
  /** The bytes as they stand now. */
  written() {
    return this.all.map((p) => (p.instead !== undefined && !p.refused ? p.instead : p.text)).join("");
  }
  /** Puts back what stands at these bytes; whether there was anything. */
  putBack(start, end) {
    let at = 0;
    let found = 0;
    for (const piece of this.all) {
      const hostile = piece.instead !== undefined && !piece.refused;
      const length = Buffer.byteLength(hostile ? piece.instead : piece.text);
      if (hostile && at < Math.max(end, start + 1) && at + length > start) {
        piece.refused = true;
        found++;
      }
      at += length;
    }
    return found;
  }
}

/** Keys whose values are words for people, and keys that name addresses and files. */
const WORDS = /\b(en|cy|name|affiliation|publisher|title|author|held|holder|date|number|role|credit)( = )("""[\s\S]*?"""|"(?:[^"\\]|\\.)*")/g;
const FILE = /^"[\w.-]+\.\w{3,4}"$/;

/** Hands out payloads, so many at a time; each round begins elsewhere. */
export function dealer(strings, rounds, round) {
  const size = Math.ceil(strings.length / rounds);
  let field = round;
  return () => {
    const from = (field++ % rounds) * size;
    return strings.slice(from, from + size);
  };
}

function record(text, deal) {
  const pieces = new Pieces();
  let at = 0;
  for (const found of text.matchAll(WORDS)) {
    const [whole, key, is, value] = found;
    if (FILE.test(value)) continue;
    pieces.plain(text.slice(at, found.index));
    const strings = deal();
    const own = value.startsWith('"""') ? value.slice(3, -3).replace(/\\\n/g, "").trim() : JSON.parse(value);
    pieces.hostile(whole, `${key}${is}${quoted(`${own} ${strings.join(" ")}`)}`, strings.length);
    at = found.index + whole.length;
  }
  pieces.plain(text.slice(at));
  return pieces;
}

/** A note: its title, then each string as a paragraph, and some in every other form that Markdown has. */
function note(text, deal) {
  const pieces = new Pieces();
  const [title] = text.split("\n", 1);
  const strings = deal();
  pieces.hostile(title, `${title} ${strings.slice(0, 12).join(" ").replaceAll("`", "")}`, 12);
  pieces.plain(`${text.slice(title.length).trimEnd()}\n`);
  for (const s of strings) pieces.hostile("", `\n${s}\n`, 1);
  const forms = [
    (s) => `\n## ${s}\n`,
    (s) => `\n- ${s}\n`,
    (s) => `\n> ${s}\n`,
    (s) => `\n\`${s.replaceAll("`", "")}\`\n`,
    (s) => `\n~~~\n${s}\n~~~\n`,
    (s) => `\n| a | b |\n| - | - |\n| ${s.replaceAll("|", "\\|")} | c |\n`,
    (s) => `\n[words](<${s.replace(/[<>]/g, "\\$&")}>)\n`,
    (s) => `\n[words](${s})\n`,
    (s) => `\n<${s}>\n`,
    (s) => `\n[${s.replace(/[[\]]/g, "\\$&")}](https://brackwater.example/ "${s.replaceAll('"', '\\"')}")\n`,
    (s) => `\n![${s.replace(/[[\]]/g, "\\$&")}](from-above.jpg)\n`,
    (s) => `\n[words](lang:${s})\n`,
    (s) => `\n[words](https://brackwater.example/${s.replace(/[()\s]/g, "")})\n`,
  ];
  strings.slice(0, forms.length * 3).forEach((s, i) => pieces.hostile("", forms[i % forms.length](s), 1));
  return pieces;
}

function captions(text, deal) {
  const pieces = new Pieces();
  pieces.plain(`${text.trimEnd()}\n`);
  // In the order of time, and not beyond the end of the recording: with the last.
  const times = text.match(/^.*-->.*$/gm).at(-1);
  for (const s of deal().slice(0, 40)) {
    pieces.hostile("", `\n${times}\n${s.replaceAll("-->", "->")}\n`, 1);
    pieces.hostile("", `\n${times}\n<v ${s.replace(/[<>&]/g, "")}>words\n`, 1);
  }
  return pieces;
}

/** Lays a small folder out of the demonstration's: one object with a replica, steps, sound and film. */
function lay(from, to) {
  rmSync(to, { recursive: true, force: true });
  cpSync(join(from, "pilgrim-token"), join(to, "pilgrim-token"), { recursive: true });
  cpSync(join(from, "terms"), join(to, "terms"), { recursive: true });
  cpSync(join(from, "site.toml"), join(to, "site.toml"));
  const mortar = join(from, "brackwater-mortar");
  const token = join(to, "pilgrim-token");
  for (const step of ["01-scan", "06-lacquer"]) cpSync(join(mortar, "making", step), join(token, "making", step), { recursive: true });
  const ours = (text) => text.replace(/source = "[\w-]+"/g, 'source = "token-file"');
  for (const step of ["01-scan", "06-lacquer"]) {
    const path = join(token, "making", step, "record.toml");
    writeFileSync(path, ours(readFileSync(path, "utf8")));
  }
  // Links to what is not taken along.
  for (const name of walk(to)) {
    if (!name.endsWith(".md")) continue;
    const words = readFileSync(join(to, name), "utf8");
    writeFileSync(join(to, name), words.replace(/\[([^\]]*)\]\((?:object:brackwater-mortar|detail:(?!bent-edge|heron|lost-pin|token-inscription)[^)]*|step:(?!scan|lacquer)[^)]*)\)/g, "$1"));
  }
  const told = readFileSync(join(mortar, "record.toml"), "utf8");
  const section = (begin) => told.split(/\n(?=\[\[|# ---|\[)/).filter((part) => part.startsWith(begin));
  const path = join(token, "record.toml");
  const own = readFileSync(path, "utf8");
  const body = own.match(/\[bodies\.original\][\s\S]*?(?=\n\[materials)/)[0];
  const rights = section("[[rights]]").filter((part) => /id = "(pictures|recordings)"/.test(part));
  const added = [
    body.replaceAll("bodies.original", "bodies.replica"),
    ...rights,
    ...section("[[differences]]").map(ours),
    ...section("[[photographs]]"),
  ];
  writeFileSync(path, `${own}\n${added.join("\n\n")}\n`);
  cpSync(join(mortar, "from-above.jpg"), join(token, "from-above.jpg"));
  const band = join(mortar, "details", "inscription-band");
  const letters = join(token, "details", "token-inscription");
  for (const name of readdirSync(band)) if (name.startsWith("lamp")) cpSync(join(band, name), join(letters, name));
  const recorded = readFileSync(join(band, "record.toml"), "utf8");
  appendFileSync(join(letters, "record.toml"), `\n${recorded.slice(recorded.indexOf("[[photographs]]"))}`);
  for (const name of readdirSync(join(token, "details"))) {
    const record = join(token, "details", name, "record.toml");
    writeFileSync(record, readFileSync(record, "utf8").replace('original = "present"', 'original = "present"\nreplica = "present"'));
  }
}

function walk(folder, below = "") {
  return readdirSync(join(folder, below), { withFileTypes: true }).flatMap((entry) => {
    const name = below ? `${below}/${entry.name}` : entry.name;
    return entry.isDirectory() ? walk(folder, name) : [name];
  });
}

/** Makes the folder in `work`, takes out what the program refuses, and publishes the rest there.
 * Gives how many strings stood in how many fields, and how many were refused. */
export function publish({ program, content, strings, rounds, round, work }) {
  const folder = join(work, "content");
  lay(content, folder);
  const deal = dealer(strings, rounds, round);
  const files = new Map();
  for (const name of walk(folder)) {
    const make = name.endsWith(".toml") ? record : name.endsWith(".md") ? note : name.endsWith(".vtt") ? captions : undefined;
    if (make) files.set(name, make(readFileSync(join(folder, name), "utf8"), deal));
  }
  const count = () => [...files.values()].flatMap((f) => f.all).filter((p) => p.instead !== undefined);
  const fields = count().length;
  // Each time one fault may hide another.
  for (let again = 0; again < 12; again++) {
    for (const [name, pieces] of files) writeFileSync(join(folder, name), pieces.written());
    const said = spawnSync(program, ["survey", "content", "--json"], { cwd: work, encoding: "utf8", maxBuffer: 1 << 28 });
    if (said.status !== 0 && said.status !== 1) throw new Error(`the survey ended with ${said.status ?? said.signal}: ${said.stderr.slice(-2000)}`);
    const errors = JSON.parse(said.stdout).findings.filter((f) => f.severity === "error");
    if (errors.length === 0) {
      const put = count().filter((p) => !p.refused);
      const tellings = put.reduce((sum, p) => sum + p.held, 0);
      execFileSync(program, ["publish", "content", "--to", "display"], { cwd: work, stdio: ["ignore", "ignore", "pipe"], maxBuffer: 1 << 28 });
      return { fields, refused: fields - put.length, tellings, folder: join(work, "display") };
    }
    // Later pieces first, so that earlier bytes stay where they are: each file's are judged as they were written.
    let found = 0;
    const spans = errors.map((e) => [e.place.file, e.place.span?.start ?? 0, e.place.span?.end ?? 0]);
    for (const [name, pieces] of files) {
      const before = pieces.all.map((p) => p.refused);
      const marked = new Set();
      for (const [file, start, end] of spans) {
        if (file !== name) continue;
        pieces.all.forEach((p, i) => (p.refused = before[i]));
        pieces.putBack(start, end);
        pieces.all.forEach((p, i) => p.refused && marked.add(i));
      }
      pieces.all.forEach((p, i) => (p.refused = marked.has(i) || before[i]));
      found += pieces.all.filter((p, i) => p.refused && !before[i]).length;
    }
    if (found === 0) throw new Error(`no hostile text stands where the program finds: ${JSON.stringify(errors.slice(0, 3))}`);
  }
  throw new Error("the program still finds errors after twelve times");
}

/** A copy of a site whose pages have no policy: escaping alone must hold. */
export function stripped(folder, to) {
  rmSync(to, { recursive: true, force: true });
  cpSync(folder, to, { recursive: true });
  let pages = 0;
  for (const name of walk(to)) {
    if (!name.endsWith(".html")) continue;
    const path = join(to, name);
    const text = readFileSync(path, "utf8");
    const bare = text.replace(/<meta[^>]*content-security-policy[^>]*>/gi, "");
    if (bare !== text) pages++;
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, bare);
  }
  return pages;
}
