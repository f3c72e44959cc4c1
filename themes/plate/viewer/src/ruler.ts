// The ruler: two places of the surface, a line between them, and how far they are apart.

import { figures, length, reach, type End } from "./length";
import type { Body, Detail, Page, Vec } from "./page";
import type { Hit } from "./pick";

const SVG = "http://www.w3.org/2000/svg";
/** Half the width of what sets an end, pixels of the page: the point of a mouse, the cross, a fingertip. */
const POINT = 1;
const FINGERTIP = 10;
/** Half the length of the stroke across an end, pixels. */
const TICK = 7;
/** Half the length of the cross's strokes, pixels. */
const CROSS = 12;
/** Half the height of the figure, half the width of one of its signs, and the room between it and the
 * line, pixels. */
const [TALL, WIDE, ROOM] = [8, 4.2, 6];

/** What the ruler needs of its stage. */
export interface Ground {
  readonly body: Body;
  readonly words: Page["words"];
  readonly details: readonly Detail[];
  /** The place of the surface under a place of the canvas. */
  pick(x: number, y: number): Hit | null;
  /** Millimetres of one pixel of the page, now. */
  pixel(): number;
  strays(): number;
  lifted(): boolean;
  /** Keeps a drag of the lamp and a touch of the ruler apart, redraws. */
  changed(): void;
  say(text: string): void;
}

export class Ruler {
  private readonly button = document.createElement("button");
  private readonly group = document.createElement("div");
  private readonly drawing = shape("g", "ruler");
  private readonly halo = shape("path", "halo");
  private readonly line = shape("path", "line");
  private readonly ticks = [shape("path", "line tick"), shape("path", "line tick")];
  private readonly figure = shape("text", "figure");
  private readonly cross = [shape("path", "cross halo"), shape("path", "cross line")];
  private set: End[] = [];
  on = false;

