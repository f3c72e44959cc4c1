// What the page says: details, bodies, words. The templates write it, nothing else is assumed.

export type Vec = readonly [number, number, number];

export interface Detail {
  readonly id: string;
  /** Ids that it had before. */
  readonly formerly: readonly string[];
  readonly letter: string;
  readonly kind: string;
  readonly title: string;
  /** Its first words. */
  readonly teaser: string;
  readonly href: string;
  readonly bodies: readonly string[];
  readonly anchor: Vec;
  readonly normal: Vec;
  readonly radius: number;
  readonly azimuth: number;
  readonly elevation: number;
  readonly line: HTMLElement;
}

export interface Level {
  readonly href: string;
  readonly bytes: number;
}

export interface Body {
  readonly name: string;
  readonly figure: HTMLElement;
  readonly sheet: HTMLElement;
  readonly drawing: SVGSVGElement;
  readonly still: HTMLElement;
  /** Models of the body, the lightest first. */
  readonly levels: readonly Level[];
  /** Farthest that each level strays from the scan, millimetres. */
  readonly strays: readonly number[];
  /** Pictures of what was measured to differ, one a level; `null` where the model cannot carry one. */
  readonly differences: readonly (string | null)[];
  /** Where the steps of difference begin, in codes on either side of the middle. */
  readonly steps: Vec;
  /** How to read the hatches. */
  readonly legend: string;
  readonly size: string;
  readonly azimuth: number;
  readonly elevation: number;
  readonly halfHeight: number;
  readonly centre: Vec;
}

export interface Page {
  readonly stage: HTMLElement;
  readonly bodies: readonly Body[];
  readonly details: readonly Detail[];
  readonly words: (key: string, blanks?: Readonly<Record<string, string>>) => string;
}

const number = (element: HTMLElement, name: string): number => Number(element.dataset[name] ?? NaN);

function vector(text: string | undefined): Vec {
  const [x = NaN, y = NaN, z = NaN] = (text ?? "").trim().split(/\s+/).map(Number);
  return [x, y, z];
}

function detail(line: HTMLElement): Detail {
  const link = line.querySelector("a");
  return {
    id: line.dataset["detail"] ?? "",
    formerly: (line.dataset["formerly"] ?? "").split(/\s+/),
    letter: line.dataset["letter"] ?? "",
    kind: line.dataset["kind"] ?? "",
    title: line.querySelector(".key-title")?.textContent?.trim() ?? "",
    teaser: line.querySelector(".key-words")?.textContent?.trim() ?? "",
    href: link?.getAttribute("href") ?? "",
    bodies: (line.dataset["bodies"] ?? "").split(/\s+/),
    anchor: vector(line.dataset["anchor"]),
    normal: vector(line.dataset["normal"]),
    radius: number(line, "radius"),
    azimuth: number(line, "azimuth"),
    elevation: number(line, "elevation"),
    line,
  };
}

/** Pairs of an address and its size in bytes. */
function levels(text: string): Level[] {
  const words = text.trim().split(/\s+/);
  return words.flatMap((href, i) => (i % 2 === 0 && href ? [{ href, bytes: Number(words[i + 1]) }] : []));
}

function body(figure: HTMLElement): Body | null {
  const sheet = figure.querySelector<HTMLElement>(".sheet");
  const drawing = figure.querySelector<SVGSVGElement>("svg.leaders");
  const still = figure.querySelector<HTMLElement>(".still");
  if (!sheet || !drawing || !still) return null;
  return {
    name: figure.dataset["body"] ?? "",
    figure,
    sheet,
    drawing,
    still,
    levels: levels(figure.dataset["levels"] ?? ""),
    strays: (figure.dataset["strays"] ?? "").trim().split(/\s+/).map((text) => (text ? Number(text) : NaN)),
    differences: levels(figure.dataset["differences"] ?? "").map(({ href, bytes }) => (bytes > 0 ? href : null)),
    steps: vector(figure.dataset["steps"]),
    legend: figure.dataset["legend"] ?? "",
    size: figure.dataset["size"] ?? "",
    azimuth: number(figure, "azimuth"),
    elevation: number(figure, "elevation"),
    halfHeight: number(figure, "halfHeight"),
    centre: vector(figure.dataset["centre"]),
  };
}

export function readPage(document: Document): Page | null {
  const stage = document.querySelector<HTMLElement>("[data-stage]");
  if (!stage) return null;
  const texts = new Map<string, string>();
  for (const item of document.querySelectorAll<HTMLElement>("[data-viewer-words] [data-word]")) {
    texts.set(item.dataset["word"] ?? "", item.textContent?.trim() ?? "");
  }
  return {
    stage,
    bodies: [...stage.querySelectorAll<HTMLElement>("figure[data-levels]")].map(body).filter((b) => b !== null),
    details: [...document.querySelectorAll<HTMLElement>("[data-key] > [data-detail]")].map(detail),
    words: (key, blanks = {}) =>
      (texts.get(key) ?? key).replace(/\{(\w+)\}/g, (whole, name: string) => blanks[name] ?? whole),
  };
}
