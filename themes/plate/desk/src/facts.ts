// Facts of an object and of the site, as fields; each is one value of the record, changed alone.

import { get, type Change, type Desk, type Facts, type File, type ObjectLine, type Saved, type Step } from "./api";
import { button, field, h, link, select } from "./dom";
import { announce } from "./heard";
import { Sheet } from "./sheet";
import { at, list, number, set, table, text, textChange, texts } from "./values";
import { language, t, title } from "./words";

interface Fact {
  readonly key: Step[];
  readonly label: string;
  readonly kind: "text" | "texts" | "long" | "number" | "ground" | "truth";
  readonly hint?: string;
}

const GROUNDS = ["observed", "measured", "documented", "conjectured"];
export const STATEMENTS = [
  "https://creativecommons.org/licenses/by/4.0/",
  "https://creativecommons.org/licenses/by-sa/4.0/",
  "https://creativecommons.org/licenses/by-nc/4.0/",
  "https://creativecommons.org/publicdomain/zero/1.0/",
  "https://creativecommons.org/publicdomain/mark/1.0/",
  "http://rightsstatements.org/vocab/InC/1.0/",
  "http://rightsstatements.org/vocab/CNE/1.0/",
];
const PERMITS = ["display", "download", "print"];

/** The facts that every object needs, and those that many have. */
function ofObject(facts: Facts): { heading: string; facts: Fact[] }[] {
  const bodies = ["original", "replica"].filter((body) => at(facts, ["bodies", body]) !== undefined);
  return [
    {
      heading: t("facts_identification"),
      facts: [
        { key: ["identification", "number"], label: t("fact_number"), kind: "text" },
        { key: ["identification", "name"], label: t("fact_name"), kind: "texts", hint: t("fact_name_hint") },
        { key: ["identification", "date"], label: t("fact_date"), kind: "texts" },
        { key: ["identification", "place"], label: t("fact_place"), kind: "texts" },
        { key: ["identification", "maker"], label: t("fact_maker"), kind: "texts" },
        { key: ["identification", "keeper"], label: t("fact_keeper"), kind: "texts" },
        { key: ["identification", "evidence", "ground"], label: t("ground"), kind: "ground" },
      ],
    },
    { heading: t("facts_label"), facts: [{ key: ["label"], label: t("fact_label"), kind: "long", hint: t("fact_label_hint") }] },
    ...bodies.map((body) => ({
      heading: t(`body_${body}`),
      facts: [
        { key: ["bodies", body, "location"], label: t("fact_location"), kind: "texts" as const },
        { key: ["bodies", body, "finish"], label: t("fact_finish"), kind: "texts" as const, hint: t("fact_finish_hint") },
        ...((at(facts, ["bodies", body, "parts"]) ?? []) as Facts[]).flatMap((part, i): Fact[] => [
          { key: ["bodies", body, "parts", i, "name"], label: t("fact_part", { id: part.id }), kind: "texts" },
          { key: ["bodies", body, "parts", i, "unit"], label: t("fact_unit", { id: part.id }), kind: "text" },
          { key: ["bodies", body, "parts", i, "material"], label: t("fact_material", { id: part.id }), kind: "text", hint: t("fact_key_hint", { keys: Object.keys(facts.materials ?? {}).join(", ") || "–" }) },
          { key: ["bodies", body, "parts", i, "rights"], label: t("fact_part_rights", { id: part.id }), kind: "text", hint: t("fact_key_hint", { keys: ((facts.rights ?? []) as Facts[]).map((r) => r.id).join(", ") || "–" }) },
        ]),
      ],
    })),
    ...Object.keys(facts.materials ?? {}).map((id) => ({
      heading: t("facts_material", { id }),
      facts: [
        { key: ["materials", id, "name"], label: t("fact_material_name"), kind: "texts" as const },
        { key: ["materials", id, "density_g_per_cm3", 0], label: t("fact_density_low"), kind: "number" as const, hint: t("fact_density_hint") },
        { key: ["materials", id, "density_g_per_cm3", 1], label: t("fact_density_high"), kind: "number" as const },
        { key: ["materials", id, "evidence", "ground"], label: t("ground"), kind: "ground" as const },
      ],
    })),
    { heading: t("facts_rights"), facts: [{ key: ["words_rights"], label: t("fact_words_rights"), kind: "text", hint: t("fact_key_hint", { keys: ((facts.rights ?? []) as Facts[]).map((r) => r.id).join(", ") || "–" }) }] },
  ];
}

const ofSite = (): { heading: string; facts: Fact[] }[] => [
  {
    heading: t("facts_site"),
    facts: [
      { key: ["publisher"], label: t("fact_publisher"), kind: "text" },
      { key: ["address"], label: t("fact_address"), kind: "text", hint: t("fact_address_hint") },
      { key: ["name"], label: t("fact_site_name"), kind: "texts" },
      { key: ["introduction"], label: t("fact_introduction"), kind: "long" },
      { key: ["statement"], label: t("fact_statement"), kind: "long" },
    ],
  },
];

export const objectFacts = (desk: Desk, object: ObjectLine, signal: AbortSignal): Promise<HTMLElement> =>
  factsSheet(desk, `${object.id}/record.toml`, t("facts_of", { title: title(object.titles, object.id) }), ofObject, h("p", { class: "over" }, link(title(object.titles, object.id), `#/o/${object.id}`)), signal);

