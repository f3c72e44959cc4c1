// The object on its sheet: turned by hand or keys, with a cross that the arrow keys move, and the place
// that is meant drawn on the surface.

import type { Part } from "../../viewer/src/glb";
import { Painter } from "../../viewer/src/draw";
import { listen, steps } from "../../viewer/src/hand";
import { calm, flight, runOut, type Motion } from "../../viewer/src/motion";
import { along, axes, dot, held, moved, project, type View } from "../../viewer/src/view";
import type { DetailLine, ObjectLine, Place, Vec } from "./api";
import { Refused } from "./api";
import { button, h } from "./dom";
import { t } from "./words";

/** A key moves the cross by this share of the sheet's height; with Alt by the second. */
const [STRIDE, FINE] = [0.03, 0.005];
const FLIGHT = 700;
const SVG = "http://www.w3.org/2000/svg";

export type Ray = readonly [Vec, Vec];

export interface Wish {
  /** A place was touched, or Enter pressed at the cross. */
  readonly touched?: (ray: Ray) => void;
  /** The hand has come to rest on another view. */
  readonly rested?: (view: View) => void;
}

interface Listed {
  readonly id: string;
  readonly points: number;
  readonly triangles: number;
}

/** The arrays that the desk sends, as parts to be drawn. */
function unpack(file: ArrayBuffer): Part[] {
  const length = new DataView(file).getUint32(0, true);
  const list = JSON.parse(new TextDecoder().decode(new Uint8Array(file, 4, length))) as Listed[];
  let at = 4 + length + ((4 - ((4 + length) % 4)) % 4);
  const take = <T>(count: number, make: (offset: number, count: number) => T): T => {
    const made = make(at, count);
    at += count * 4;
    return made;
  };
  const floats = (offset: number, count: number) => new Float32Array(file, offset, count);
  return list.map(({ id, points, triangles }) => ({
    name: id,
    position: take(points * 3, floats),
    normal: take(points * 3, floats),
    colour: take(points * 3, floats),
    index: take(triangles * 3, (offset, count) => new Uint32Array(file, offset, count)),
    tangent: new Float32Array(points * 4),
    place: new Float32Array(points * 2),
  }));
}

export class Plate {
  readonly element: HTMLElement;
  private readonly sheet: HTMLElement;
  private readonly overlay = document.createElementNS(SVG, "svg");
  private readonly said: HTMLElement;
  private painter: Painter | null = null;
  private home: View = { azimuth: 0, elevation: 10, halfHeight: 100, centre: [0, 0, 0], lift: 0 };
  private view: View = this.home;
  private motion: Motion | null = null;
  private frame = 0;
  /** Of the cross, as shares of the sheet from its middle in half heights. */
  private cross: [number, number] = [0, 0];
  private crossed = false;
  private place: Place | null = null;
  private letters: readonly { letter: string; at: Vec; normal: Vec }[] = [];
  private size = 100;
  private rest = 0;

  constructor(
    private readonly object: ObjectLine,
    private body: string,
    private readonly wish: Wish,
  ) {
    this.sheet = h("div", { class: "sheet" });
    this.overlay.setAttribute("class", "drawn");
    this.overlay.setAttribute("aria-hidden", "true");
    this.said = h("p", { class: "living", role: "status" });
    const row = h("div", { class: "hand", role: "group", "aria-label": t("plate_hand") });
    for (const name of ["turn_left", "turn_right", "turn_up", "turn_down", "closer", "further"]) {
      row.append(button(t(name), () => this.step(steps[name]!)));
    }
    row.append(button(t("first_view"), () => this.go(this.home)));
    if (wish.touched) row.append(button(t("place_at_cross"), () => this.press(), "plain-button strong"));
    this.element = h("div", { class: "plate" }, this.bodies(), this.sheet, this.said, row);
    this.sheet.append(this.overlay);
    new ResizeObserver(() => this.wake()).observe(this.sheet);
  }

  private bodies(): HTMLElement | null {
    const kinds = Object.keys(this.object.bodies ?? {});
    if (kinds.length < 2) return null;
    return h(
      "fieldset",
      { class: "turn" },
      h("legend", {}, t("shown_body")),
      kinds.map((kind) => {
        const input = h("input", { type: "radio", name: "plate-body", value: kind, change: () => void this.show(kind) });
        input.checked = kind === this.body;
        return h("label", {}, input, t(`body_${kind}`));
      }),
    );
  }

