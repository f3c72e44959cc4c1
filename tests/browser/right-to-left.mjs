// Makes a copy of a content folder whose second language is written from right to left: the Welsh records,
// notes and words under the code of Hebrew, each text led by a Hebrew letter. node right-to-left.mjs CONTENT THEME TO

import { cpSync, readdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const [content, theme, to] = process.argv.slice(2);
const LED = "א ";

function walk(folder, act) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) walk(path, act);
    else act(path, entry.name);
  }
}
const rewrite = (path, change) => writeFileSync(path, change(readFileSync(path, "utf8")));

cpSync(content, to, { recursive: true });
for (const part of ["fonts", "styles", "templates", "words", "viewer"]) {
  cpSync(join(theme, part), join(to, "theme", part), { recursive: true, filter: (path) => !path.includes("node_modules") });
}
walk(to, (path, name) => {
  if (/(^|\.)cy\.toml$/.test(name)) {
    rewrite(path, (text) => text.replace(/^(\w+ = ")(?!\{|"")/gm, `$1${LED}`));
    renameSync(path, path.replace(/cy\.toml$/, "he.toml"));
  } else if (name.endsWith(".toml") && !path.includes("/theme/")) {
    rewrite(path, (text) => text.replace(/\bcy = (?=""")/g, "he = ").replace(/\bcy = (?="[\w.-]+\.\w{3,4}")/g, "he = ").replace(/\bcy = "/g, `he = "${LED}`).replace(/"cy"/g, '"he"'));
  } else if (name === "cy.md") {
    renameSync(path, path.replace(/cy\.md$/, "he.md"));
  }
});
rewrite(join(to, "site.toml"), (text) => `${text}\n[look]\ntheme = "theme"\n`);
