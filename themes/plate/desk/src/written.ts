// Words of an object in all its languages, side by side; and any other text file, as it is.

import { get, post, type Desk, type File, type ObjectLine, type Saved } from "./api";
import { button, field, h, link } from "./dom";
import { announce } from "./heard";
import { joined, split } from "./notes";
import { Preview } from "./preview";
import { sentence, Sheet } from "./sheet";
import { language, t, title } from "./words";

export async function wordsSheet(desk: Desk, object: ObjectLine, signal: AbortSignal): Promise<HTMLElement> {
  const languages = desk.site?.languages ?? ["en"];
  let notes: File[] = [];
  let form: { titles: string[]; words: string[] } = { titles: [], words: [] };
  let clean = "";
  const load = async (): Promise<void> => {
    notes = await Promise.all(languages.map((lang) => get<File>("file", { path: `${object.id}/${lang}.md` })));
    form = { titles: notes.map((n) => split(n.text).title), words: notes.map((n) => split(n.text).words) };
    clean = JSON.stringify(form);
  };
  await load();
  const columns = h("div", { class: "languages-side" });
  let looked = 0;
  const preview = new Preview(() => (form.titles[looked]?.trim() ? { object: object.id, object_title: form.titles[looked], lang: languages[looked], text: joined(notes[looked]!.text, { title: form.titles[looked]!, words: form.words[looked]! }) } : null));
  const changed = (i: number): void => {
    looked = i;
    sheet.touched();
    preview.touched();
  };
  const fill = (): void => {
    columns.replaceChildren(
      ...languages.map((lang, i) => {
        const area = h("textarea", { rows: 18, spellcheck: "true", input: () => ((form.words[i] = area.value), changed(i)) });
        area.value = form.words[i]!;
        const heading = h("input", { type: "text", value: form.titles[i]!, input: () => ((form.titles[i] = heading.value), changed(i)) });
        return h("section", { class: "language", "aria-label": language(lang) }, h("h2", {}, language(lang)), age(desk, object.id, lang), field(t("title_of_object"), heading, undefined, lang), field(t("words_of_object"), area, t("words_hint"), lang));
      }),
    );
    preview.touched(0);
  };
  const sheet = new Sheet(
    {
      path: `${object.id}/${languages[0]}.md`,
      files: () => notes,
      typed: () => (JSON.stringify(form) === clean ? null : JSON.stringify(form)),
      take: (draft) => {
        try {
          form = JSON.parse(draft) as typeof form;
          fill();
        } catch {
          announce(t("draft_other"));
        }
      },
      save: () =>
        notes.flatMap((note, i): Saved[] => {
          const text = joined(note.text, { title: form.titles[i]!.trim(), words: form.words[i]! });
          return text === note.text || (text === "" && note.version === null) ? [] : [{ path: note.path, version: note.version, text }];
        }),
      why: () => t("why_words", { title: title(object.titles, object.id) }),
      written: async () => {
        await load();
        fill();
      },
      anew: async () => {
        await load();
        fill();
      },
    },
    signal,
  );
  fill();
  await sheet.offer();
  return h("div", {}, h("p", { class: "over" }, link(title(object.titles, object.id), `#/o/${object.id}`)), h("h1", {}, t("words_sheet")), sheet.notices, columns, sheet.foot, preview.element);
}

/** How a translation stands to its source, with a way to say that it is up to date. */
export function age(desk: Desk, folder: string, lang: string): HTMLElement | null {
  const first = desk.site?.languages[0] ?? "en";
  const state = desk.translations?.[`${folder}/${lang}.md`];
  if (!state || lang === first) return null;
  const line = h("p", { class: "age" }, t(`translation_${state.replace("-", "_")}`, { source: language(first) }));
  if (state === "fresh") return line;
  const say = button(t("translation_say", { source: language(first) }), () => {
    post("translated", { note: `${folder}/${lang}.md`, source: `${folder}/${first}.md`, why: t("why_translated", { lang: language(lang) }) }).then(
      () => line.replaceChildren(t("translation_fresh", { source: language(first) })),
      (error: unknown) => announce(sentence(error, t("desk_gone"))),
    );
  });
  line.append(" ", say);
  return line;
}

export async function fileSheet(path: string, at: number, signal: AbortSignal): Promise<HTMLElement> {
  let file = await get<File>("file", { path });
  const area = h("textarea", { rows: 28, class: "file-text", spellcheck: "false", input: () => sheet.touched() });
  area.value = file.text;
  const anew = async (): Promise<void> => {
    file = await get<File>("file", { path });
    area.value = file.text;
  };
  const sheet = new Sheet(
    {
      path,
      files: () => [file],
      typed: () => (area.value === file.text ? null : area.value),
      take: (text) => (area.value = text),
      save: () => (area.value === file.text ? [] : [{ path, version: file.version, text: area.value }]),
      why: () => t("why_file", { file: path }),
      written: anew,
      anew,
    },
    signal,
  );
  await sheet.offer();
  // What a finding means is chosen in the text, so that it is in sight.
  setTimeout(() => {
    if (at <= 0) return;
    const start = area.value.split("\n").slice(0, at - 1).join("\n").length + (at > 1 ? 1 : 0);
    area.focus();
    area.setSelectionRange(start, start + (area.value.slice(start).split("\n")[0]?.length ?? 0));
  }, 50);
  return h("div", {}, h("h1", {}, t("file_sheet")), h("p", {}, t("file_why")), sheet.notices, field(path, area, at > 0 ? t("file_line", { line: at }) : undefined), sheet.foot);
}