  get shown(): string {
    return this.body;
  }

  get from(): View {
    return this.view;
  }

  say(text: string): void {
    this.said.textContent = text;
  }

  /** Letters of details beside their places. */
  letter(details: readonly DetailLine[]): void {
    this.letters = details.flatMap(({ place }, i) => (place && place.body === this.body ? [{ letter: letterOf(i), at: place.at, normal: place.normal }] : []));
    this.wake();
  }

  async show(body = this.body): Promise<void> {
    const box = this.object.bodies?.[body];
    if (!box) {
      this.say(t("plate_no_model"));
      return;
    }
    const first = this.painter === null;
    this.body = body;
    this.say(t("plate_loading"));
    try {
      const response = await fetch(`/api/model?${new URLSearchParams({ object: this.object.id, body })}`);
      if (!response.ok) throw new Refused("failed", ((await response.json()) as { what: string }).what, null);
      const parts = unpack(await response.arrayBuffer());
      const painter = await Painter.of({ parts, pictures: null }, [1, 2, 3]);
      this.painter?.canvas.remove();
      this.painter = painter;
      this.size = Math.hypot(...[0, 1, 2].map((k) => box.high[k]! - box.low[k]!));
      const centre = [0, 1, 2].map((k) => (box.high[k]! + box.low[k]!) / 2) as unknown as Vec;
      const front = this.object.front ?? { azimuth_deg: 0, elevation_deg: 12 };
      this.home = { azimuth: front.azimuth_deg, elevation: front.elevation_deg, halfHeight: this.size * 0.52, centre, lift: 0 };
      if (first) this.view = this.home;
      this.attach(painter.canvas);
      this.say(t(this.wish.touched ? "plate_ready_place" : "plate_ready"));
    } catch (error) {
      this.say(error instanceof Refused && error.message ? error.message : t("plate_no_drawing"));
    }
    this.letter(this.object.details);
  }

  private attach(canvas: HTMLCanvasElement): void {
    canvas.tabIndex = 0;
    // A picture that takes keys of its own: screen readers hand them on.
    canvas.setAttribute("role", "application");
    canvas.setAttribute("aria-label", t(this.wish.touched ? "plate_label_place" : "plate_label"));
    canvas.addEventListener("keydown", (event) => this.key(event));
    canvas.addEventListener("focus", () => this.draw());
    canvas.addEventListener("blur", () => this.wake());
    listen(canvas, {
      home: this.home,
      turn: (change) => {
        this.motion = null;
        this.set(change(this.view));
      },
      letGo: (rate) => {
        if (!calm()) this.move(runOut(this.view, rate, performance.now()));
      },
      goHome: () => this.go(this.home),
      carry: () => false,
      mark: (x, y) => this.mark(x, y),
      toward: () => {},
      moving: () => false,
      enter: () => this.press(),
    });
    canvas.addEventListener("webglcontextlost", (event) => {
      event.preventDefault();
      if (this.painter?.canvas === canvas) setTimeout(() => void this.show(), 500);
    });
    this.sheet.prepend(canvas);
    this.wake();
  }

