// A new object: what is asked at the start, and its scans with their measures at once.

import { hear, post, takeIn, type Desk, type Facts } from "./api";
import { button, choices, field, h, select } from "./dom";
import { announce } from "./heard";
import { STATEMENTS } from "./facts";
import { sentence } from "./sheet";
import { language, t } from "./words";

interface ScanLine {
  readonly body: "original" | "replica";
  readonly model: string;
  part: string;
  unit: string | null;
  up: string;
  readonly said: HTMLElement;
}

export async function accessionSheet(desk: Desk, signal: AbortSignal): Promise<HTMLElement> {
  const begun = desk.site !== null;
  let languages = [...(desk.site?.languages ?? ["en"])];
  const answers: Record<string, string> = {};
  const localised: Record<string, Record<string, string>> = {};
  let ground = "observed";
  let statement = STATEMENTS[0]!;
  let id: string | null = null;
  /** Where it is told how far the measuring has come. */
  let measuring: HTMLElement | null = null;
  const scans: ScanLine[] = [];
  const said = h("p", { class: "state", role: "status" });
  const form = h("div", { class: "facts-form" });
  const plain = (key: string, hint?: string) => field(t(`fact_${key}`), h("input", { type: "text", value: answers[key] ?? "", input: (e: Event) => (answers[key] = (e.target as HTMLInputElement).value) } as never), hint);
  const each = (key: string, label: string, hint?: string, long = false) =>
    h(
      "div",
      { class: "languages-side" },
      languages.map((lang) => {
        const write = (e: Event) => ((localised[key] ??= {})[lang] = (e.target as HTMLInputElement).value);
        const control = long ? h("textarea", { rows: 3, input: write } as never) : h("input", { type: "text", input: write } as never);
        (control as HTMLInputElement).value = localised[key]?.[lang] ?? "";
        return field(languages.length > 1 ? `${label} (${language(lang)})` : label, control, hint, lang);
      }),
    );
  const fill = (): void => {
    form.replaceChildren(
      begun
        ? ""
        : h(
            "section",
            { "aria-labelledby": "site-facts" },
            h("h2", { id: "site-facts" }, t("facts_site")),
            choices(t("site_languages"), "site-languages", [["en", "English"], ["cy", "Cymraeg"], ["en cy", "English, Cymraeg"], ["cy en", "Cymraeg, English"]], languages.join(" "), (value) => {
              languages = value.split(" ");
              fill();
            }),
            plain("publisher"),
            plain("address", t("fact_address_hint")),
            each("site_name", t("fact_site_name")),
            each("introduction", t("fact_introduction"), undefined, true),
          ),
      h(
        "section",
        { "aria-labelledby": "object-facts" },
        h("h2", { id: "object-facts" }, t("facts_object")),
        each("titles", t("title_of_object")),
        plain("number"),
        each("name", t("fact_name"), t("fact_name_hint")),
        each("date", t("fact_date")),
        each("keeper", t("fact_keeper")),
        field(t("ground"), select(["observed", "measured", "documented", "conjectured"].map((g) => [g, t(`ground_${g}`)] as const), ground, (v) => (ground = v))),
      ),
      h("section", { "aria-labelledby": "material-facts" }, h("h2", { id: "material-facts" }, t("facts_matter")), each("material", t("fact_material_name")), plain("density_low", t("fact_density_hint")), plain("density_high")),
      h(
        "section",
        { "aria-labelledby": "rights-facts" },
        h("h2", { id: "rights-facts" }, t("facts_rights")),
        plain("holder"),
        field(t("rights_statement"), select(STATEMENTS.map((s) => [s, t(`statement_${s.replace(/\W+/g, "_")}`)] as const), statement, (v) => (statement = v))),
      ),
      h("section", { "aria-labelledby": "scans" }, h("h2", { id: "scans" }, t("scans")), h("p", {}, t("scans_why")), scanForm("original"), scanForm("replica")),
    );
  };

  async function name(): Promise<string | null> {
    if (id) return id;
    const title = languages.map((lang) => localised["titles"]?.[lang]?.trim()).find((v) => v);
    if (!title) {
      said.textContent = t("need_title");
      announce(t("need_title"));
      return null;
    }
    id = (await post<{ name: string }>("name", { title, taken: desk.objects.map((o) => o.id) })).name;
    return id;
  }

  function scanForm(body: "original" | "replica"): HTMLElement {
    const lines = h("div", { class: "scans" }, scans.filter((s) => s.body === body).map((s) => s.said));
    const file = h("input", { type: "file", accept: ".glb,.gltf,.ply,.stl,.obj,.3mf", multiple: true });
    const take = async (files: FileList | undefined | null): Promise<void> => {
      // What was dropped is the browser's again once the first file is on its way.
      for (const one of [...(files ?? [])]) await add(body, one, lines);
    };
    file.addEventListener("change", () => void take(file.files));
    return h(
      "fieldset",
      { class: "drop", dragover: (event: DragEvent) => event.preventDefault(), drop: (event: DragEvent) => (event.preventDefault(), void take(event.dataTransfer?.files)) } as never,
      h("legend", {}, t(`body_${body}`)),
      each(`location_${body}`, t("fact_location")),
      each(`finish_${body}`, t("fact_finish"), t("fact_finish_hint")),
      field(t(`scan_file_${body}`), file, t("scan_hint")),
      lines,
    );
  }

  async function add(body: "original" | "replica", file: globalThis.File, lines: HTMLElement): Promise<void> {
    const object = await name();
    if (!object) return;
    const line = h("div", { class: "scan", role: "group", "aria-label": file.name });
    lines.append(line);
    const told = h("p", { class: "living", role: "status" });
    line.append(h("p", {}, file.name), told);
    const pieces = /^(.*)\.([A-Za-z0-9]+)$/.exec(file.name);
    try {
      const part = (await post<{ name: string }>("name", { title: pieces?.[1] ?? file.name, taken: scans.filter((s) => s.body === body).map((s) => s.part) })).name;
      const model = `models/${body}-${part}.${(pieces?.[2] ?? "").toLowerCase()}`;
      const path = `${object}/${model}`;
      await takeIn(path, file, (share) => (told.textContent = t("taking_in", { share: Math.round(share * 100) })));
      const scan: ScanLine = { body, model, part, unit: null, up: "y", said: line };
      scans.push(scan);
      const { units } = await post<{ units: { unit: string; longest_mm: number; likely: boolean }[] }>("measure", { path });
      const measure = async (): Promise<void> => {
        if (!scan.unit) return;
        told.textContent = t("measuring");
        measuring = told;
        const { plain } = await post<{ plain: string }>("measure", { path, unit: scan.unit, up: scan.up }).finally(() => (measuring = null));
        told.replaceChildren(...plain.trim().split("\n").flatMap((text) => [text, h("br")]));
        announce(t("measured"));
      };
      if (units.length === 1) scan.unit = units[0]!.unit;
      else told.textContent = t("say_unit");
      line.append(
        choices(t("scan_unit"), "unit", units.map((u) => [u.unit, t("unit_choice", { unit: t(`unit_${u.unit}`), mm: new Intl.NumberFormat(document.documentElement.lang, { maximumSignificantDigits: 3 }).format(u.longest_mm) }) + (u.likely ? "" : ` ${t("unit_unlikely")}`)] as const), scan.unit, (value) => {
          scan.unit = value;
          measure().catch((error: unknown) => (told.textContent = sentence(error, t("desk_gone"))));
        }),
        choices(t("scan_up"), "up", [["y", t("up_y")], ["z", t("up_z")]], scan.up, (value) => {
          scan.up = value;
          measure().catch((error: unknown) => (told.textContent = sentence(error, t("desk_gone"))));
        }),
        field(t("scan_part"), h("input", { type: "text", value: part, input: (e: Event) => (scan.part = (e.target as HTMLInputElement).value) } as never), t("scan_part_hint")),
      );
      await measure();
    } catch (error) {
      told.textContent = sentence(error, t("desk_gone"));
    }
  }

  async function begin(): Promise<void> {
    const object = await name();
    if (!object) return;
    const without = scans.find((s) => s.unit === null);
    if (without) {
      said.textContent = t("say_unit");
      return;
    }
    said.textContent = t("writing");
    const given = (key: string) => Object.fromEntries(Object.entries(localised[key] ?? {}).filter(([, v]) => v.trim()).map(([k, v]) => [k, v.trim()]));
    const material = Object.values(given("material"))[0];
    const densities = ["density_low", "density_high"].map((key) => Number((answers[key] ?? "").replace(",", ".")));
    const bodies: Facts = {};
    for (const body of ["original", "replica"] as const) {
      const own = scans.filter((s) => s.body === body);
      if (body === "replica" && own.length === 0 && Object.keys(given("location_replica")).length === 0) continue;
      bodies[body] = {
        location: given(`location_${body}`),
        finish: given(`finish_${body}`),
        parts: await Promise.all(
          own.map(async (s) => {
            const part = (await post<{ name: string }>("name", { title: s.part })).name;
            return { id: part, name: Object.fromEntries(languages.map((lang) => [lang, s.part])), model: s.model, unit: s.unit, up: s.up, ...(material ? { material: "main" } : {}) };
          }),
        ),
      };
    }
    try {
      await post("accession", {
        id: object,
        answers: {
          titles: given("titles"),
          ...(answers["number"]?.trim() ? { number: answers["number"].trim() } : {}),
          name: given("name"),
          date: given("date"),
          keeper: given("keeper"),
          ground,
          bodies,
          materials: material ? { main: { name: given("material"), ...(densities.every((d) => d > 0) ? { density_g_per_cm3: densities } : {}), ground: "conjectured" } } : {},
          ...(answers["holder"]?.trim() ? { rights: { holder: answers["holder"].trim(), statement, permits: ["display", "download", "print"] } } : {}),
          site: begun ? {} : { ...(answers["publisher"]?.trim() ? { publisher: answers["publisher"].trim() } : {}), ...(answers["address"]?.trim() ? { address: answers["address"].trim() } : {}), languages, name: given("site_name"), introduction: given("introduction") },
        },
      });
      announce(t("accessioned"));
      location.hash = `#/o/${object}`;
    } catch (error) {
      said.textContent = sentence(error, t("desk_gone"));
    }
  }

  hear((news) => {
    const { measured } = news as { measured?: { done: number; total: number } };
    if (measured && measuring && measured.done < measured.total) measuring.textContent = t(`measuring_${measured.done + 1}`, { of: measured.total });
  }, signal);
  fill();
  return h("div", {}, h("h1", {}, t("accession")), h("p", {}, t("accession_why")), form, h("div", { class: "foot" }, button(t("begin_object"), () => void begin(), "do"), said));
}
