// A content folder whose names are hostile: names of files and folders, keys of tables, languages and addresses. Each
// name is tried by itself at each place that has one, in a folder where nothing else is wrong; what the survey takes is
// then published together.

import { execFile } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join, posix } from "node:path";
import { BOWL, bowl } from "./desk.mjs";
import { quoted } from "./hostile.mjs";
import { below, beside, FILES, FORMER, IDS, isId, LINKS, SITES, STATEMENTS, TAGS, TAKEN, WRITTEN } from "./hostile-payloads.mjs";

/** The same bowl, so many places to the side: each part stands by itself. */
const shape = (places) => {
  const file = bowl({ ...BOWL, high: 30 }, 12, 2);
  for (let at = 84 + 12; at < file.length; at += 50) {
    for (let corner = at; corner < at + 36; corner += 12) file.writeFloatLE(file.readFloatLE(corner) + 100 * places, corner);
  }
  return file;
};
const SHAPE = shape(0);
const SHOWN = new URL("../../content/brackwater-mortar/details/inscription-band/", import.meta.url);
const [PHOTOGRAPH, FILM] = ["lamp.jpg", "lamp.mp4"].map((name) => readFileSync(new URL(name, SHOWN)));
const CAPTIONS = "WEBVTT\n\n00:00.000 --> 00:00.050\nA bowl.\n";
const TRANSCRIPT = "# What is said\n\nA bowl.[^one]\n\n[^one]: It is named.\n";

/** A twentieth of a second of silence. */
const SOUND = (() => {
  const [rate, samples] = [8000, 400];
  const wave = Buffer.alloc(44 + samples, 128);
  wave.write("RIFF", 0);
  wave.writeUInt32LE(36 + samples, 4);
  wave.write("WAVEfmt ", 8);
  wave.writeUInt32LE(16, 16);
  wave.writeUInt16LE(1, 20);
  wave.writeUInt16LE(1, 22);
  wave.writeUInt32LE(rate, 24);
  wave.writeUInt32LE(rate, 28);
  wave.writeUInt16LE(1, 32);
  wave.writeUInt16LE(8, 34);
  wave.write("data", 36);
  wave.writeUInt32LE(samples, 40);
  return wave;
})();

const EVIDENCE = `evidence = { ground = "observed", by = "keeper", source = "book" }\n`;
const STEP = `format = 1\nformerly = []\npeople = ["keeper"]\n${EVIDENCE}`;
const DETAIL = `format = 1\nformerly = []\nkind = "construction"\npart = "bowl"\nbearing = { original = "present" }
anchor = { body = "original", point_mm = [0.0, 15.0, 40.0], radius_mm = 5.0 }\n${EVIDENCE}`;
const OBJECT = `format = 1
formerly = []
words_rights = "all"
identification = { number = "BRKMU:1", name = { en = "Bowl" }, date = { en = "Made today" }, keeper = { en = "Brackwater Museum" }, evidence = { ground = "observed", by = "keeper" } }
label = { en = "This bowl is invented, and so is the museum that shows it. It stands here so that names may be tried." }

[bodies.original]
location = { en = "Case 1" }
finish = { en = "Plain" }

[[bodies.original.parts]]
id = "bowl"
name = { en = "Bowl" }
model = "models/bowl.stl"
unit = "mm"
material = "clay"
rights = "all"

[materials.clay]
name = { en = "Clay" }
density_g_per_cm3 = [1.8, 2.2]
${EVIDENCE}
[[rights]]
id = "all"
holder = "Brackwater Museum"
statement = "https://creativecommons.org/publicdomain/zero/1.0/"
permits = ["display", "download", "print", "deposit"]

[sources.book]
title = "A book of bowls"
`;
const SITE = `format = 1
publisher = "Brackwater Museum"
address = "https://brackwater.example/bowls/"
languages = ["en"]
name = { en = "Bowls of Brackwater" }
introduction = { en = "A bowl that was made for this check alone." }

[people.keeper]
name = "Elin Fychan"
role = { en = "Keeper" }
`;

const note = (title) => `# ${title}\n\nIt has straight walls and a flat floor, and nobody ever ate from it.\n`;

