// Light from the side: a lamp carried round the object by hand, by key or by drag.

import type { Page, Vec } from "./page";
import type { Axes } from "./view";

/** Where the lamp stands: round the picture, clockwise from above; above its plane. Degrees. */
export interface Lamp {
  readonly bearing: number;
  readonly height: number;
}

/** The lamp grazes no lower and stands no higher than this, degrees. */
export const LOWEST = 5;
export const HIGHEST = 85;
/** Where it stands when it is first lit: the upper left, as engravers have it, and low. */
export const FIRST: Lamp = { bearing: 315, height: 15 };
/** Words wait until the hand rests, milliseconds. */
const REST = 400;
const SIDES = ["light_above", "light_upper_right", "light_right", "light_lower_right", "light_below", "light_lower_left", "light_left", "light_upper_left"];

/** Within bounds, in whole degrees. */
export function kept({ bearing, height }: Lamp): Lamp {
  return {
    bearing: ((Math.round(bearing) % 360) + 360) % 360,
    height: Math.min(HIGHEST, Math.max(LOWEST, Math.round(height))),
  };
}

/** The lamp held at a place of the picture: right and down from the middle, in halves of the shorter
 * side. Over the middle it stands high; the farther out, the lower. */
export function heldAt(right: number, down: number): Lamp {
  const out = Math.min(1, Math.hypot(right, down));
  return kept({ bearing: (Math.atan2(right, -down) * 180) / Math.PI, height: (Math.acos(out) * 180) / Math.PI });
}

/** From the object to the lamp. */
export function toward({ right, up, eye }: Axes, { bearing, height }: Lamp): Vec {
  const [b, h] = [(bearing * Math.PI) / 180, (height * Math.PI) / 180];
  const [x, y, z] = [Math.sin(b) * Math.cos(h), Math.cos(b) * Math.cos(h), Math.sin(h)];
  return [0, 1, 2].map((k) => x * right[k]! + y * up[k]! + z * eye[k]!) as unknown as Vec;
}

/** Word of the side from which the light comes. */
export function whence({ bearing }: Lamp): string {
  return SIDES[Math.round(bearing / 45) % 8] ?? "light_above";
}

const SVG = "http://www.w3.org/2000/svg";

/** The switch, and what carries the lamp without a drag. */
export class LampControl {
  private readonly button = document.createElement("button");
  private readonly group = document.createElement("div");
  private readonly bearing: HTMLInputElement;
  private readonly height: HTMLInputElement;
  private readonly drawing = drawn();
  private now: Lamp = FIRST;
  /** What this body is lit by at present. */
  private here: Lamp | null = null;
  private saying = 0;

  /** `shared` is the light of both bodies, so that they are compared under the same; `light` puts the
   * lamp there, or the studio's light back; `say` tells the visitor. */
  constructor(
    private readonly shared: { lamp: Lamp | null },
    private readonly words: Page["words"],
    private readonly light: (lamp: Lamp | null) => void,
    private readonly say: (text: string) => void,
    private readonly name: string,
  ) {
    this.button.type = "button";
    this.button.textContent = words("lamp_on");
    this.button.addEventListener("click", () => this.turn(!this.lit));
    this.group.className = "lamp-group";
    this.group.setAttribute("role", "group");
    this.group.setAttribute("aria-label", words("lamp_on"));
    this.bearing = this.range("lamp_bearing", 0, 355, (v) => ({ ...this.now, bearing: v }));
    this.height = this.range("lamp_height", LOWEST, HIGHEST, (v) => ({ ...this.now, height: v }));
    const back = document.createElement("button");
    back.type = "button";
    back.textContent = words("lamp_off");
    back.addEventListener("click", () => {
      this.turn(false);
      this.button.focus();
    });
    const help = document.createElement("p");
    help.textContent = words("lamp_help");
    this.group.prepend(this.drawing);
    this.group.append(back, help);
    this.show();
  }

  /** Puts the switch at the end of a row of buttons, and the rest after that row. */
  into(row: HTMLElement): void {
    row.append(this.button);
    row.after(this.group);
  }

  /** Whether a drag carries the lamp. */
  get lit(): boolean {
    return this.shared.lamp !== null;
  }

  /** Takes over what was changed on the other body. */
  follow(): void {
    const { lamp } = this.shared;
    if (lamp === this.here) return;
    this.here = lamp;
    this.now = lamp ?? FIRST;
    this.show();
    this.light(lamp);
  }

  /** The hand holds the lamp at this place of the picture, pixels from its upper left. */
  hold(x: number, y: number, width: number, height: number): void {
    const half = Math.min(width, height) / 2;
    this.carry(heldAt((x - width / 2) / half, (y - height / 2) / half));
  }

  private turn(on: boolean): void {
    this.shared.lamp = on ? FIRST : null;
    this.follow();
    this.tell();
  }

  private carry(to: Lamp): void {
    const lamp = kept(to);
    if (lamp.bearing === this.now.bearing && lamp.height === this.now.height) return;
    this.shared.lamp = lamp;
    this.follow();
    this.tell();
  }

  private tell(): void {
    clearTimeout(this.saying);
    this.saying = setTimeout(() => this.say(this.lit ? this.said() : this.words("lamp_gone")), REST);
  }

  private said(): string {
    return this.words("lamp_said", { from: this.words(whence(this.now)), height: String(this.now.height) });
  }

  private range(word: string, min: number, max: number, moved: (value: number) => Lamp): HTMLInputElement {
    const label = document.createElement("label");
    const input = document.createElement("input");
    input.type = "range";
    input.id = `${word}-${this.name}`;
    label.htmlFor = input.id;
    label.textContent = this.words(word);
    [input.min, input.max, input.step] = [String(min), String(max), "5"];
    input.addEventListener("input", () => this.carry(moved(Number(input.value))));
    this.group.append(label, input);
    return input;
  }

  private show(): void {
    const { bearing, height } = this.now;
    this.button.setAttribute("aria-pressed", String(this.lit));
    this.group.hidden = !this.lit;
    this.bearing.value = String(bearing);
    this.height.value = String(height);
    this.bearing.setAttribute("aria-valuetext", this.words(whence(this.now)));
    this.height.setAttribute("aria-valuetext", this.words("lamp_degrees", { height: String(height) }));
    // As on the page of a detail: a place, a lamp, and its ray; nearer the middle as it rises.
    const out = 8 * Math.cos((height * Math.PI) / 180);
    const [x, y] = [Math.sin((bearing * Math.PI) / 180) * out, -Math.cos((bearing * Math.PI) / 180) * out];
    this.drawing.querySelector("path")?.setAttribute("d", `M${x.toFixed(1)} ${y.toFixed(1)}L0 0`);
    const held = this.drawing.querySelector(".held");
    held?.setAttribute("cx", x.toFixed(1));
    held?.setAttribute("cy", y.toFixed(1));
  }
}

function drawn(): SVGSVGElement {
  const svg = document.createElementNS(SVG, "svg");
  for (const [name, value] of [["viewBox", "-11 -11 22 22"], ["width", "44"], ["height", "44"], ["aria-hidden", "true"], ["focusable", "false"]] as const) {
    svg.setAttribute(name, value);
  }
  for (const [tag, look, size] of [["circle", "place", "8"], ["path", "ray", ""], ["circle", "held", "2.2"]] as const) {
    const piece = document.createElementNS(SVG, tag);
    piece.setAttribute("class", look);
    if (size) piece.setAttribute("r", size);
    svg.append(piece);
  }
  return svg;
}
