// The sheet of one detail: where it is, what it is, its words, and what the site will make of it.

import { get, hear, post, Refused, type Desk, type Facts, type File, type ObjectLine, type Place, type Saved } from "./api";
import { button, choices, field, h, link, select } from "./dom";
import { amended, BEARINGS, begun, GROUNDS, KINDS, missing, read, type Form } from "./form";
import { announce } from "./heard";
import { joined } from "./notes";
import { photographForm } from "./photograph";
import { Plate, letterOf, type Ray } from "./plate";
import { Preview } from "./preview";
import { sentence, Sheet } from "./sheet";
import { at } from "./values";
import { figure, language, t, title } from "./words";
import { age } from "./written";

export async function detailSheet(desk: Desk, object: ObjectLine, id: string | null, region: number | null, signal: AbortSignal): Promise<HTMLElement> {
  const languages = desk.site?.languages ?? ["en"];
  const folder = id === null ? null : `${object.id}/details/${id}`;
  const owner = await get<File>("file", { path: `${object.id}/record.toml` });
  let record: File | null = null;
  let notes: Record<string, File> = {};
  const paired = at(owner.facts, ["bodies", "replica"]) !== undefined;

  const load = async (): Promise<void> => {
    if (!folder) return;
    record = await get<File>("file", { path: `${folder}/record.toml` });
    const all = await Promise.all(languages.map((lang) => get<File>("file", { path: `${folder}/${lang}.md` })));
    notes = Object.fromEntries(languages.map((lang, i) => [lang, all[i]!]));
  };
  await load();

  const fromFiles = () => read(record, notes, languages);
  let form = fromFiles();
  const explained = region === null ? undefined : object.unexplained.find((r) => r.number === region);
  let clean = JSON.stringify(form);
  if (explained) {
    form.place = { body: explained.body, part: explained.part, point_mm: explained.point_mm, radius_mm: explained.radius_mm };
    form.kind = explained.way === "lost" ? "loss" : "addition";
    form.bearing = explained.way === "lost" ? "present-absent" : explained.way === "moved" ? "present-altered" : "absent-present";
  }
  if (!paired) form.bearing ??= "present-none";

  // The place.
  let found: Place | null = null;
  let moving = id === null && !explained;
  const told = h("p", { class: "place-told", role: "status" });
  const radius = h("input", { type: "range", min: "0", max: "1", step: "any" });
  const radiusSaid = h("output", {});
  const proposed = h("p", { class: "hint" });
  const plate = new Plate(object, form.place?.body ?? (paired ? "replica" : "original"), {
    touched: (ray) => void touch(ray),
    rested: (view) => {
      seenFrom = { azimuth_deg: tenth(((view.azimuth % 360) + 360) % 360), elevation_deg: tenth(view.elevation) };
    },
  });
  let seenFrom: { azimuth_deg: number; elevation_deg: number } | null = null;
  const size = (): number => {
    const box = object.bodies?.[plate.shown];
    return box ? Math.hypot(...[0, 1, 2].map((k) => box.high[k]! - box.low[k]!)) : 100;
  };
  // Even steps of the hand are even ratios of the radius.
  const toRadius = (share: number) => size() * 0.004 * (100 ** share);
  const toShare = (mm: number) => Math.log(mm / (size() * 0.004)) / Math.log(100);

  async function touch(ray: Ray): Promise<void> {
    if (!moving) {
      plate.say(t("place_fixed"));
      return;
    }
    try {
      const answer = await post<Place>("place", { object: object.id, body: plate.shown, ray, ...(form.place ? { radius_mm: form.place.radius_mm } : {}) });
      if (answer.missed) {
        plate.say(t("place_missed"));
        return;
      }
      form.place = { body: plate.shown, part: answer.part, point_mm: answer.point_mm, radius_mm: answer.radius_mm };
      show(answer, false);
      changed();
    } catch (error) {
      plate.say(sentence(error, t("desk_gone")));
    }
  }

  async function find(look: boolean): Promise<void> {
    if (!form.place) return;
    const { body, part, point_mm, radius_mm } = form.place;
    const answer = await post<Place>("place", { object: object.id, body, part, point_mm, radius_mm }).catch((error: unknown) => {
      plate.say(sentence(error, t("desk_gone")));
      return null;
    });
    if (answer && !answer.missed) show(answer, look);
    else if (answer) plate.say(t("place_off"));
  }

  function show(answer: Place, look: boolean): void {
    found = answer;
    const partName = at(owner.facts, ["bodies", form.place!.body, "parts"])?.find((p: Facts) => p.id === answer.part)?.name;
    told.textContent = t("place_told", { part: title(partName ?? {}, answer.part), body: t(`on_${form.place!.body}`), radius: figure(answer.radius_mm) });
    radius.value = String(toShare(answer.radius_mm));
    radiusSaid.textContent = `${figure(answer.radius_mm)} mm`;
    proposed.textContent = t("view_proposed", { share: Math.round(answer.seen * 100) });
    plate.mean(answer, look ? (form.view ?? answer.view) : null);
    if (look) plate.say(t("place_seen"));
    announce(told.textContent);
    void stillWords();
  }

  radius.addEventListener("input", () => {
    if (!form.place) return;
    const mm = toRadius(Number(radius.value));
    form.place = { ...form.place, radius_mm: mm >= 2 ? Math.round(mm * 2) / 2 : Math.max(0.1, Math.round(mm * 10) / 10) };
    radiusSaid.textContent = `${figure(form.place.radius_mm)} mm`;
    changed();
    clearTimeout(radiusTimer);
    radiusTimer = setTimeout(() => void find(false), 80);
  });
  let radiusTimer = 0;
  const mover = button(t("move_place"), () => {
    moving = !moving;
    mover.setAttribute("aria-pressed", String(moving));
    plate.say(t(moving ? "plate_ready_place" : "place_fixed"));
  });
  mover.setAttribute("aria-pressed", String(moving));
  const viewSaid = h("p", { class: "hint" });
  const sayView = () => (viewSaid.textContent = t(form.view ? "view_own" : "view_programs"));
  const place = h(
    "section",
    { "aria-labelledby": "where" },
    h("h2", { id: "where" }, t("where")),
    told,
    id === null ? null : mover,
    field(t("radius"), radius),
    radiusSaid,
    h("h3", {}, t("view_heading")),
    proposed,
    viewSaid,
    h("div", { class: "row" }, button(t("view_see"), () => found && plate.mean(found, found.view)), button(t("view_take"), () => {
      form.view = seenFrom ?? { azimuth_deg: tenth(plate.from.azimuth), elevation_deg: tenth(plate.from.elevation) };
      sayView();
      changed();
    }), button(t("view_leave"), () => {
      form.view = null;
      sayView();
      changed();
    })),
  );

  // What it is.
  const what = h("section", { "aria-labelledby": "what" });
  const fillWhat = (): void => {
    const bearings = paired ? BEARINGS : ["present-none", "unknown-none"];
    const known = form.bearing !== null && !bearings.includes(form.bearing) ? [form.bearing] : [];
    what.replaceChildren(
      h("h2", { id: "what" }, t("what_it_is")),
      choices(t("kind"), "kind", KINDS.map((kind) => [kind, t(`kind_${kind}`)] as const), form.kind, (value) => {
        form.kind = value;
        changed();
      }),
      choices(t("bearing"), "bearing", [...bearings, ...known].map((b) => [b, t(`bearing_${b}`)] as const), form.bearing, (value) => {
        form.bearing = value;
        changed();
      }),
      field(t("ground"), select(GROUNDS.map((g) => [g, t(`ground_${g}`)] as const), form.ground, (value) => {
        form.ground = value;
        changed();
      })),
      Object.keys(desk.site?.people ?? {}).length === 0 ? "" : field(t("by"), select([["", t("by_nobody")], ...Object.entries(desk.site!.people)], form.by, (value) => {
        form.by = value;
        changed();
      })),
    );
  };

  // Its words, side by side.
  const stillSaid: Record<string, HTMLElement> = {};
  const columns = h("div", { class: "languages-side" });
  const input = (value: string, write: (value: string) => void, rows = 0): HTMLElement => {
    const listen = { input: (event: Event) => (write((event.target as HTMLInputElement).value), changed()) };
    if (rows === 0) return h("input", { type: "text", value, ...listen, spellcheck: "true" } as never);
    const area = h("textarea", { rows, ...listen, spellcheck: "true" } as never);
    area.value = value;
    return area;
  };
  const fillWords = (): void => {
    columns.replaceChildren(
      ...languages.map((lang) => {
        stillSaid[lang] = h("p", { class: "hint" });
        return h(
          "section",
          { "aria-label": language(lang), class: "language" },
          h("h3", {}, language(lang)),
          folder ? age(desk, folder, lang) : null,
          field(t("title_of_detail"), input(form.titles[lang] ?? "", (v) => (form.titles[lang] = v)), undefined, lang),
          field(t("words_of_detail"), input(form.words[lang] ?? "", (v) => (form.words[lang] = v), 9), t("words_hint"), lang),
          field(t("description"), input(form.description[lang] ?? "", (v) => (form.description[lang] = v), 4), t("description_hint"), lang),
          h("details", {}, h("summary", {}, t("alt_heading")), stillSaid[lang], ...(paired ? ["original", "replica"] : ["original"]).map((body) => field(t(`alt_${body}`), input(form.alt[body]?.[lang] ?? "", (v) => ((form.alt[body] ??= {})[lang] = v), 2), undefined, lang))),
        );
      }),
    );
  };
  let stillTimer = 0;
  async function stillWords(): Promise<void> {
    if (!found || !desk.site) return;
    const body = form.place?.body ?? "original";
    for (const lang of languages) {
      const said = stillSaid[lang];
      if (!said) continue;
      const absent = (form.bearing ?? "").split("-")[body === "original" ? 0 : 1] === "absent";
      const answer = await post<{ alt: string }>("still-words", { lang, body, absent, title: form.titles[lang] || "…", view: form.view ?? found.view }).catch(() => null);
      said.textContent = answer ? t("alt_programs", { words: answer.alt }) : "";
      said.lang = answer ? "" : "";
    }
  }

  // Photographs.
  const pictures = h("section", { "aria-labelledby": "pictures" });
  const fillPictures = (): void => {
    const there: Facts[] = record?.facts?.photographs ?? [];
    pictures.replaceChildren(
      h("h2", { id: "pictures" }, t("photographs")),
      ...(folder === null ? [h("p", {}, t("photographs_later"))] : [
        h("ul", { class: "photographs" }, there.map((photo) => h("li", {}, h("img", { src: `/api/picture?${new URLSearchParams({ path: `${folder}/${photo.file}` })}`, alt: title(photo.alt ?? {}, "") }), h("span", {}, title(photo.alt ?? {}, photo.file))))),
        photographForm(folder, owner, languages, () => record!, async () => {
          await load();
          fillPictures();
          preview.touched(0);
        }),
      ]),
    );
  };

  // Writing.
  const path = `${folder ?? `${object.id}/details/new-detail`}/record.toml`;
  let named = "";
  const saves = (): Saved[] => (record ? amended(form, { record, notes }, languages) : begun(form, `${object.id}/details/${named}`, object.details.length, languages));
  const sheet = new Sheet(
    {
      path,
      files: () => (folder === null ? [] : [record!, ...Object.values(notes)]),
      typed: () => (JSON.stringify(form) === clean ? null : JSON.stringify(form)),
      take: (draft) => {
        try {
          form = { ...form, ...(JSON.parse(draft) as Form) };
        } catch {
          announce(t("draft_other"));
          return;
        }
        fill();
        void find(true);
      },
      save: () => {
        const lacks = missing(form, languages);
        if (lacks) throw new Refused("lacks", lacks, null);
        return saves();
      },
      why: () => t(folder === null ? "why_new_detail" : "why_detail", { title: title(form.titles, id ?? named) }),
      written: async () => {
        if (folder === null) {
          clean = JSON.stringify(form);
          location.hash = `#/o/${object.id}/d/${named}`;
          return;
        }
        await load();
        form = fromFiles();
        clean = JSON.stringify(form);
        fill();
      },
      anew: async () => {
        await load();
        form = fromFiles();
        clean = JSON.stringify(form);
        fill();
        void find(false);
      },
    },
    signal,
  );
  // Models that are still being measured come later; what is typed meanwhile is kept.
  if (!object.bodies) {
    hear(() => {
      void get<Desk>("desk").then(async (now) => {
        if (signal.aborted || !now.objects.find((o) => o.id === object.id)?.bodies) return;
        await sheet.keepNow(false);
        if (!signal.aborted) dispatchEvent(new Event("again"));
      });
    }, signal);
  }
  // A new detail is named after its title before it is written.
  if (folder === null) {
    const plain = sheet.write.bind(sheet);
    sheet.write = async () => {
      const first = languages.map((lang) => form.titles[lang]?.trim()).find((v) => v) ?? "";
      if (first) named = (await post<{ name: string }>("name", { title: first, taken: object.details.map((d) => d.id) }).catch(() => ({ name: "detail" }))).name;
      await plain();
    };
  }
  const preview = new Preview(() => {
    const lang = languages.find((l) => form.titles[l]?.trim());
    if (!lang || !form.kind || !form.bearing) return null;
    const [original, replica] = form.bearing.split("-");
    return {
      object: object.id,
      object_title: title(object.titles, object.id),
      lang,
      text: joined("", { title: form.titles[lang]!, words: form.words[lang] ?? "" }),
      detail: {
        id: id ?? "new-detail",
        index: Math.max(0, id === null ? object.details.length : object.details.findIndex((d) => d.id === id)),
        kind: form.kind,
        bearing: { original, ...(replica === "none" ? {} : { replica }) },
        description: form.description[lang]?.trim() || null,
        photographs: record?.facts?.photographs ?? [],
      },
    };
  });
  const changed = (): void => {
    sheet.touched();
    preview.touched();
    clearTimeout(stillTimer);
    stillTimer = setTimeout(() => void stillWords(), 600);
  };
  const fill = (): void => {
    fillWhat();
    fillWords();
    fillPictures();
    sayView();
    preview.touched(0);
  };
  fill();
  if (!form.place) told.textContent = t("place_none");
  void plate.show().then(() => find(true));
  await sheet.offer();
  const letter = id === null ? "" : letterOf(Math.max(0, object.details.findIndex((d) => d.id === id)));
  return h(
    "div",
    { class: "detail-sheet" },
    h("p", { class: "over" }, link(title(object.titles, object.id), `#/o/${object.id}`)),
    h("h1", {}, id === null ? t("new_detail") : [h("span", { class: "key-letter" }, letter), " ", title(form.titles, id)]),
    explained ? h("p", { class: "standing" }, t("explains", { n: explained.number, part: explained.part, mm: figure(explained.max_mm, 2) })) : null,
    sheet.notices,
    h("div", { class: "folio" }, h("div", { class: "stage-desk" }, plate.element), h("div", { class: "beside" }, place, what)),
    h("section", { "aria-labelledby": "words" }, h("h2", { id: "words" }, t("words_heading")), columns),
    pictures,
    sheet.foot,
    preview.element,
    id === null ? null : h("section", { class: "bin-it" }, button(t("bin_detail"), () => void binned(`${object.id}/details/${id}`, `#/o/${object.id}`))),
  );
}

export async function binned(path: string, then: string): Promise<void> {
  await post("bin", { path });
  announce(t("binned"));
  location.hash = then;
}

const tenth = (value: number): number => Math.round(value * 10) / 10;
