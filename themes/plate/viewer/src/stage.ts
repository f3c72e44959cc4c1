// One body on its sheet: the still first, the model in its place once it has come.

import { MeshoptDecoder } from "meshoptimizer/decoder";
import { bytes } from "./bytes";
import { Difference } from "./difference";
import { Painter } from "./draw";
import { model } from "./glb";
import { listen, steps } from "./hand";
import { LampControl, type Lamp } from "./lamp";
import { Letters } from "./letters";
import type { Body, Detail, Page } from "./page";
import { unfold, type Drawn } from "./sheets";
import { between, held, project, same, side, type View } from "./view";

/** Length of a flight to a detail, milliseconds. */
const FLIGHT = 900;
/** What is in sight is looked up at most this often while turning, milliseconds. */
const LOOK = 120;
/** Pixels across the sheet from which the second and the third level are worth their bytes. */
const PIXELS = [900, 2000];
/** A detail fills this share of the sheet's half height. */
const FILL = 0.3;

export class Stage {
  private painter: Painter | null = null;
  private difference: Difference | null = null;
  private lamp: LampControl | null = null;
  private readonly letters: Letters;
  private readonly details: readonly Detail[];
  private readonly living: HTMLElement;
  private readonly home: View;
  private asked = false;
  private frame = 0;
  private flight: { from: View; to: View; start: number } | null = null;
  private looked = 0;
  private inSight: boolean[] = [];
  private settled = "";

  /** `view` is shared by both bodies, so that turning the page keeps view and light. */
  constructor(
    readonly body: Body,
    private readonly page: Page,
    private readonly view: { now: View; lamp: Lamp | null },
    private readonly chosen: (id: string | null) => void,
  ) {
    this.home = { azimuth: body.azimuth, elevation: body.elevation, halfHeight: body.halfHeight, centre: body.centre };
    this.details = page.details.filter((d) => d.bodies.includes(body.name));
    this.letters = new Letters(body, page.details, (id, event) => {
      if (!this.painter || event.ctrlKey || event.metaKey || event.shiftKey || event.button !== 0) return;
      event.preventDefault();
      this.chosen(id);
    });
    this.living = document.createElement("p");
    this.living.className = "living";
    this.living.setAttribute("role", "status");
    body.figure.append(this.living);
  }

  get live(): boolean {
    return this.painter !== null;
  }

  private get calm(): boolean {
    return matchMedia("(prefers-reduced-motion: reduce)").matches;
  }

  /** Fetches the model, once. A failure leaves the still, with a sentence. */
  async load(): Promise<void> {
    if (this.asked) return;
    this.asked = true;
    if (!document.createElement("canvas").getContext("webgl2")) {
      this.living.textContent = this.page.words("no_webgl");
      return;
    }
    this.living.textContent = this.page.words("loading_model", { size: this.body.size });
    try {
      this.begin(new Painter(await this.fetch(0), this.body.steps));
    } catch {
      this.living.textContent = this.page.words("model_failed");
      return;
    }
    await this.refine();
  }

  private async fetch(level: number): Promise<Drawn> {
    const [file] = await Promise.all([bytes(this.body.levels[level]?.href ?? ""), MeshoptDecoder.ready]);
    return unfold(model(file, MeshoptDecoder));
  }

  /** A finer level where the sheet has the pixels to show it and the visitor has not asked to save data. */
  private async refine(): Promise<void> {
    const saving = (navigator as { connection?: { saveData?: boolean } }).connection?.saveData === true;
    const pixels = this.body.sheet.clientWidth * Math.min(2, devicePixelRatio);
    const wanted = saving ? 0 : PIXELS.filter((least) => pixels >= least).length;
    const level = Math.min(wanted, this.body.levels.length - 1);
    if (level < 1) return;
    try {
      const finer = await this.fetch(level);
      this.painter?.replace(finer);
      this.body.figure.dataset["level"] = String(level);
      this.show();
      void this.difference?.replaced(level);
    } catch {
      // The lighter level stays; the page says how far each one strays.
      // Said after the first description, which is on its way.
      setTimeout(() => (this.living.textContent = this.page.words("finer_failed")), 0);
    }
  }

  private begin(painter: Painter): void {
    const { canvas } = painter;
    this.painter = painter;
    canvas.tabIndex = 0;
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", `${this.page.words("facing", { side: this.page.words(side(this.view.now)) })} ${this.page.words("keys_help")}`);
    this.body.still.closest("picture")?.after(canvas);
    this.show();
    this.body.still.classList.add("replaced");
    listen(canvas, (change) => this.turn(change), () => this.go(this.home), (x, y) => this.carry(x, y));
    const row = this.buttons();
    this.differences();
    this.lamps(row);
    canvas.addEventListener("webglcontextlost", (event) => {
      event.preventDefault();
      this.painter = null;
      this.difference?.remove();
      this.lamp?.remove();
      canvas.remove();
      this.body.still.classList.remove("replaced");
      this.living.textContent = this.page.words("model_failed");
    });
    new ResizeObserver(() => this.wake()).observe(this.body.sheet);
  }

