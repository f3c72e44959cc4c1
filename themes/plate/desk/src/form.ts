// What can be typed and chosen of a detail: read from its files, and written back as the smallest change.

import { type Change, type Facts, type File, type Saved, type Vec } from "./api";
import { joined, split } from "./notes";
import { number, set, table, text, textChange, texts } from "./values";
import { t } from "./words";

export const KINDS = ["motif", "inscription", "repair", "damage", "addition", "trace", "construction", "loss"];
/** How a detail stands on original and replica, as sentences. */
export const BEARINGS = ["present-present", "present-altered", "present-absent", "absent-present", "unknown-unknown"];
export const GROUNDS = ["observed", "measured", "documented", "conjectured"];

/** Everything that can be typed or chosen. */
export interface Form {
  place: { body: string; part: string; point_mm: Vec; radius_mm: number } | null;
  view: { azimuth_deg: number; elevation_deg: number } | null;
  kind: string | null;
  bearing: string | null;
  ground: string;
  by: string;
  titles: Record<string, string>;
  words: Record<string, string>;
  description: Record<string, string>;
  alt: Record<string, Record<string, string>>;
}

type Notes = Readonly<Record<string, File>>;

export function read(record: File | null, notes: Notes, languages: readonly string[]): Form {
  const facts: Facts = record?.facts ?? {};
  const anchor = facts.anchor;
  const each = (of: (lang: string) => string) => Object.fromEntries(languages.map((lang) => [lang, of(lang)]));
  const bearing = facts.bearing ? `${facts.bearing.original}-${facts.bearing.replica ?? "none"}` : null;
  return {
    place: anchor ? { body: anchor.body, part: facts.part, point_mm: anchor.point_mm, radius_mm: anchor.radius_mm } : null,
    view: facts.view ? { azimuth_deg: facts.view.azimuth_deg ?? 0, elevation_deg: facts.view.elevation_deg ?? 0 } : null,
    kind: facts.kind ?? null,
    bearing,
    ground: facts.evidence?.ground ?? "observed",
    by: facts.evidence?.by ?? "",
    titles: each((lang) => split(notes[lang]?.text ?? "").title),
    words: each((lang) => split(notes[lang]?.text ?? "").words),
    description: each((lang) => facts.description?.[lang] ?? ""),
    alt: Object.fromEntries(["original", "replica"].map((body) => [body, each((lang) => facts.alt?.[body]?.[lang] ?? "")])),
  };
}

/** Changes of a detail that has its files: nothing that is as it was. */
export function amended(form: Form, { record, notes }: { record: File; notes: Notes }, languages: readonly string[]): Saved[] {
  const before = read(record, notes, languages);
  const facts = record.facts ?? {};
  const changes: Change[] = [];
  if (form.kind && form.kind !== before.kind) changes.push(set(["kind"], text(form.kind)));
  if (form.place && JSON.stringify(form.place) !== JSON.stringify(before.place)) changes.push(...placeChanges(form.place, before.place));
  if (form.bearing && form.bearing !== before.bearing) changes.push(...bearingChanges(form.bearing));
  if (JSON.stringify(form.view) !== JSON.stringify(before.view)) {
    if (form.view) changes.push(set(["view", "azimuth_deg"], number(form.view.azimuth_deg)), set(["view", "elevation_deg"], number(form.view.elevation_deg)));
    else changes.push({ remove: { key: ["view"] } });
  }
  if (form.ground !== before.ground) changes.push(set(["evidence", "ground"], text(form.ground)));
  changes.push(...textChange(facts, ["evidence", "by"], form.by));
  for (const lang of languages) {
    changes.push(...textChange(facts, ["description", lang], form.description[lang] ?? ""));
    for (const body of ["original", "replica"]) changes.push(...textChange(facts, ["alt", body, lang], form.alt[body]?.[lang] ?? ""));
  }
  const saved: Saved[] = changes.length > 0 ? [{ path: record.path, version: record.version, changes }] : [];
  for (const lang of languages) {
    const note = notes[lang]!;
    const now = joined(note.text, { title: (form.titles[lang] ?? "").trim(), words: form.words[lang] ?? "" });
    if (now !== note.text && (now !== "" || note.version !== null)) saved.push({ path: note.path, version: note.version, text: now });
  }
  return saved;
}

/** The files of a new detail that comes after so many others. */
export function begun(form: Form, base: string, before: number, languages: readonly string[]): Saved[] {
  const placed = form.place!;
  const [original, replica] = form.bearing!.split("-");
  const record: Change[] = [
    set(["format"], { whole: 1 }),
    set(["order"], { whole: 10 * (before + 1) }),
    set(["kind"], text(form.kind!)),
    set(["part"], text(placed.part)),
    set(["bearing"], table({ original: text(original!), replica: replica === "none" ? null : text(replica!) })),
    set(["anchor"], table({ body: text(placed.body), point_mm: { list: placed.point_mm.map(number) }, radius_mm: number(placed.radius_mm) })),
    ...(form.view ? [set(["view"], table({ azimuth_deg: number(form.view.azimuth_deg), elevation_deg: number(form.view.elevation_deg) }))] : []),
    set(["evidence"], table({ ground: text(form.ground), by: form.by ? text(form.by) : null })),
  ];
  if (Object.values(form.description).some((v) => v.trim())) record.push(set(["description"], texts(form.description)));
  const alts = Object.entries(form.alt).filter(([, all]) => Object.values(all).some((v) => v.trim()));
  if (alts.length > 0) record.push(set(["alt"], table(Object.fromEntries(alts.map(([body, all]) => [body, texts(all)])))));
  return [
    { path: `${base}/record.toml`, version: null, changes: record },
    ...languages.filter((lang) => form.titles[lang]?.trim()).map((lang) => ({ path: `${base}/${lang}.md`, version: null, text: joined("", { title: form.titles[lang]!.trim(), words: form.words[lang] ?? "" }) })),
  ];
}

/** What must be said before a detail can be written. */
export function missing(form: Form, languages: readonly string[]): string | null {
  if (!form.place) return t("need_place");
  if (!form.kind) return t("need_kind");
  if (!form.bearing) return t("need_bearing");
  return languages.some((lang) => form.titles[lang]?.trim()) ? null : t("need_title");
}

function placeChanges(now: NonNullable<Form["place"]>, was: Form["place"]): Change[] {
  const changes: Change[] = [];
  if (now.part !== was?.part) changes.push(set(["part"], text(now.part)));
  if (now.body !== was?.body) changes.push(set(["anchor", "body"], text(now.body)));
  if (JSON.stringify(now.point_mm) !== JSON.stringify(was?.point_mm)) changes.push(set(["anchor", "point_mm"], { list: now.point_mm.map(number) }));
  if (now.radius_mm !== was?.radius_mm) changes.push(set(["anchor", "radius_mm"], number(now.radius_mm)));
  return changes;
}

function bearingChanges(bearing: string): Change[] {
  const [original, replica] = bearing.split("-");
  return [set(["bearing", "original"], text(original!)), ...(replica === "none" ? [] : [set(["bearing", "replica"], text(replica!))])];
}
