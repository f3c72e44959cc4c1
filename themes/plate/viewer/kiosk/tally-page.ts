// The page for those who look after the machine: the numbers as a table, to save and to clear.

import { clear, csv, read, rows } from "./tally";

export function showTally(place: HTMLElement): void {
  const said = place.querySelector<HTMLElement>("[data-tally-said]");
  const buttons = place.querySelector<HTMLElement>("[data-tally-buttons]");
  const name = (object: string, detail?: string): string => {
    const own = place.querySelector(`[data-tally-names] > [data-object="${CSS.escape(object)}"]`);
    const item = detail === undefined ? own : own?.querySelector(`[data-detail="${CSS.escape(detail)}"]`);
    return item?.firstChild?.textContent?.trim() ?? detail ?? object;
  };
  const lines = rows(read()).map(([month, object, detail, times]) => [month, name(object), name(object, detail), times] as const);
  if (lines.length === 0) {
    if (said) said.textContent = place.dataset["none"] ?? "";
    return;
  }
  const header = [place.dataset["month"] ?? "", "", "", place.dataset["times"] ?? ""];
  const table = document.createElement("table");
  const row = (cells: readonly (string | number)[], tag: "th" | "td") => {
    const line = document.createElement("tr");
    for (const text of cells) {
      const cell = document.createElement(text === "" ? "td" : tag);
      cell.textContent = String(text);
      if (cell instanceof HTMLTableCellElement && tag === "th" && text !== "") cell.scope = "col";
      line.append(cell);
    }
    return line;
  };
  const head = table.createTHead();
  head.append(row(header, "th"));
  const body = table.createTBody();
  for (const line of lines) body.append(row(line, "td"));
  place.prepend(table);
  if (!buttons) return;
  buttons.hidden = false;
  buttons.querySelector("[data-save]")?.addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([csv(header, lines)], { type: "text/csv;charset=utf-8" }));
    link.download = "tally.csv";
    link.click();
    URL.revokeObjectURL(link.href);
  });
  buttons.querySelector("[data-clear]")?.addEventListener("click", () => {
    clear();
    table.remove();
    buttons.hidden = true;
    if (said) said.textContent = place.dataset["none"] ?? "";
  });
}