  /** The arrow keys belong to the cross; with Shift they turn the object. */
  private key(event: KeyboardEvent): void {
    const way = ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] } as Record<string, [number, number]>)[event.key];
    if (!way || event.shiftKey || event.ctrlKey || event.metaKey || !this.wish.touched) return;
    const stride = event.altKey ? FINE : STRIDE;
    const wide = this.sheet.clientWidth / this.sheet.clientHeight;
    this.crossed = true;
    this.cross = [within(this.cross[0] + way[0] * stride * 2, wide), within(this.cross[1] + way[1] * stride * 2, 1)];
    event.preventDefault();
    event.stopImmediatePropagation();
    this.wake();
  }

  private press(): boolean {
    if (!this.wish.touched) return false;
    this.crossed = true;
    this.wish.touched(this.ray(...this.cross));
    return true;
  }

  private mark(x: number, y: number): boolean {
    if (!this.wish.touched) return false;
    const half = this.sheet.clientHeight / 2;
    this.cross = [(x - this.sheet.clientWidth / 2) / half, (y - half) / half];
    this.wish.touched(this.ray(...this.cross));
    return true;
  }

  /** From far before the object straight into the picture. */
  private ray(right: number, down: number): Ray {
    const { right: r, up, eye } = axes(this.view);
    const on = along(along(this.view.centre, r, right * this.view.halfHeight), up, -down * this.view.halfHeight);
    return [along(on, eye, this.size * 2), [-eye[0], -eye[1], -eye[2]]];
  }

  private set(view: View): void {
    const box = this.object.bodies?.[this.body];
    this.view = held(view, this.home, box ? { low: box.low, high: box.high } : null);
    this.wake();
    clearTimeout(this.rest);
    this.rest = setTimeout(() => this.wish.rested?.(this.view), 300);
  }

  private step(change: (view: View) => View): void {
    this.go(change(this.view), 250);
  }

  private move(motion: Motion): void {
    this.motion = motion;
    this.wake();
  }

  go(to: View, time = FLIGHT): void {
    const box = this.object.bodies?.[this.body];
    const goal = held(to, this.home, box ? { low: box.low, high: box.high } : null);
    if (calm()) this.set(goal);
    else this.move(flight(this.view, goal, performance.now(), time, this.home));
    clearTimeout(this.rest);
    this.rest = setTimeout(() => this.wish.rested?.(goal), time + 100);
  }

  /** Draws a place, and looks at it from where it is best seen. */
  mean(place: Place | null, look: { azimuth_deg: number; elevation_deg: number } | null): void {
    this.place = place;
    if (place && look) {
      const halfHeight = Math.max(place.radius_mm / 0.3, this.home.halfHeight * 0.12);
      this.cross = [0, 0];
      this.go({ azimuth: look.azimuth_deg, elevation: look.elevation_deg, halfHeight, centre: place.at, lift: 0 });
    }
    this.wake();
  }

  private wake(): void {
    if (this.frame === 0) this.frame = requestAnimationFrame(() => this.draw());
  }

  private draw(): void {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    const { clientWidth: width, clientHeight: height } = this.sheet;
    if (!this.painter || !width || !height) return;
    if (this.motion) {
      const { view, over } = this.motion(performance.now());
      this.view = view;
      if (over) this.motion = null;
    }
    const inSight = this.painter.inSight(this.view, width / height, this.letters.map(({ at, normal }) => ({ anchor: at, normal })));
    this.painter.paint(this.view, width, height);
    this.overlay.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.overlay.replaceChildren(...this.patch(width, height), ...this.named(inSight, width, height), ...this.hairs(width, height));
    if (this.motion) this.wake();
  }

  private patch(width: number, height: number): Element[] {
    const { place } = this;
    if (!place) return [];
    const away = dot(place.normal, axes(this.view).eye) < 0;
    const at = (point: Vec) => project(this.view, point, width, height).map((v) => v.toFixed(1)).join(" ");
    const d = place.outline.map(([a, b]) => `M${at(a)}L${at(b)}`).join("");
    const [x, y] = project(this.view, place.at, width, height);
    return [
      shape("path", { d, class: `halo${away ? " away" : ""}` }),
      shape("path", { d, class: `edge${away ? " away" : ""}` }),
      shape("circle", { cx: x, cy: y, r: 3.5, class: "middle" }),
    ];
  }

  private named(inSight: readonly boolean[], width: number, height: number): Element[] {
    return this.letters.flatMap(({ letter, at }, i) => {
      if (!inSight[i]) return [];
      const [x, y] = project(this.view, at, width, height);
      const text = shape("text", { x, y, class: "letter" });
      text.textContent = letter;
      return [text];
    });
  }

  private hairs(width: number, height: number): Element[] {
    if (!this.wish.touched || !(this.crossed || document.activeElement === this.painter?.canvas)) return [];
    const half = height / 2;
    const [x, y] = [width / 2 + this.cross[0] * half, half + this.cross[1] * half];
    const d = `M${x - 18} ${y}H${x - 5}M${x + 5} ${y}H${x + 18}M${x} ${y - 18}V${y - 5}M${x} ${y + 5}V${y + 18}`;
    return [shape("path", { d, class: "halo" }), shape("path", { d, class: "cross" })];
  }
}

function shape(name: string, attributes: Readonly<Record<string, string | number>>): Element {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  return element;
}

const within = (value: number, most: number): number => Math.min(most, Math.max(-most, value));

/** a … z, then aa, ab, …, as on the published page. */
export function letterOf(i: number): string {
  const one = String.fromCharCode(97 + (i % 26));
  return i < 26 ? one : letterOf(Math.floor(i / 26) - 1) + one;
}

export { moved };
