// How often each detail was opened, by month: numbers alone, on this machine alone, and only where the
// site's record says so.

const PLACE = "counterpart-tally";

/** Month → object → detail → times. */
export type Counts = Record<string, Record<string, Record<string, number>>>;

export function read(): Counts {
  const kept: unknown = JSON.parse(localStorage.getItem(PLACE) ?? "{}");
  return kept !== null && typeof kept === "object" && !Array.isArray(kept) ? (kept as Counts) : {};
}

export function count(object: string, detail: string): void {
  try {
    const all = read();
    const month = new Date().toISOString().slice(0, 7);
    // An object may be called what every table has already, such as constructor.
    const own = (table: object, key: string): boolean => Object.hasOwn(table, key);
    const objects = own(all, month) ? all[month]! : (all[month] = {});
    const details = own(objects, object) ? objects[object]! : (objects[object] = {});
    details[detail] = own(details, detail) ? (Number(details[detail]) || 0) + 1 : 1;
    localStorage.setItem(PLACE, JSON.stringify(all));
  } catch (error) {
    console.warn("the tally could not be kept:", error);
  }
}

export function clear(): void {
  localStorage.removeItem(PLACE);
}

/** Rows of a table: month, object, detail, times; in the order of months. */
export function rows(all: Counts): [string, string, string, number][] {
  return Object.keys(all)
    .sort()
    .flatMap((month) =>
      Object.entries(all[month] ?? {}).flatMap(([object, details]) =>
        Object.entries(details).map(([detail, times]): [string, string, string, number] => [month, object, detail, times]),
      ),
    );
}

/** As CSV (RFC 4180): fields in quotation marks, lines ended by CRLF. */
export function csv(header: readonly string[], lines: readonly (readonly (string | number)[])[]): string {
  const field = (value: string | number) => `"${String(value).replace(/"/g, '""')}"`;
  return [header, ...lines].map((line) => line.map(field).join(",") + "\r\n").join("");
}