  constructor(private readonly ground: Ground) {
    const { words, body } = ground;
    this.button.type = "button";
    this.button.textContent = words("ruler_on");
    this.button.addEventListener("click", () => this.turn(!this.on));
    this.group.className = "ruler-group";
    this.group.setAttribute("role", "group");
    this.group.setAttribute("aria-label", words("ruler_on"));
    const help = document.createElement("p");
    help.textContent = words("ruler_help");
    this.group.append(help);
    for (const [word, act] of [["ruler_set", () => this.middle()], ["ruler_off", () => this.away()]] as const) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = words(word);
      button.addEventListener("click", act);
      this.group.append(button);
    }
    this.drawing.append(this.halo, this.line, ...this.ticks, this.figure, ...this.cross);
    body.drawing.append(this.drawing);
    body.figure.addEventListener("keydown", (event) => {
      if (event.key !== "Escape" || !this.on) return;
      event.preventDefault();
      // The canvas would let go of the keyboard as well.
      event.stopPropagation();
      this.away();
    }, true);
    this.show();
  }

  into(row: HTMLElement): void {
    row.append(this.button);
    row.after(this.group);
  }

  /** Sets an end where the canvas was touched; says whether the touch was the ruler's. */
  touch(x: number, y: number, finger: boolean): boolean {
    if (this.on) this.end(x, y, finger ? FINGERTIP : POINT);
    return this.on;
  }

  /** Sets an end under the cross in the middle. */
  middle(): boolean {
    const { clientWidth, clientHeight } = this.ground.body.sheet;
    return this.touch(clientWidth / 2, clientHeight / 2, false);
  }

  /** The ends that are set, for the stage to place. */
  get ends(): readonly End[] {
    return this.set;
  }

  /** Draws the ends where they are now, in units of the drawing; `unit` of them are a pixel of the page. */
  draw(places: readonly (readonly [number, number])[], seen: readonly boolean[], width: number, height: number, unit: number): void {
    const cross = stroke(width / 2, height / 2, CROSS * unit, 0) + stroke(width / 2, height / 2, 0, CROSS * unit);
    for (const path of this.cross) path.setAttribute("d", cross);
    const [a, b] = places;
    const [dx, dy] = a && b ? [b[0] - a[0], b[1] - a[1]] : [1, 0];
    const way = Math.hypot(dx, dy) || 1;
    const [nx, ny] = [-dy / way, dx / way];
    this.ticks.forEach((tick, i) => {
      const at = places[i];
      tick.setAttribute("d", at ? stroke(...at, nx * TICK * unit, ny * TICK * unit) + (b ? "" : stroke(...at, TICK * unit, 0)) : "");
      tick.classList.toggle("behind", seen[i] === false);
    });
    const path = a && b ? `M${a[0].toFixed(1)} ${a[1].toFixed(1)}L${b[0].toFixed(1)} ${b[1].toFixed(1)}` : "";
    this.line.setAttribute("d", path);
    this.halo.setAttribute("d", path + this.ticks.map((tick) => tick.getAttribute("d")).join(""));
    this.line.classList.toggle("behind", seen.includes(false));
    // Beside the line's middle, above it, clear of it whichever way it runs, and within the sheet.
    const half = WIDE * unit * (this.figure.textContent ?? "").length;
    const side = (ny > 0 ? -1 : 1) * (half * Math.abs(nx) + TALL * unit * Math.abs(ny) + ROOM * unit);
    if (a && b) {
      const inside = (at: number, edge: number, whole: number) => Math.min(whole - edge, Math.max(edge, at)).toFixed(1);
      this.figure.setAttribute("x", inside((a[0] + b[0]) / 2 + nx * side, half + TICK * unit, width));
      this.figure.setAttribute("y", inside((a[1] + b[1]) / 2 + ny * side, 2.5 * TALL * unit, height));
    }
    this.drawing.style.setProperty("--unit", `${unit.toFixed(3)}px`);
  }

  private turn(on: boolean): void {
    if (!on) return this.away();
    this.on = true;
    this.show();
    this.ground.say(this.ground.words("ruler_ready"));
  }

  private away(): void {
    const within = this.group.contains(document.activeElement);
    this.on = false;
    this.set = [];
    this.show();
    // The focus must not vanish with the button that had it.
    if (within) this.button.focus();
    this.ground.say(this.ground.words("ruler_gone"));
  }

  private end(x: number, y: number, half: number): void {
    const { ground } = this;
    const hit = ground.pick(x, y);
    if (!hit) return ground.say(ground.words("ruler_missed"));
    const end: End = { part: hit.part, point: hit.point, reach: reach(half * ground.pixel(), hit.facing), strays: ground.strays() };
    this.set = this.set.length === 1 ? [...this.set, end] : [end];
    this.show();
    const [first, second] = this.set;
    if (!first || !second) return ground.say(ground.words("ruler_first", { place: this.place(end) }));
    const places = [first, second].map((e) => this.place(e)) as [string, string];
    const named = places.some((p) => p !== ground.words("ruler_place"));
    const told = { ...this.said(first, second), ...(named && { from: places[0], to: places[1] }) };
    const text = `${ground.words(named ? "ruler_said_from" : "ruler_said", told)} ${ground.words("ruler_how")}`;
    ground.say(ground.lifted() && first.part !== second.part ? `${text} ${ground.words("ruler_together")}` : text);
  }

  private said(a: End, b: End): { mm: string; uncertainty: string } {
    return figures(length(a, b), this.ground.words("decimal_mark"));
  }

  /** The detail on which an end lies, by letter and title. */
  private place({ point }: End): string {
    const { details, words } = this.ground;
    const off = (anchor: Vec) => Math.hypot(anchor[0] - point[0], anchor[1] - point[1], anchor[2] - point[2]);
    const [near] = details.filter((d) => off(d.anchor) <= d.radius).sort((a, b) => off(a.anchor) - off(b.anchor));
    return near ? `${near.letter} ${near.title}` : words("ruler_place");
  }

  private show(): void {
    this.button.setAttribute("aria-pressed", String(this.on));
    this.group.hidden = !this.on;
    this.drawing.classList.toggle("hidden", !this.on);
    const [a, b] = this.set;
    this.figure.textContent = "";
    if (a && b) {
      const { mm, uncertainty } = this.said(a, b);
      this.figure.textContent = this.ground.words("ruler_figure", { mm, uncertainty });
    }
    this.ground.changed();
  }
}

function shape(tag: string, look: string): SVGElement {
  const element = document.createElementNS(SVG, tag);
  element.setAttribute("class", look);
  return element;
}

/** A stroke through a place, half of it either way. */
function stroke(x: number, y: number, dx: number, dy: number): string {
  return `M${(x - dx).toFixed(1)} ${(y - dy).toFixed(1)}L${(x + dx).toFixed(1)} ${(y + dy).toFixed(1)}`;
}
