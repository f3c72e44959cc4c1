// The desk's page: which sheet lies on it, and what is heard meanwhile.

import { accessionSheet } from "./accession";
import { get, hear, listen, Refused, type Desk, type News } from "./api";
import { detailSheet } from "./detail";
import { donePage } from "./done";
import { button, h, link } from "./dom";
import { objectFacts, siteFacts } from "./facts";
import { announce } from "./heard";
import { home } from "./home";
import { objectPage } from "./object";
import { fileSheet, wordsSheet } from "./written";
import { begin, language, names, speak, spoken, t } from "./words";

const main = document.querySelector<HTMLElement>("main")!;
let shown: AbortController | null = null;
let desk: Desk;
let turn = 0;
/** The change that was heard of since the sheet that lies here was asked for. */
let meanwhile: number | null = null;

/** Pages that only show are drawn anew when something changes; sheets on which somebody writes are not. */
let reading = false;

async function page(parts: readonly string[], query: string, signal: AbortSignal): Promise<HTMLElement> {
  reading = false;
  const [first, id, what, last] = parts;
  if (first === "accession") return accessionSheet(desk, signal);
  if (first === "site") return siteFacts(desk, signal);
  if (first === "file") return fileSheet(parts.slice(1).join("/"), Number(query) || 0, signal);
  if (first === "done") {
    reading = true;
    return donePage(() => void draw(false));
  }
  if (first === "o") {
    const object = desk.objects.find((o) => o.id === id);
    if (!object) {
      reading = true;
      return h("div", {}, h("h1", {}, t("no_object")), h("p", {}, link(t("everything"), "#/")));
    }
    if (what === "words") return wordsSheet(desk, object, signal);
    if (what === "facts") return objectFacts(desk, object, signal);
    if (what === "d" && last) return detailSheet(desk, object, last, null, signal);
    if (what === "new" && object.bodies) return detailSheet(desk, object, null, last ? Number(last) : null, signal);
    reading = true;
    return objectPage(desk, object);
  }
  reading = true;
  return home(desk);
}

async function draw(moved: boolean): Promise<void> {
  const mine = ++turn;
  meanwhile = null;
  shown?.abort();
  const controller = (shown = new AbortController());
  try {
    desk = await get<Desk>("desk");
    const [path = "", query = ""] = location.hash.replace(/^#\/?/, "").split("?");
    const sheet = await page(path.split("/").filter((p) => p), query, controller.signal);
    if (mine !== turn) return controller.abort();
    const focused = main.contains(document.activeElement) ? document.activeElement?.getAttribute("data-key") : null;
    main.replaceChildren(sheet);
    around();
    const heading = main.querySelector("h1");
    document.title = `${heading?.textContent ?? ""} – ${t("desk")}`;
    if (moved) {
      scrollTo(0, 0);
      main.focus();
    } else if (focused) main.querySelector<HTMLElement>(`[data-key="${CSS.escape(focused)}"]`)?.focus();
    // The answer may be of a moment before a change that was heard of while it was on its way.
    if (reading && meanwhile !== null && meanwhile !== desk.number) void draw(false);
  } catch (error) {
    announce(error instanceof Refused && error.message ? error.message : t("desk_gone"));
  }
}

/** What stands around every sheet. */
function around(): void {
  const skip = document.querySelector<HTMLElement>("[data-skip]")!;
  skip.textContent = t("skip");
  skip.onclick = (event) => {
    event.preventDefault();
    main.focus();
  };
  const masthead = document.querySelector("[data-masthead]")!;
  masthead.replaceChildren(
    h("p", { class: "masthead-name" }, link([t("desk"), desk.site?.publisher ? ` · ${desk.site.publisher}` : ""].join(""), "#/")),
    h(
      "div",
      { class: "languages", role: "group", "aria-label": t("languages") },
      Object.entries(names).map(([tag, name]) => h("button", { type: "button", class: "plain-button", lang: tag, "aria-pressed": tag === spoken, "aria-label": name, click: () => void speak(tag).then(() => draw(false)) }, name)),
    ),
  );
  const sections = document.querySelector("[data-sections]")!;
  sections.setAttribute("aria-label", t("sections"));
  const here = location.hash || "#/";
  const to = (text: string, href: string) => h("li", {}, h("a", { href, "aria-current": here === href ? "page" : null }, text));
  sections.replaceChildren(h("ul", {}, to(t("everything"), "#/"), to(t("accession"), "#/accession"), desk.site ? to(t("facts_site"), "#/site") : null, to(t("done_heading"), "#/done")));
}

function news(heard: News): void {
  if (heard.changed !== undefined) meanwhile = heard.changed;
  if (heard.changed !== undefined && reading && heard.changed !== desk?.number) void draw(false);
  const line = document.querySelector<HTMLElement>("[data-publishing]");
  if (heard.publishing && line) {
    const { done, total, what } = heard.publishing;
    line.textContent = t("publishing", { done, total, what });
  }
  if (heard.published) {
    const { pages, failed, look } = heard.published;
    const text = failed ? t("publish_failed", { why: failed }) : t("published", { n: pages ?? 0 });
    announce(text);
    if (line) line.textContent = text;
    const there = document.querySelector<HTMLAnchorElement>("[data-look]");
    if (there && look) there.hidden = false;
  }
}

async function start(): Promise<void> {
  await begin();
  hear(news);
  listen(
    () => announce(t("desk_gone")),
    () => {
      announce(t("desk_back"));
      if (reading) void draw(false);
    },
  );
  addEventListener("again", () => void draw(false));
  addEventListener("hashchange", () => void draw(true));
  await draw(false);
}

void start();
export { button, language };
