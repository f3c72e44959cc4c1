// Looks for words in all pages, in files of an index that lies beside this page: no server is asked.

import { Files, type Listed, Renumbered } from "./files";
import { type Answer, Asker } from "./question";

/** Shown at a time, and entries of a file of results (src/find/mod.rs). */
const SHOWN = 10;
const TOGETHER = 8;

function begin(form: HTMLFormElement, found: HTMLElement): void {
  const { numbering = "", documents = "0", beginnings = "" } = form.dataset;
  const asker = new Asker(new Files(numbering), beginnings.split(" "), Number(documents));
  const list = found.querySelector<HTMLElement>(".found-list");
  const status = found.querySelector<HTMLElement>(".found-count");
  const more = found.querySelector<HTMLElement>(".found-more");
  const button = more?.querySelector("button");
  const typed = form.elements.namedItem("q");
  if (!list || !status || !more || !button || !(typed instanceof HTMLInputElement)) return;
  const choices = [...form.querySelectorAll("select")];
  const texts = new Map<string, string>();
  for (const item of document.querySelectorAll<HTMLElement>("[data-find-words] > [data-word]")) texts.set(item.dataset["word"] ?? "", item.textContent?.trim() ?? "");
  const say = (key: string, blanks: Readonly<Record<string, string>> = {}): void => {
    status.textContent = (texts.get(key) ?? key).replace(/\{(\w+)\}/g, (whole, name: string) => blanks[name] ?? whole);
  };
  const number = (n: number): string => new Intl.NumberFormat(document.documentElement.lang).format(n);

  let answer: Answer = { documents: [], nowhere: null };
  /** Counts questions, so that a late answer to an earlier one is dropped. */
  let asked = 0;

  function line({ href, title, line, teaser }: Listed): HTMLElement {
    const item = document.createElement("li");
    const link = document.createElement("a");
    link.href = href;
    link.textContent = title;
    const part = (name: string, text: string): HTMLElement => {
      const element = document.createElement("p");
      element.className = name;
      element.textContent = text;
      return element;
    };
    const head = document.createElement("p");
    head.className = "found-title";
    head.append(link);
    item.append(head, part("found-line", line), part("found-teaser", teaser));
    return item;
  }

  async function show(now: number): Promise<HTMLElement | null> {
    const from = list?.children.length ?? 0;
    const wanted = answer.documents.slice(from, from + SHOWN);
    const files = new Map(wanted.map((n) => [Math.floor(n / TOGETHER), asker.files.ask(`t/${Math.floor(n / TOGETHER)}.js`)]));
    const lines: HTMLElement[] = [];
    for (const n of wanted) {
      const listed = ((await files.get(Math.floor(n / TOGETHER))) as readonly Listed[])[n % TOGETHER];
      if (listed) lines.push(line(listed));
    }
    if (now !== asked) return null;
    list?.append(...lines);
    if (more) more.hidden = from + lines.length >= answer.documents.length;
    return lines[0] ?? null;
  }

  async function look(): Promise<void> {
    const now = ++asked;
    const text = typed instanceof HTMLInputElement ? typed.value.trim() : "";
    const chosen = choices.filter((c) => c.value !== "");
    const place = new URLSearchParams([...(text ? [["q", text]] : []), ...chosen.map((c) => [c.name, c.value])]);
    // The whole address: a path with two slashes before it would name another host.
    history.replaceState(null, "", location.href.split(/[?#]/)[0] + (place.size ? `?${place}` : ""));
    list?.replaceChildren();
    if (more) more.hidden = true;
    found.hidden = place.size === 0;
    if (found.hidden) return;
    say("find_looking");
    try {
      const sets = chosen.map((c) => `s/${c.name}-${c.value}.js`);
      // Without a word and a kind of detail, objects are wanted, not each of their pages.
      if (!text && !chosen.some((c) => c.name === "kind")) sets.push("s/objects.js");
      const all = await asker.answer(text, sets);
      if (now !== asked) return;
      answer = all;
      await show(now);
      if (now !== asked) return;
      const n = answer.documents.length;
      if (answer.nowhere) say("find_none_word", { word: answer.nowhere });
      else say(n === 0 ? "find_none" : n === 1 ? "find_found_one" : "find_found", { n: number(n) });
    } catch (fault) {
      if (now !== asked) return;
      // Published anew meanwhile: the page of the new edition knows its files.
      if (fault instanceof Renumbered && !sessionStorage.getItem(`renumbered ${numbering}`)) {
        sessionStorage.setItem(`renumbered ${numbering}`, "1");
        location.reload();
      } else say("find_failed");
    }
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void look();
  });
  for (const choice of choices) choice.addEventListener("change", () => void look());
  button.addEventListener("click", () => {
    void show(asked).then((first) => {
      first?.querySelector("a")?.focus();
      say("find_shown", { shown: number(list.children.length), n: number(answer.documents.length) });
    }, () => say("find_failed"));
  });

  const narrow = form.querySelector("details");
  const place = new URLSearchParams(location.search);
  typed.value = place.get("q") ?? "";
  for (const choice of choices) {
    const value = place.get(choice.name) ?? "";
    if ([...choice.options].some((option) => option.value === value)) choice.value = value;
    if (narrow && choice.value) narrow.open = true;
  }
  if (place.size > 0) void look();
}

const form = document.querySelector<HTMLFormElement>("form[data-find]");
const found = document.querySelector<HTMLElement>("[data-found]");
if (form && found) begin(form, found);
