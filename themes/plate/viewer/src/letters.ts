// The letters and lines of one plate, kept in step with the turning model.

import type { Body, Detail } from "./page";
import { place, type Anchor, type Place, type Sheet } from "./leaders";

const SVG = "http://www.w3.org/2000/svg";
/** Half the size of a line's end, in view-box units. */
const END = 22;
/** Share of the way that a letter moves toward its place in one frame. */
const GLIDE = 0.28;

interface Leader {
  readonly group: SVGGElement;
  readonly lines: readonly SVGPathElement[];
  readonly end: SVGUseElement;
  readonly text: SVGTextElement;
  readonly reach: SVGCircleElement | null;
  /** As the page was printed over the still; `null` where the still does not show it. */
  readonly printed: ReadonlyMap<Element, ReadonlyMap<string, string>> | null;
  letterY: number;
  shown: boolean;
}

export class Letters {
  private readonly leaders = new Map<string, Leader>();
  private readonly sides = new Map<string, boolean>();
  private readonly sheet: Sheet;

  constructor(
    private readonly body: Body,
    details: readonly Detail[],
    choose: (id: string, event: MouseEvent) => void,
  ) {
    const box = body.drawing.viewBox.baseVal;
    this.sheet = { width: box.width, height: box.height, inset: 52, knee: 104, spacing: 100 };
    for (const detail of details) {
      if (!detail.bodies.includes(body.name)) continue;
      const group = this.find(detail.id) ?? this.make(detail);
      const leader = this.parts(group);
      if (!leader) continue;
      this.leaders.set(detail.id, leader);
      group.querySelector("a")?.addEventListener("click", (event) => choose(detail.id, event));
    }
  }

  get width(): number {
    return this.sheet.width;
  }

  get height(): number {
    return this.sheet.height;
  }

  private find(id: string): SVGGElement | null {
    return this.body.drawing.querySelector<SVGGElement>(`g.leader[data-detail="${CSS.escape(id)}"]`);
  }

  /** A leader for a detail that the printed side does not show. */
  private make(detail: Detail): SVGGElement {
    const create = <K extends keyof SVGElementTagNameMap>(name: K, attributes: Record<string, string>) => {
      const element = document.createElementNS(SVG, name);
      for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
      return element;
    };
    const group = create("g", { class: "leader hidden", "data-detail": detail.id, "data-kind": detail.kind });
    const link = create("a", { href: detail.href, tabindex: "-1" });
    const title = create("title", {});
    title.textContent = `${detail.letter}: ${detail.title}`;
    const text = create("text", {});
    text.textContent = detail.letter;
    link.append(title, create("circle", { class: "reach", r: "54" }), text);
    group.append(
      create("path", { class: "halo" }),
      create("path", { class: "line" }),
      create("use", { class: "end", href: `#_end-${detail.kind}`, width: `${2 * END}`, height: `${2 * END}` }),
      link,
    );
    this.body.drawing.append(group);
    return group;
  }

  private parts(group: SVGGElement): Leader | null {
    const lines = [...group.querySelectorAll<SVGPathElement>("path")];
    const end = group.querySelector<SVGUseElement>("use");
    const text = group.querySelector<SVGTextElement>("text");
    if (!end || !text) return null;
    const shown = !group.classList.contains("hidden");
    const reach = group.querySelector("circle");
    const printed = shown
      ? new Map([...lines, end, text, ...(reach ? [reach] : [])].map((e: Element) => [e, new Map([...e.attributes].map((a) => [a.name, a.value]))]))
      : null;
    return { group, lines, end, text, reach, printed, letterY: Number(text.getAttribute("y") ?? NaN), shown };
  }

  /** Back to where the printed page has them: the still stands there again. */
  print(): void {
    for (const leader of this.leaders.values()) {
      leader.group.classList.toggle("hidden", !leader.printed);
      // When the model comes back, letters jump to their places in it.
      leader.shown = false;
      for (const [element, attributes] of leader.printed ?? []) {
        for (const [name, value] of attributes) element.setAttribute(name, value);
      }
    }
    this.scale(true);
  }

  /** Places the letters of what is in sight; says whether any is still on its way. */
  set(anchors: readonly Anchor[], calm: boolean): boolean {
    const places = new Map(place(anchors, this.sheet, this.sides).map((p) => [p.id, p]));
    let moving = false;
    for (const [id, leader] of this.leaders) {
      const at = places.get(id);
      leader.group.classList.toggle("hidden", !at);
      if (!at) {
        leader.shown = false;
        continue;
      }
      const anchor = anchors.find((a) => a.id === id)!;
      const jump = calm || !leader.shown || this.sides.get(id) !== at.left || Number.isNaN(leader.letterY);
      const rest = at.letterY - leader.letterY;
      leader.letterY = jump || Math.abs(rest) < 0.5 ? at.letterY : leader.letterY + rest * GLIDE;
      moving ||= leader.letterY !== at.letterY;
      leader.shown = true;
      this.sides.set(id, at.left);
      this.drawOne(leader, at, anchor);
    }
    return moving;
  }

  private drawOne(leader: Leader, at: Place, anchor: Anchor): void {
    const [x, y] = [at.letterX, leader.letterY].map((v) => v.toFixed(1));
    const path = `M${x} ${y}L${at.kneeX.toFixed(1)} ${y}L${anchor.x.toFixed(1)} ${anchor.y.toFixed(1)}`;
    for (const line of leader.lines) line.setAttribute("d", path);
    leader.end.setAttribute("x", (anchor.x - END).toFixed(1));
    leader.end.setAttribute("y", (anchor.y - END).toFixed(1));
    for (const [element, names] of [[leader.text, ["x", "y"]], [leader.reach, ["cx", "cy"]]] as const) {
      element?.setAttribute(names[0], x!);
      element?.setAttribute(names[1], y!);
    }
  }

  choose(id: string | null): void {
    for (const [key, leader] of this.leaders) leader.group.classList.toggle("chosen", key === id);
  }

  /** The bar of true length is of the first view only. */
  scale(home: boolean): void {
    this.body.drawing.querySelector(".scale")?.classList.toggle("hidden", !home);
  }
}