/** A small folder in which nothing is wrong: paths and what stands there. Photographs, recordings and so on have a step each. */
function base() {
  const files = new Map([
    ["site.toml", SITE],
    ["bowl/record.toml", OBJECT],
    ["bowl/en.md", note("The bowl")],
    ["bowl/models/bowl.stl", SHAPE],
    ["bowl/details/wall/record.toml", DETAIL],
    ["bowl/details/wall/en.md", note("The wall")],
    ["terms/lip/en.md", note("Lip")],
  ]);
  files.step = (name) => {
    const folder = `bowl/making/${name}`;
    if (!files.has(`${folder}/record.toml`)) files.set(`${folder}/record.toml`, STEP).set(`${folder}/en.md`, note(name));
    return folder;
  };
  files.more = (path, text) => files.set(path, files.get(path) + text);
  files.swap = (path, from, to) => {
    if (!files.get(path).includes(from)) throw new Error(`${path} has no ${from}`);
    files.set(path, files.get(path).replace(from, () => to));
  };
  /** Puts a file where a name beside a record leads to, even out of the content folder. */
  files.lay = (folder, name, bytes) => {
    const path = posix.join(folder, name);
    const nameable = path.split("/").every((step) => Buffer.byteLength(step) < 256) && !/\0/.test(path);
    if (nameable && !path.startsWith("../../") && !files.has(path) && !path.endsWith("/")) files.set(path, bytes);
  };
  files.step("01-turn");
  return files;
}

const object = "bowl/record.toml";
const turn = "bowl/making/01-turn/record.toml";
const wall = "bowl/details/wall/record.toml";

/** Appends a section about a file beside the record, and the file. */
function section(files, folder, kind, name, bytes, keys) {
  files.more(`${folder}/record.toml`, `\n[[${kind}]]\nfile = ${quoted(name)}\nrights = "all"\n${keys}\n`);
  files.lay(folder, name, bytes);
}
const ALT = `alt = { en = "A bowl seen from above." }`;
const SILENT = `title = { en = "Silence" }\ndescription = { en = "Nothing is heard." }`;

