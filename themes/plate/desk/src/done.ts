// What was done, with a way to take the last of it back; and what lies in the bin.

import { get, post } from "./api";
import { button, h } from "./dom";
import { announce } from "./heard";
import { sentence } from "./sheet";
import { moment, t } from "./words";

interface Entry {
  readonly id: number;
  readonly at: string;
  readonly why: string;
  readonly files: readonly string[];
  readonly undone: boolean;
  readonly undoes: number | null;
}
interface Binned {
  readonly id: string;
  readonly place: string;
  readonly at: string;
}

export async function donePage(again: () => void): Promise<HTMLElement> {
  const [history, bin] = await Promise.all([get<Entry[]>("history"), get<Binned[]>("bin")]);
  const said = h("p", { class: "state", role: "status" });
  const run = (work: Promise<unknown>, word: string) =>
    work.then(
      () => {
        announce(t(word));
        again();
      },
      (error: unknown) => (said.textContent = sentence(error, t("desk_gone"))),
    );
  return h(
    "div",
    {},
    h("h1", {}, t("done_heading")),
    said,
    h("p", {}, button(t("undo"), () => void run(post("undo", {}), "undone"), "do"), " ", h("span", { class: "hint" }, t("undo_why"))),
    history.length === 0 ? h("p", {}, t("nothing_done")) : h("ol", { class: "lines history", reversed: true }, [...history].reverse().slice(0, 100).map((entry) => h("li", { class: entry.undone ? "taken-back" : "" }, h("span", {}, moment(entry.at)), " ", entry.why || entry.files.join(", "), entry.undone ? ` (${t("taken_back")})` : "", h("small", {}, ` ${entry.files.join(", ")}`)))),
    h("h2", {}, t("bin")),
    bin.length === 0 ? h("p", {}, t("bin_empty")) : h("ul", { class: "lines" }, bin.map((thing) => h("li", {}, `${thing.place} (${moment(thing.at)}) `, button(t("restore", { place: thing.place }), () => void run(post("restore", { id: thing.id }), "restored"))))),
  );
}