  private buttons(): HTMLElement {
    const row = document.createElement("div");
    row.className = "hand";
    row.setAttribute("role", "group");
    row.setAttribute("aria-label", this.page.words("view_buttons"));
    for (const [name, act] of [
      ...Object.entries(steps).map(([name, step]) => [name, () => this.go(held(step(this.view.now), this.home), 250)] as const),
      ["home_view", () => this.go(this.home)] as const,
    ]) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = this.page.words(name);
      button.addEventListener("click", act);
      row.append(button);
    }
    this.living.before(row);
    return row;
  }

  /** The light from the side. */
  private lamps(row: HTMLElement): void {
    const light = (lamp: Lamp | null) => {
      this.painter?.light(lamp);
      // While a drag carries the lamp, it cannot scroll the page.
      this.painter?.canvas.classList.toggle("lit", lamp !== null);
      this.wake();
    };
    this.lamp = new LampControl(this.view, this.page.words, light, (text) => this.say(text), this.body.name);
    this.lamp.into(row);
    this.lamp.follow();
  }

  /** Lets a drag carry the lamp while one is lit. */
  private carry(x: number, y: number): boolean {
    const { clientWidth, clientHeight } = this.body.sheet;
    if (this.lamp?.lit) this.lamp.hold(x, y, clientWidth, clientHeight);
    return this.lamp?.lit ?? false;
  }

  /** Says something beside the view. A turn that has not been told yet is told after it: the
   *  canvas must never keep the words of another view. */
  private say(text: string): void {
    this.living.textContent = text;
  }

  /** The choice between surface and differences, where any were measured. */
  private differences(): void {
    if (this.body.differences.length === 0) return;
    const lay = (codes: ImageBitmap | null) => {
      this.painter?.ink(codes);
      this.wake();
    };
    this.difference = new Difference(this.body, this.page.words, lay, (text) => this.say(text), 0);
    this.difference.before(this.living);
  }

  private turn(change: (view: View) => View): void {
    this.flight = null;
    this.view.now = held(change(this.view.now), this.home);
    this.wake();
  }

  /** Moves the eye to another view, at once for those who want no motion. */
  go(to: View, length = FLIGHT): void {
    if (to === this.home) this.chosen(null);
    if (this.calm) {
      this.flight = null;
      this.view.now = to;
    } else {
      this.flight = { from: this.view.now, to, start: performance.now() };
      this.flightLength = length;
    }
    this.wake();
  }

  /** Moves the eye back to the first view. */
  goHome(): void {
    this.go(this.home);
  }

  private flightLength = FLIGHT;

  /** Moves the eye to a detail. */
  approach(detail: Detail): void {
    this.letters.choose(detail.id);
    const halfHeight = Math.max(detail.radius / FILL, this.home.halfHeight * 0.12);
    this.go(held({ azimuth: detail.azimuth, elevation: detail.elevation, halfHeight, centre: detail.anchor }, this.home));
  }

  leave(): void {
    this.letters.choose(null);
  }

  /** Draws a frame soon; frames are drawn only when something changes. */
  wake(): void {
    if (this.frame === 0 && this.painter) this.frame = requestAnimationFrame((now) => this.draw(now));
  }

  /** Draws now: when the model appears or the page is turned. */
  show(): void {
    this.looked = 0;
    this.lamp?.follow();
    this.draw(performance.now());
  }

  private draw(now: number): void {
    this.frame = 0;
    const { painter } = this;
    const { clientWidth: width, clientHeight: height } = this.body.sheet;
    if (!painter || !width || !height) return;
    if (this.flight) {
      const t = Math.min(1, Math.max(0, (now - this.flight.start) / this.flightLength));
      this.view.now = between(this.flight.from, this.flight.to, t, this.home);
      if (t >= 1) {
        this.view.now = this.flight.to;
        this.flight = null;
        this.looked = 0;
      }
    }
    const view = this.view.now;
    const still = this.flight === null;
    if (now - this.looked > LOOK || this.inSight.length === 0) {
      this.inSight = painter.inSight(view, width / height, this.details);
      this.looked = now;
    }
    painter.paint(view, width, height);
    const { width: w, height: h } = this.letters;
    const anchors = this.details.flatMap((detail, i) => {
      if (!this.inSight[i]) return [];
      const [x, y] = project(view, detail.anchor, w, h);
      return x < 0 || y < 0 || x > w || y > h ? [] : [{ id: detail.id, x, y }];
    });
    const gliding = this.letters.set(anchors, this.calm);
    this.letters.scale(same(view, this.home));
    if (this.flight || gliding) this.wake();
    else if (now - this.looked > 1) this.lookAgain();
    if (still) this.describe(anchors.map((a) => a.id));
  }

  private timer = 0;

  /** Once the hand rests, what is in sight is looked up a last time. */
  private lookAgain(): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.show(), LOOK + 30);
  }

  private describe(ids: readonly string[]): void {
    clearTimeout(this.saying);
    // The first words come with the first picture; later ones once the hand rests.
    const wait = this.settled === "" ? 0 : 400;
    this.saying = setTimeout(() => {
      const { words } = this.page;
      const titles = this.details.filter((d) => ids.includes(d.id)).map((d) => `${d.letter} ${d.title}`);
      const facing = words("facing", { side: words(side(this.view.now)) });
      const seen = titles.length ? words("in_sight", { list: titles.join(", ") }) : words("nothing_in_sight");
      const text = `${facing} ${seen}`;
      if (text === this.settled) return;
      this.settled = text;
      this.living.textContent = text;
      this.painter?.canvas.setAttribute("aria-label", `${text} ${words("keys_help")}`);
    }, wait);
  }

  private saying = 0;
}
