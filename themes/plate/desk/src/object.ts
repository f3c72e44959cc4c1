// One object: its models, its details, what nobody has explained yet, and what must be mended.

import type { Desk, ObjectLine, PartMeasures } from "./api";
import { button, h, link } from "./dom";
import { binned } from "./detail";
import { list } from "./home";
import { letterOf, Plate } from "./plate";
import { age } from "./written";
import { count, figure, t, title } from "./words";

export function objectPage(desk: Desk, object: ObjectLine): HTMLElement {
  const own = desk.findings.filter((f) => f.file.startsWith(`${object.id}/`));
  const paired = object.bodies?.["replica"] !== undefined;
  const plate = object.bodies ? new Plate(object, paired ? "replica" : "original", {}) : null;
  void plate?.show();
  const others = (desk.site?.languages ?? []).slice(1);
  return h(
    "div",
    { class: "object-desk" },
    h("h1", {}, title(object.titles, object.id)),
    h("p", { class: "row" }, link(t("words_sheet"), `#/o/${object.id}/words`), link(t("facts_sheet"), `#/o/${object.id}/facts`)),
    others.map((lang) => age(desk, object.id, lang)),
    h(
      "div",
      { class: "folio" },
      h("div", { class: "stage-desk" }, plate ? plate.element : h("p", { class: "standing" }, t(desk.measuring.includes(object.id) ? "measuring_models" : "no_models"))),
      h(
        "div",
        { class: "beside" },
        h("h2", {}, t("details_heading")),
        object.details.length > 0 ? h("ol", { class: "key" }, object.details.map((detail, i) => detailLine(desk, object, detail.id, detail.titles, letterOf(i)))) : h("p", {}, t("no_details")),
        object.bodies ? h("p", {}, link(t("place_new"), `#/o/${object.id}/new`, "do")) : null,
        object.unexplained.length > 0
          ? h(
              "section",
              { "aria-labelledby": "unexplained" },
              h("h2", { id: "unexplained" }, t("unexplained_heading")),
              h("p", {}, t("unexplained_why")),
              h("ul", { class: "lines" }, object.unexplained.map((r) => h("li", {}, t("unexplained_line", { n: r.number, way: t(`way_${r.way}`), part: r.part, mm: figure(r.max_mm, 2), area: figure(r.area_mm2, 0) }), " ", link(t("explain_this", { n: r.number }), `#/o/${object.id}/new/${r.number}`)))),
            )
          : null,
      ),
    ),
    own.length > 0 ? h("section", { "aria-labelledby": "mend" }, h("h2", { id: "mend" }, t("to_mend")), list(own)) : h("p", {}, t("object_finished")),
    object.bodies ? measures(object) : null,
    h("section", { class: "bin-it" }, button(t("bin_object"), () => void binned(object.id, "#/"))),
  );
}

function detailLine(desk: Desk, object: ObjectLine, id: string, titles: Readonly<Record<string, string>>, letter: string): HTMLElement {
  const own = desk.findings.filter((f) => f.file.startsWith(`${object.id}/details/${id}/`));
  const grave = own.filter((f) => f.severity === "error").length;
  const older = Object.entries(desk.translations ?? {}).some(([file, state]) => file.startsWith(`${object.id}/details/${id}/`) && state === "older");
  const said = [grave > 0 ? count("object_errors", grave) : own.length > 0 ? count("object_advice", own.length) : "", older ? t("older_short") : ""].filter((s) => s);
  return h("li", {}, link([h("span", { class: "key-letter" }, letter), h("span", { class: "key-title" }, title(titles, id))], `#/o/${object.id}/d/${id}`, "key-link"), said.length > 0 ? h("p", { class: "key-kind" }, said.join(" · ")) : null);
}

function measures(object: ObjectLine): HTMLElement {
  const row = (body: string, part: PartMeasures) =>
    h(
      "tr",
      {},
      h("th", { scope: "row" }, `${t(`body_${body}`)}: ${part.id}`),
      h("td", { "data-label": t("measure_size") }, part.size_mm.map((v) => figure(v)).join(" × ")),
      h("td", { "data-label": t("measure_triangles") }, figure(part.triangles, 0)),
      h("td", { "data-label": t("measure_volume") }, part.volume_mm3 ? (part.volume_mm3[0] === part.volume_mm3[1] ? figure(part.volume_mm3[0] / 1000) : `${figure(part.volume_mm3[0] / 1000)} – ${figure(part.volume_mm3[1] / 1000)}`) : t("measure_none")),
      h("td", { "data-label": t("measure_openings") }, figure(part.openings, 0)),
    );
  return h(
    "section",
    { "aria-labelledby": "measures" },
    h("h2", { id: "measures" }, t("measures")),
    h(
      "table",
      { class: "differences" },
      h("thead", {}, h("tr", {}, ["measure_part", "measure_size", "measure_triangles", "measure_volume", "measure_openings"].map((key) => h("th", { scope: "col" }, t(key))))),
      h("tbody", {}, Object.entries(object.bodies ?? {}).flatMap(([body, { parts }]) => parts.map((part) => row(body, part)))),
    ),
  );
}