export const siteFacts = (desk: Desk, signal: AbortSignal): Promise<HTMLElement> => factsSheet(desk, "site.toml", t("facts_site"), ofSite, null, signal);

async function factsSheet(desk: Desk, path: string, heading: string, groups: (facts: Facts) => { heading: string; facts: Fact[] }[], over: HTMLElement | null, signal: AbortSignal): Promise<HTMLElement> {
  const languages = desk.site?.languages ?? ["en"];
  let file = await get<File>("file", { path });
  if (file.text !== "" && file.facts === null) return h("div", {}, h("h1", {}, heading), h("p", {}, t("facts_unreadable"), " ", link(t("open_file"), `#/file/${path}`)));
  let typed: Record<string, string> = {};
  const added: { rights: { holder: string; statement: string } | null } = { rights: null };
  const body = h("div", { class: "facts-form" });
  const name = (key: readonly Step[], lang?: string) => JSON.stringify(lang ? [...key, lang] : key);
  const value = (key: Step[], lang?: string): string => {
    const known = typed[name(key, lang)];
    if (known !== undefined) return known;
    const there = at(file.facts, lang ? [...key, lang] : key);
    return there === undefined || there === null ? "" : String(there);
  };
  const control = (fact: Fact, lang?: string): HTMLElement => {
    const write = (now: string) => {
      typed[name(fact.key, lang)] = now;
      sheet.touched();
    };
    if (fact.kind === "ground") return select([["", t("ground_none")], ...GROUNDS.map((g) => [g, t(`ground_${g}`)] as const)], value(fact.key), write);
    if (fact.kind === "long") {
      const area = h("textarea", { rows: 4, spellcheck: "true", input: () => write(area.value) });
      area.value = value(fact.key, lang);
      return area;
    }
    const input = h("input", { type: "text", ...(fact.kind === "number" ? { inputmode: "decimal" } : {}), value: value(fact.key, lang), input: () => write(input.value) });
    return input;
  };
  const fill = (): void => {
    body.replaceChildren(
      ...groups(file.facts ?? {}).map((group) =>
        h(
          "section",
          {},
          h("h2", {}, group.heading),
          group.facts.map((fact) =>
            fact.kind === "texts" || fact.kind === "long"
              ? h("div", { class: "languages-side" }, languages.map((lang) => field(languages.length > 1 ? `${fact.label} (${language(lang)})` : fact.label, control(fact, lang), fact.hint, lang)))
              : field(fact.label, control(fact), fact.hint),
          ),
        ),
      ),
      path === "site.toml" ? "" : rightsForm(),
    );
  };
  const rightsForm = (): HTMLElement => {
    let holder = "";
    let statement = STATEMENTS[0]!;
    return h(
      "fieldset",
      { class: "drop" },
      h("legend", {}, t("add_rights")),
      field(t("rights_holder"), h("input", { type: "text", input: (e: Event) => (holder = (e.target as HTMLInputElement).value) } as never)),
      field(t("rights_statement"), select(STATEMENTS.map((s) => [s, t(`statement_${s.replace(/\W+/g, "_")}`)] as const), statement, (v) => (statement = v))),
      button(t("add_these_rights"), () => {
        if (!holder.trim()) return announce(t("need_holder"));
        added.rights = { holder: holder.trim(), statement };
        sheet.touched();
        void sheet.write();
      }),
    );
  };
  const saves = (): Saved[] => {
    const changes: Change[] = [];
    for (const [key, now] of Object.entries(typed)) {
      const way = JSON.parse(key) as Step[];
      const fact = groups(file.facts ?? {}).flatMap((g) => g.facts).find((f) => name(f.key) === key);
      if (fact?.kind === "number") {
        const figure = Number(now.replace(",", "."));
        if (now.trim() !== "" && Number.isFinite(figure) && figure !== at(file.facts, way)) changes.push(set(way, number(figure)));
      } else changes.push(...textChange(file.facts, way, now));
    }
    if (added.rights) {
      const ids = ((file.facts?.rights ?? []) as Facts[]).map((r) => String(r.id));
      let n = ids.length + 1;
      while (ids.includes(`rights-${n}`)) n++;
      changes.push({ append: { key: ["rights"], table: table({ id: text(`rights-${n}`), holder: text(added.rights.holder), statement: text(added.rights.statement), permits: list(...PERMITS.map(text)) }) } });
    }
    return changes.length > 0 ? [{ path, version: file.version, changes }] : [];
  };
  const anew = async (): Promise<void> => {
    file = await get<File>("file", { path });
    typed = {};
    added.rights = null;
    fill();
  };
  const sheet = new Sheet(
    {
      path,
      files: () => [file],
      typed: () => (Object.keys(typed).length === 0 ? null : JSON.stringify({ facts: typed })),
      take: (draft) => {
        try {
          typed = (JSON.parse(draft) as { facts: Record<string, string> }).facts ?? {};
          fill();
        } catch {
          announce(t("draft_other"));
        }
      },
      save: saves,
      why: () => t("why_facts", { file: path }),
      written: anew,
      anew,
    },
    signal,
  );
  fill();
  await sheet.offer();
  return h("div", {}, over, h("h1", {}, heading), h("p", {}, t("facts_why"), " ", link(t("open_file"), `#/file/${path}`)), sheet.notices, body, sheet.foot);
}

export { texts };
