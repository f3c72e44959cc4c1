// The first page: what there is, what is finished, and what must be mended, each with a way to mend it.

import { get, post, type Desk, type Draft, type Finding, type ObjectLine } from "./api";
import { button, h, link } from "./dom";
import { count, has, moment, t, title } from "./words";

export async function home(desk: Desk): Promise<HTMLElement> {
  const drafts = await get<Draft[]>("drafts");
  const site = await get<{ look: string; published: boolean }>("site");
  const rest = desk.findings.filter((f) => !desk.objects.some((o) => f.file.startsWith(`${o.id}/`)));
  const first = desk.objects.length === 0;
  return h(
    "div",
    { class: "home-desk" },
    h("h1", {}, desk.site ? title(desk.site.name, t("desk")) : t("desk")),
    h("p", { class: "standing" }, first ? t("desk_empty") : standing(desk)),
    first ? h("p", {}, link(t("accession"), "#/accession", "do")) : null,
    first ? null : publishing(desk, site),
    drafts.length > 0
      ? h(
          "section",
          { "aria-labelledby": "drafts" },
          h("h2", { id: "drafts" }, t("drafts")),
          h("p", {}, t("drafts_why")),
          h("ul", { class: "lines" }, drafts.map((draft) => h("li", {}, link(t("draft_line", { file: draft.file, when: moment(draft.at) }), mending(draft.file, 0)), " ", button(t("let_go"), (event) => {
            void post("draft", { window: draft.window, path: draft.file, base: null, text: null });
            (event.target as HTMLElement).closest("li")?.remove();
          })))),
        )
      : null,
    first
      ? null
      : h("section", { "aria-labelledby": "objects" }, h("h2", { id: "objects" }, t("objects")), h("ul", { class: "objects-desk" }, desk.objects.map((object) => objectLine(desk, object)))),
    rest.length > 0 ? h("section", { "aria-labelledby": "rest" }, h("h2", { id: "rest" }, t("whole_site")), list(rest)) : null,
  );
}

function standing(desk: Desk): string {
  if (desk.measuring.length > 0) return t("measuring_models");
  if (desk.errors === 0) return desk.advice === 0 ? t("all_well") : t("publishable", { advice: count("advice", desk.advice) });
  return t("must_mend", { errors: count("errors", desk.errors) });
}

export function publishing(desk: Desk, site: { look: string; published: boolean }): HTMLElement {
  const said = h("p", { class: "state", role: "status", "data-publishing": true });
  const press = button(t("publish"), () => {
    said.textContent = t("publishing_begins");
    post("publish", {}).catch((error: Error) => (said.textContent = error.message || t("desk_gone")));
  }, "do");
  press.disabled = !desk.publishable;
  return h(
    "section",
    { class: "publish", "aria-labelledby": "publish" },
    h("h2", { id: "publish" }, t("publish_heading")),
    h("div", { class: "row" }, press, h("a", { href: site.look, target: "_blank", rel: "noopener", "data-look": true, ...(site.published ? {} : { hidden: true }) }, t("look_at_site"))),
    desk.publishable ? null : h("p", { class: "hint" }, t("publish_when")),
    said,
  );
}

function objectLine(desk: Desk, object: ObjectLine): HTMLElement {
  const own = desk.findings.filter((f) => f.file.startsWith(`${object.id}/`));
  const errors = own.filter((f) => f.severity === "error");
  const state = errors.length > 0 ? count("object_errors", errors.length) : own.length > 0 ? count("object_advice", own.length) : t("object_finished");
  return h(
    "li",
    {},
    h("h3", {}, link(title(object.titles, object.id), `#/o/${object.id}`)),
    h("p", { class: "object-line" }, [count("details", object.details.length), state, ...(object.unexplained.length > 0 ? [count("unexplained", object.unexplained.length)] : [])].join(" · ")),
    own.length > 0 ? list(own) : null,
  );
}

/** Findings, the grave ones first; each leads to where it is mended. */
export function list(findings: readonly Finding[]): HTMLElement {
  const grave = findings.filter((f) => f.severity === "error");
  const light = findings.filter((f) => f.severity !== "error");
  return h(
    "div",
    { class: "findings" },
    grave.length > 0 ? h("ul", { class: "grave" }, grave.map(finding)) : null,
    light.length > 0 ? h("details", { open: grave.length === 0 && light.length < 4 }, h("summary", {}, count("advice", light.length)), h("ul", {}, light.map(finding))) : null,
  );
}

function finding(f: Finding): HTMLElement {
  const rule = `rule_${f.rule.replace(/-/g, "_")}`;
  return h(
    "li",
    {},
    h("span", { class: "weight" }, t(`severity_${f.severity}`)),
    " ",
    has(rule) ? h("span", {}, t(rule)) : null,
    " ",
    h("span", { lang: "en" }, f.what),
    " ",
    h("span", { class: "remedy", lang: "en" }, f.remedy),
    " ",
    h("span", { class: "ways" }, link(t("mend", { file: f.file }), mending(f.file, f.line)), " ", link(t("mend_in_file", { file: f.file }), `#/file/${f.file}?${f.line}`)),
  );
}

/** The sheet on which a file is written. */
export function mending(file: string, line: number): string {
  const detail = /^([^/]+)\/details\/([^/]+)\//.exec(file);
  if (detail?.[2] === "new-detail") return `#/o/${detail[1]}/new`;
  if (detail) return `#/o/${detail[1]}/d/${detail[2]}`;
  if (file === "site.toml") return "#/site";
  const own = /^([^/]+)\/(record\.toml|[^/]+\.md)$/.exec(file);
  if (own && own[1] !== "terms") return own[2] === "record.toml" ? `#/o/${own[1]}/facts` : `#/o/${own[1]}/words`;
  return `#/file/${file}?${line}`;
}
