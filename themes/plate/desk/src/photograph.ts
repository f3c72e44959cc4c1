// Taking a photograph in: the file, what it shows, and whose it is.

import { post, takeIn, type Facts, type File } from "./api";
import { button, field, h, select } from "./dom";
import { announce } from "./heard";
import { sentence } from "./sheet";
import { table, text, texts } from "./values";
import { language, t } from "./words";

export function photographForm(folder: string, owner: File, languages: readonly string[], record: () => File, done: () => Promise<void>): HTMLElement {
  const rights: Facts[] = owner.facts?.rights ?? [];
  const alts: Record<string, string> = {};
  const captions: Record<string, string> = {};
  let right = rights[0]?.id ?? "";
  let chosen: globalThis.File | null = null;
  const said = h("p", { class: "living", role: "status" });
  const file = h("input", { type: "file", accept: ".jpg,.jpeg,.png,.webp" });
  const take = (picked: globalThis.File | undefined | null): void => {
    chosen = picked ?? null;
    said.textContent = chosen ? t("photograph_chosen", { name: chosen.name }) : "";
  };
  file.addEventListener("change", () => take(file.files?.[0]));
  const form = h(
    "fieldset",
    { class: "drop", dragover: (event: DragEvent) => event.preventDefault(), drop: (event: DragEvent) => (event.preventDefault(), take(event.dataTransfer?.files[0])) } as never,
    h("legend", {}, t("add_photograph")),
    field(t("photograph_file"), file, t("drop_here")),
    languages.map((lang) => field(`${t("photograph_alt")} (${language(lang)})`, h("textarea", { rows: 2, input: (e: Event) => (alts[lang] = (e.target as HTMLTextAreaElement).value) } as never), undefined, lang)),
    languages.map((lang) => field(`${t("photograph_caption")} (${language(lang)})`, h("input", { type: "text", input: (e: Event) => (captions[lang] = (e.target as HTMLInputElement).value) } as never), undefined, lang)),
    rights.length > 0 ? field(t("photograph_rights"), select(rights.map((r) => [r.id as string, `${r.holder} – ${r.statement}`] as const), right, (v) => (right = v)), t("photograph_rights_hint")) : h("p", {}, t("rights_first")),
    button(t("add_this_photograph"), () => void add()),
    said,
  );
  async function add(): Promise<void> {
    if (!chosen) return void (said.textContent = t("need_photograph"));
    if (languages.some((lang) => !alts[lang]?.trim())) return void (said.textContent = t("need_alt"));
    if (!right) return void (said.textContent = t("rights_first"));
    const parts = /^(.*)\.([A-Za-z]+)$/.exec(chosen.name);
    const taken = ((record().facts?.photographs ?? []) as Facts[]).map((p) => String(p.file).replace(/\.[^.]*$/, ""));
    try {
      const { name } = await post<{ name: string }>("name", { title: parts?.[1] ?? chosen.name, taken });
      const own = `${name}.${(parts?.[2] ?? "jpg").toLowerCase()}`;
      await takeIn(`${folder}/${own}`, chosen, (share) => (said.textContent = t("taking_in", { share: Math.round(share * 100) })));
      const photo = table({ file: text(own), rights: text(right), alt: texts(alts), caption: Object.values(captions).some((c) => c.trim()) ? texts(captions) : null });
      await post("save", { files: [{ path: record().path, version: record().version, changes: [{ append: { key: ["photographs"], table: photo } }] }], why: t("why_photograph", { file: own }) });
      announce(t("photograph_added"));
      await done();
    } catch (error) {
      said.textContent = sentence(error, t("desk_gone"));
    }
  }
  return form;
}
