// Values of a record on their way to the file.

import type { Change, Facts, Step, Value } from "./api";

export const text = (value: string): Value => ({ text: value });
export const number = (value: number): Value => ({ number: value });
export const list = (...all: Value[]): Value => ({ list: all });
export const table = (all: Readonly<Record<string, Value | null>>): Value => ({ table: Object.entries(all).filter((pair): pair is [string, Value] => pair[1] !== null) });
export const texts = (all: Readonly<Record<string, string>>): Value => table(Object.fromEntries(Object.entries(all).filter(([, v]) => v.trim() !== "").map(([k, v]) => [k, text(v.trim())])));

/** What the facts hold at the end of a way. */
export const at = (facts: Facts, key: readonly Step[]): Facts => key.reduce((here, step) => here?.[step], facts);

export const set = (key: Step[], value: Value): Change => ({ set: { key, value } });

/** A text that was changed, emptied or begun; nothing when it is as it was. */
export function textChange(facts: Facts, key: Step[], now: string): Change[] {
  const was = at(facts, key);
  const wanted = now.trim();
  if (wanted === (typeof was === "string" ? was.trim() : "")) return [];
  if (wanted === "") return [{ remove: { key } }];
  return [set(key, text(wanted))];
}
