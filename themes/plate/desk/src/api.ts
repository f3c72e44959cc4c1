// What the page asks of the desk, and what it hears.

export type Texts = Readonly<Record<string, string>>;
export type Vec = readonly [number, number, number];

export interface Finding {
  readonly severity: "advice" | "error";
  readonly rule: string;
  readonly file: string;
  readonly line: number;
  readonly start: number;
  readonly end: number;
  readonly what: string;
  readonly remedy: string;
}

export interface DetailLine {
  readonly id: string;
  readonly titles: Texts;
  readonly place: { readonly body: string; readonly at: Vec; readonly normal: Vec; readonly kind: string } | null;
}

export interface PartMeasures {
  readonly id: string;
  readonly triangles: number;
  readonly size_mm: Vec;
  readonly volume_mm3: readonly [number, number] | null;
  readonly area_mm2: number;
  readonly openings: number;
  readonly pieces: number;
}

export interface Unexplained {
  readonly number: number;
  readonly part: string;
  readonly way: string;
  readonly body: string;
  readonly area_mm2: number;
  readonly max_mm: number;
  readonly point_mm: Vec;
  readonly radius_mm: number;
}

export interface ObjectLine {
  readonly id: string;
  readonly titles: Texts;
  readonly details: readonly DetailLine[];
  readonly steps: readonly { readonly id: string; readonly titles: Texts }[];
  readonly recorded: boolean;
  readonly bodies: Readonly<Record<string, { readonly parts: readonly PartMeasures[]; readonly low: Vec; readonly high: Vec }>> | null;
  readonly front: { readonly azimuth_deg: number; readonly elevation_deg: number } | null;
  readonly unexplained: readonly Unexplained[];
}

export interface Desk {
  readonly number: number;
  readonly measuring: readonly string[];
  readonly site: { readonly languages: readonly string[]; readonly name: Texts; readonly publisher: string; readonly people: Texts } | null;
  readonly objects: readonly ObjectLine[];
  readonly terms: readonly string[];
  readonly findings: readonly Finding[];
  readonly errors: number;
  readonly advice: number;
  readonly publishable: boolean;
  /** By note file. */
  readonly translations?: Readonly<Record<string, string>>;
}

// Facts of a record are whatever its file says.
// eslint-disable-next-line @typescript-eslint/no-explicit-any
export type Facts = any;

export interface File {
  readonly path: string;
  readonly version: string | null;
  readonly text: string;
  readonly facts: Facts | null;
}

export type Step = string | number;
export type Value = { text: string } | { whole: number } | { number: number } | { truth: boolean } | { day: string } | { list: Value[] } | { table: [string, Value][] };
export type Change = { set: { key: Step[]; value: Value } } | { remove: { key: Step[] } } | { append: { key: Step[]; table: Value } };

export interface Saved {
  readonly path: string;
  readonly version: string | null;
  readonly text?: string;
  readonly changes?: readonly Change[];
}

export interface Draft {
  readonly window: string;
  readonly file: string;
  readonly base: string | null;
  readonly text: string;
  readonly at: string;
}

export interface Place {
  readonly missed?: boolean;
  readonly part: string;
  readonly point_mm: Vec;
  readonly radius_mm: number;
  readonly at: Vec;
  readonly normal: Vec;
  readonly outline: readonly (readonly [Vec, Vec])[];
  readonly view: { readonly azimuth_deg: number; readonly elevation_deg: number };
  readonly seen: number;
}

/** A refusal, with the sentence that the desk gives for it. */
export class Refused extends Error {
  constructor(
    readonly rule: string,
    what: string,
    readonly more: Facts,
  ) {
    super(what);
  }
}

async function answered<T>(response: Response): Promise<T> {
  const said = await response.json().catch(() => null);
  if (response.ok) return said as T;
  throw new Refused(said?.rule ?? "failed", said?.what ?? `${response.status}`, said?.more ?? null);
}

/** Nothing comes back: the desk is closed, or begins anew. */
const unheard = (): never => {
  throw new Refused("closed", "", null);
};

/** Why something cannot be done is told in the language that is chosen here. */
const speaking = (): Record<string, string> => ({ "accept-language": document.documentElement.lang });

export const get = async <T>(path: string, query: Readonly<Record<string, string>> = {}): Promise<T> =>
  answered<T>(await fetch(`/api/${path}?${new URLSearchParams(query)}`, { headers: speaking() }).catch(unheard));

export const post = async <T>(path: string, body: unknown, keepalive = false): Promise<T> =>
  answered<T>(await fetch(`/api/${path}`, { method: "POST", headers: { ...speaking(), "content-type": "application/json" }, body: JSON.stringify(body), keepalive }).catch(unheard));

/** Sends a file and says how much of it has gone. */
export function takeIn(path: string, file: Blob, gone: (share: number) => void): Promise<{ file: string; bytes: number }> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", `/api/take-in?${new URLSearchParams({ path })}`);
    request.responseType = "json";
    request.setRequestHeader("accept-language", document.documentElement.lang);
    request.upload.addEventListener("progress", (event) => event.total > 0 && gone(event.loaded / event.total));
    request.addEventListener("load", () => {
      const said = request.response;
      if (request.status === 200) resolve(said);
      else reject(new Refused(said?.rule ?? "failed", said?.what ?? `${request.status}`, said?.more));
    });
    request.addEventListener("error", () => reject(new Refused("closed", "", null)));
    request.send(file);
  });
}

export interface News {
  readonly changed?: number;
  readonly publishing?: { readonly done: number; readonly total: number; readonly what: string };
  readonly published?: { readonly pages?: number; readonly look?: string; readonly failed?: string };
}

type Ear = (news: News) => void;
const ears = new Set<Ear>();

/** Hears everything until the signal ends it. */
export function hear(ear: Ear, signal?: AbortSignal): void {
  ears.add(ear);
  signal?.addEventListener("abort", () => ears.delete(ear));
}

/** Begins to listen; `lost` and `back` tell when nobody answers, and when somebody does again. */
export function listen(lost: () => void, back: () => void): void {
  const source = new EventSource("/api/news");
  let away = false;
  source.addEventListener("message", (event) => {
    if (away) back();
    away = false;
    const news = JSON.parse(event.data as string) as News;
    for (const ear of [...ears]) ear(news);
  });
  source.addEventListener("error", () => {
    if (!away) lost();
    away = true;
    // A browser gives up after some refusals; we do not.
    if (source.readyState === EventSource.CLOSED) setTimeout(() => listen(() => {}, back), 1500);
  });
}

/** This window, also after a reload. */
export const WINDOW: string = (() => {
  const known = sessionStorage.getItem("window");
  if (known) return known;
  const made = crypto.randomUUID();
  sessionStorage.setItem("window", made);
  return made;
})();