const named = (ending) => FILES.map((name) => name + ending);
const judged = (names, may) => names.map((name) => [name, may(name)]);
const idPlace = (name, put, more) => ({ name, payloads: judged(IDS, isId), put, ...more });
/** Folders: a name with a slash is two folders, and one that begins with a dot is passed over. */
const folders = (name, put, may = isId, most) => ({ name, most, payloads: judged(IDS.filter((id) => !/[/]|^\./.test(id) && Buffer.byteLength(id) < 250), may), put });
/** A mention of something that has no such id. */
const mention = (name, path, from, to) => ({
  name,
  payloads: IDS.slice(0, 12).map((id) => [id, false]),
  put: (files, id) => files.swap(path, from, to(quoted(id))),
});
const language = (name, put, may) => ({ name, payloads: TAGS.map((tag, i) => [tag, i < 2 ? may : false]), put });
const link = (name, path, begin = () => {}) => ({
  name,
  payloads: LINKS,
  put: (files, is, n) => {
    begin(files);
    // As Markdown would have it: nothing in it ends the address or is an escape.
    const written = is.replace(/[\\<>&"'\p{Cc}\s]/gu, (c) => `&#${c.codePointAt(0)};`);
    files.more(path, `\nThe link ${n} has [words](<${written}>).\n`);
  },
});
const written = (name, path) => ({ name, alone: true, payloads: WRITTEN.map((text) => [text, null]), put: (files, text) => files.more(path, `\n${text}\n`) });
const transcript = (files, name) => {
  const folder = files.step("06-transcripts");
  files.lay(folder, `${name}.wav`, SOUND);
  section(files, folder, "recordings", `${name}.wav`, SOUND, `title = { en = "Silence" }\nlanguage = "en"\ntranscript = { en = ${quoted(`${name}.md`)} }`);
  files.lay(folder, `${name}.md`, TRANSCRIPT);
};

/** Every place that has a name: what is tried there, each with whether a record may hold it (null: either), and how it
 * is put there. Of a place that has a `most`, so many are published, which come first; at one that stands `alone`, every
 * name is tried each time. */
export const PLACES = [
  { name: "photographs", payloads: judged(named(".jpg"), beside), put: (files, name) => section(files, files.step("02-photographs"), "photographs", name, PHOTOGRAPH, ALT) },
  {
    name: "photographs in notes",
    payloads: judged(named(".jpg"), beside),
    put: (files, name) => {
      const folder = files.step("03-notes");
      section(files, folder, "photographs", name, PHOTOGRAPH, ALT);
      const written = name.replace(/[\\<>&"'\p{Cc}]/gu, (c) => `&#${c.codePointAt(0)};`);
      files.more(`${folder}/en.md`, `\n![A bowl seen from above.](<${written}>)\n`);
    },
  },
  {
    name: "posters of films",
    payloads: judged(named(".jpg"), beside),
    put: (files, name, n) => {
      const folder = files.step("04-films");
      section(files, folder, "photographs", name, PHOTOGRAPH, ALT);
      section(files, folder, "recordings", `film-${n}.mp4`, FILM, `${SILENT}\nposter = ${quoted(name)}`);
    },
  },
  { name: "recordings", payloads: judged(named(".wav"), beside), put: (files, name) => section(files, files.step("05-recordings"), "recordings", name, SOUND, SILENT) },
  {
    name: "captions",
    payloads: judged(named(".vtt"), beside),
    put: (files, name, n) => {
      const folder = files.step("07-captions");
      section(files, folder, "recordings", `sound-${n}.wav`, SOUND, `title = { en = "Silence" }\nlanguage = "en"\ncaptions = { en = ${quoted(name)} }`);
      files.lay(folder, name, CAPTIONS);
    },
  },
  { name: "transcripts", payloads: judged(FILES, (name) => beside(`${name}.md`)), put: transcript },
  {
    name: "spoken descriptions",
    most: 6,
    payloads: judged(named(".wav"), beside),
    put: (files, name, n) => {
      const folder = `bowl/details/spoken-${n}`;
      files.set(`${folder}/en.md`, note("Spoken")).set(`${folder}/record.toml`, `${DETAIL}description = { en = "It is flat." }\nspoken = { en = ${quoted(name)} }\n`);
      section(files, folder, "recordings", name, SOUND, `title = { en = "Silence" }\nlanguage = "en"`);
    },
  },
  {
    name: "models",
    most: 12,
    payloads: judged(FILES.map((name) => `models/${name}.stl`), below),
    put: (files, path, n) => {
      files.swap(object, "\n[materials.clay]", `\n[[bodies.original.parts]]\nid = "part-${n}"\nname = { en = "Part" }\nmodel = ${quoted(path)}\nunit = "mm"\nmaterial = "clay"\nrights = "all"\n\n[materials.clay]`);
      files.lay("bowl", path, shape(n + 1));
    },
  },
  {
    name: "folder of the theme",
    most: 1,
    payloads: judged(FILES, below),
    put: (files, name) => {
      files.swap("site.toml", "[people.keeper]", `[look]\ntheme = ${quoted(name)}\n\n[people.keeper]`);
      files.lay(name, "styles/none.css", "");
    },
  },
  { name: "keys of translations.toml", payloads: judged(named("/en.md"), () => true), put: (files, name) => files.set("translations.toml", `format = 1\n[notes.${quoted(name)}]\nsource = "en.md"\ndigest = "${"0".repeat(64)}"\n`) },
  {
    name: "files that no record names",
    payloads: FILES.filter((name) => !/[/\0]/.test(name)).map((name) => [`${name}.md`, true]),
    put: (files, name) => ["", "bowl", "bowl/making/01-turn", "terms/lip", "bowl/received"].forEach((folder) => files.lay(folder, name, "# Words\n")),
  },
  folders(
    "folders of objects",
    (files, id) => files.set(`${id}/record.toml`, OBJECT).set(`${id}/en.md`, note("Another bowl")).set(`${id}/models/bowl.stl`, SHAPE),
    (id) => isId(id) && !TAKEN.includes(id),
    2,
  ),
  {
    name: "folders of objects that the site has",
    alone: true,
    payloads: TAKEN.map((id) => [id, false]),
    put: (files, id) => files.set(`${id}/record.toml`, OBJECT).set(`${id}/en.md`, note("Another bowl")).set(`${id}/models/bowl.stl`, SHAPE),
  },
  folders("folders of details", (files, id) => files.set(`bowl/details/${id}/record.toml`, DETAIL).set(`bowl/details/${id}/en.md`, note("A detail"))),
  folders("folders of steps", (files, id) => files.set(`bowl/making/08-${id}/record.toml`, STEP).set(`bowl/making/08-${id}/en.md`, note("A step"))),
  folders("folders of terms", (files, id) => files.set(`terms/${id}/en.md`, note(`A term ${id.replace(/\p{Cc}/gu, "")}`))),
  ...[object, wall, turn].map((path) => ({
    name: `former names in ${path}`,
    payloads: judged(FORMER, isId),
    put: (files, id) => files.swap(path, "formerly = [", `formerly = [${quoted(id)}, `),
  })),
  idPlace("people", (files, id) => {
    files.more("site.toml", `\n[people.${quoted(id)}]\nname = "Somebody"\nrole = { en = "Turner" }\n`);
    files.swap(turn, `people = [`, `people = [${quoted(id)}, `);
  }),
  idPlace("materials", (files, id) => files.more(object, `\n[materials.${quoted(id)}]\nname = { en = "Clay" }\ndensity_g_per_cm3 = [1.8, 2.2]\n${EVIDENCE}`)),
  idPlace("sources", (files, id) => {
    files.more(object, `\n[sources.${quoted(id)}]\ntitle = "Another book"\n`);
    if (isId(id)) files.more("bowl/en.md", `\nIt is in [a book](source:${id}).\n`);
  }),
  idPlace("agreements", (files, id, n) => {
    files.swap(object, "\n[sources.book]", `\n[[rights]]\nid = ${quoted(id)}\nholder = "Holder ${n}"\nstatement = "http://rightsstatements.org/vocab/InC/1.0/"\npermits = ["display"]\n\n[sources.book]`);
    section(files, files.step("09-agreements"), "photographs", `${n}.jpg`, PHOTOGRAPH, ALT);
    files.swap("bowl/making/09-agreements/record.toml", `${n}.jpg"\nrights = "all"`, `${n}.jpg"\nrights = ${quoted(id)}`);
  }),
  idPlace("parts", (files, id, n) => {
    files.swap(object, "\n[materials.clay]", `\n[[bodies.original.parts]]\nid = ${quoted(id)}\nname = { en = "Part ${n}" }\nmodel = "models/part-${n}.stl"\nunit = "mm"\nmaterial = "clay"\nrights = "all"\n\n[materials.clay]`);
    files.set(`bowl/models/part-${n}.stl`, shape(-1 - n));
  }),
  { name: "keys that no record has", payloads: IDS.map((id) => [id, false]), put: (files, id) => files.swap(turn, "people =", `${quoted(id)} = 1\npeople =`) },
  mention("mentions of people", turn, `people = ["keeper"]`, (id) => `people = [${id}]`),
  mention("mentions of who knows", wall, `by = "keeper"`, (id) => `by = ${id}`),
  mention("mentions of sources", wall, `source = "book"`, (id) => `source = ${id}`),
  mention("mentions of parts", wall, `part = "bowl"`, (id) => `part = ${id}`),
  mention("mentions of materials", object, `material = "clay"`, (id) => `material = ${id}`),
  mention("mentions of agreements", object, `words_rights = "all"`, (id) => `words_rights = ${id}`),
  mention("kinds of details", wall, `kind = "construction"`, (id) => `kind = ${id}`),
  language("languages of the site", (files, tag) => files.swap("site.toml", `["en"]`, `["en", ${quoted(tag)}]`), false),
  language("languages of a text", (files, tag) => files.swap(object, `{ en = "Clay" }`, `{ en = "Clay", ${quoted(tag)} = "Clay" }`), null),
  language("languages of sources", (files, tag, n) => files.more(object, `\n[sources.in-${n}]\ntitle = "A book in another language"\nlang = ${quoted(tag)}\n`), true),
  language("languages of captions", (files, tag, n) => {
    const folder = files.step("10-languages");
    section(files, folder, "recordings", `sound-${n}.wav`, SOUND, `title = { en = "Silence" }\nlanguage = ${quoted(tag)}\ncaptions = { ${quoted(tag)} = "sound.vtt" }`);
    files.lay(folder, "sound.vtt", CAPTIONS);
  }, true),
  language("languages in notes", (files, tag) => files.more("bowl/en.md", `\n[Words](<lang:${tag.replace(/[\\<>&"'\s]/g, (c) => `&#${c.codePointAt(0)};`)}>) of another language.\n`), true),
  { ...link("links of objects", "bowl/en.md"), alone: true },
  link("links of terms", "terms/lip/en.md"),
  link("links of transcripts", "bowl/making/06-transcripts/linked.md", (files) => {
    if (!files.has("bowl/making/06-transcripts/linked.md")) transcript(files, "linked");
  }),
  written("whatever Markdown may take for a link", "bowl/making/01-turn/en.md"),
  {
    name: "addresses as words",
    payloads: LINKS.map(([is]) => [is, /\S/.test(is)]),
    put: (files, is, n) => files.more(object, `\n[sources.words-${n}]\ntitle = ${quoted(is)}\nauthor = ${quoted(is)}\nheld = ${quoted(is)}\n`),
  },
  { name: "address of the site", alone: true, most: 1, payloads: SITES, put: (files, is) => files.swap("site.toml", `"https://brackwater.example/bowls/"`, quoted(is)) },
  {
    name: "statements of rights",
    alone: true,
    payloads: STATEMENTS,
    put: (files, is, n) => files.swap(object, "\n[sources.book]", `\n[[rights]]\nid = "stated-${n}"\nholder = "Holder"\nstatement = ${quoted(is)}\npermits = ["display"]\n\n[sources.book]`),
  },
];

/** Writes files of a content folder; those that climb out of it come beside it. What was measured before is kept. */
function write(files, folder) {
  mkdirSync(folder, { recursive: true });
  for (const name of readdirSync(folder)) if (name !== ".counterpart") rmSync(join(folder, name), { recursive: true, force: true });
  for (const [name, bytes] of files) {
    const path = join(folder, "content", name);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, bytes);
  }
}

/** How a survey of a folder ended, and its report. */
function survey(program, folder) {
  return new Promise((resolve) => {
    execFile(program, ["survey", "content", "--json"], { cwd: folder, maxBuffer: 1 << 28 }, (error, out) => {
      resolve({ code: error ? (error.code ?? error.signal) : 0, out });
    });
  });
}

/** Of places that share their names, each is tried at one in so many, unless everything is wanted. */
const SHARE = 4;
/** Whether a name is published with the others. */
const isShown = ({ place, n }) => n < (place.most ?? Infinity);

/** Tries each name at its place by itself, but for those that a record may hold and that are published: these are tried
 * together. Gives all that were tried, with what became of them: the code with which the survey ended, and its findings
 * that are about the name. */
export async function tried(program, work, everywhere) {
  const all = PLACES.flatMap((place, p) => place.payloads.map(([payload, may], n) => ({ place, payload, may, n, p, code: 0, found: [] })));
  const together = (one) => one.may === true && isShown(one);
  const chosen = all.filter((one) => together(one) || everywhere || one.place.alone || (one.n + one.p) % SHARE === 0);
  const left = chosen.filter((one) => !together(one));
  const worker = async (number) => {
    const folder = join(work, `trial-${number}`);
    for (let one = left.shift(); one; one = left.shift()) {
      const [plain, files] = [base(), base()];
      one.place.put(files, one.payload, one.n);
      write(files, folder);
      const { code, out } = await survey(program, folder);
      one.code = code;
      const changed = [...files.keys()].filter((name) => files.get(name) !== plain.get(name));
      const findings = code === 0 || code === 1 ? JSON.parse(out).findings : [];
      // Such a finding stands in a file into which the name came, or at the folder of one.
      const about = ({ file }) => changed.some((name) => name === file || name.startsWith(`${file}/`));
      one.found = findings.filter((f) => f.severity === "error" && f.what && f.remedy && about(f.place));
    }
    rmSync(folder, { recursive: true, force: true });
  };
  await Promise.all([0, 1, 2].map(worker));
  return chosen;
}

/** Lays into one folder all that was taken and is shown; gives it. */
export function together(taken, work) {
  const files = base();
  const put = taken.filter(isShown);
  for (const { place, payload, n } of put) place.put(files, payload, n);
  write(files, work);
  return put;
}
