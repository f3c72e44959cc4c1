// What a page may cost a phone, and in what a page goes beyond it.

import { quiet, share } from "./quiet.mjs";
import { SLOWDOWN, visit } from "./phone.mjs";

export const BUDGET = {
  /** First words or picture, and the largest of what is first seen, milliseconds. */
  first: 1500,
  largest: 2500,
  /** Cumulative layout shift while a page and its model come and the page is read to its end. */
  shift: 0,
  /** Most that a page may take before it asks for a model; of a page without one, all that it takes by
   * itself until it is scrolled. Bytes on the wire, with heads of answers. */
  bytes: 150_000,
  /** The first level of a model, bytes on the wire. */
  model: 400_000,
  /** Longest that script may hold the page until the model's first frame, milliseconds. */
  own: 200,
  /**
   * Time of a frame while the model is turned, in times of the same triangles drawn bare. Light, three
   * pictures of the sheet, letters, and the picture of depths, which this renderer is so slow that it gets
   * with every frame, cost six to seven bare drawings on one software renderer and ten to eleven on another
   * machine's, where every pixel's light is the processor's work. That the model is drawn once a frame is counted.
   */
  frame: 14,
};
/**
 * Loads of a page, and more where a time is beyond its budget. Of times the least counts: whatever else this
 * machine does can only add to them, and does so by half and more. Counts are the worst of all loads.
 */
const LOADS = 2;
const MORE = 8;

const TIMES = { first: "first contentful paint", largest: "largest contentful paint", own: "longest hold of the page by script" };
const COUNTS = { shift: "layout shift", bytes: "bytes before the model is asked for", model: "bytes of the first model" };

/** Loads a page several times: times are the least of all, counts the worst. */
export async function cost(browser, base, path, { loads = LOADS, more = MORE } = {}) {
  const visits = [];
  const idle = [];
  const figures = () => ({
    path,
    loads: visits.length,
    busy: idle.filter((was) => !was).length,
    worst: visits.reduce((a, b) => (b.shift > a.shift || b.bytes > a.bytes ? b : a)),
    ...Object.fromEntries(Object.keys(TIMES).map((key) => [key, visits.some((v) => v[key] === null) ? null : Math.min(...visits.map((v) => v[key]))])),
    ...Object.fromEntries(Object.keys(COUNTS).map((key) => [key, visits.some((v) => v[key] === null) ? null : Math.max(...visits.map((v) => v[key]))])),
  });
  const load = async () => {
    idle.push(await quiet());
    // What others take of the processor slows the page already: only the rest is left to the throttle.
    visits.push(await visit(browser, base, path, Math.max(1, SLOWDOWN * share())));
  };
  for (let i = 0; i < loads; i++) await load();
  const late = () => Object.keys(TIMES).some((key) => !(figures()[key] <= BUDGET[key]));
  for (let i = 0; i < more && late(); i++) await load();
  return figures();
}

/** What of a page's figures is beyond its budget, as sentences. */
export function beyond(figures) {
  const { path, loads, busy, worst } = figures;
  const faults = worst.failed.map((what) => `/${path}: failed ${what}`);
  for (const [key, what] of Object.entries({ ...TIMES, ...COUNTS })) {
    const found = figures[key];
    // A page without a model has no bytes of one; everything else must have been seen.
    if (key === "model" && found === null) continue;
    if (found !== null && found <= BUDGET[key]) continue;
    const times = key in TIMES ? `, the least of ${loads} loads${busy ? `, ${busy} of them on a busy machine` : ""}` : "";
    const more = { shift: worst.moved, bytes: worst.before, largest: [worst.element] }[key] ?? [];
    faults.push([`/${path}: ${what} ${found} of ${BUDGET[key]}${times}`, ...more].join("\n    "));
  }
  return faults;
}

/** One line of figures for the report. */
export const line = (f) =>
  `/${f.path}: first paint ${Math.round(f.first)} ms, largest ${Math.round(f.largest)} ms, shift ${f.shift}, ${f.bytes} bytes` +
  `${f.model === null ? "" : `, model ${f.model} bytes, held ${Math.round(f.own)} ms`} (${f.loads} loads)`;
