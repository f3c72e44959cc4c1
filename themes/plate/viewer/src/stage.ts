// One body on its sheet: the still first, the model in its place once it has come, and the still again
// whenever the device takes the drawing away.

import { breath } from "./breath";
import { bytes, saving } from "./bytes";
import { Difference } from "./difference";
import { Painter } from "./draw";
import type { Model } from "./glb";
import { listen } from "./hand";
import { LampControl, type Lamp } from "./lamp";
import { Letters } from "./letters";
import { calm, flight, runOut, type Motion } from "./motion";
import type { Body, Detail, Page } from "./page";
import type { Hit } from "./pick";
import { Row } from "./row";
import { Ruler } from "./ruler";
import { unfold, type Drawn } from "./sheets";
import { Solid } from "./solid";
import { Teller } from "./tell";
import { chance, Tries } from "./tries";
import { unpack } from "./unpack";
import { held, project, same, type View } from "./view";

/** Length of a flight to a detail and of a step by button, milliseconds. */
const FLIGHT = 900;
const STEP = 250;
/** What is in sight is looked up at most this often while turning, milliseconds. */
const LOOK = 120;
/** Pixels across the sheet from which the second and the third level are worth their bytes. */
const PIXELS = [900, 2000];
/** A detail fills this share of the sheet's half height. */
const FILL = 0.3;
/** Two touches bring a place to the first share of the home half height; from nearer than the second
 * they go further off again. */
const [PLACE, NEAR] = [0.3, 0.5];

export class Stage {
  private painter: Painter | null = null;
  /** Kept, so that a lost drawing can be begun anew without the network. */
  private solid = new Solid({ parts: [], pictures: null }, 0);
  private difference: Difference | null = null;
  private lamp: LampControl | null = null;
  private ruler: Ruler | null = null;
  private row: Row | null = null;
  private lifter: HTMLButtonElement | null = null;
  private readonly controls = document.createElement("div");
  private readonly letters: Letters;
  private readonly details: readonly Detail[];
  private readonly teller: Teller;
  private readonly tries = new Tries();
  private readonly home: View;
  private asked = false;
  private frame = 0;
  private motion: Motion | null = null;
  private looked = 0;
  private inSight: boolean[] = [];

  /** `view` is shared by both bodies, so that turning the page keeps view and light. */
  constructor(
    readonly body: Body,
    private readonly page: Page,
    private readonly view: { now: View; lamp: Lamp | null },
    private readonly chosen: (id: string | null) => void,
  ) {
    this.home = { azimuth: body.azimuth, elevation: body.elevation, halfHeight: body.halfHeight, centre: body.centre, lift: 0 };
    this.details = page.details.filter((d) => d.bodies.includes(body.name));
    this.letters = new Letters(body, page.details, (id, event) => {
      if (!this.painter || event.ctrlKey || event.metaKey || event.shiftKey || event.button !== 0) return;
      event.preventDefault();
      this.chosen(id);
    });
    this.teller = new Teller(body.figure, page.words);
  }

  get live(): boolean {
    return this.painter !== null;
  }

  /** Fetches the model, once. A failure leaves the still, with a sentence. */
  async load(): Promise<void> {
    if (this.asked) return;
    this.asked = true;
    if (!document.createElement("canvas").getContext("webgl2")) {
      this.teller.say(this.page.words("no_webgl"));
      return;
    }
    this.teller.say(this.page.words("loading_model", { size: this.body.size }));
    try {
      this.solid = new Solid(await this.fetch(0), 0);
      this.attach(await Painter.of(await unfold(this.solid.model), this.body.steps));
    } catch {
      this.teller.say(this.page.words("model_failed"));
      return;
    }
    await breath();
    this.furnish();
    await this.refine();
  }

  private async fetch(level: number): Promise<Model> {
    return unpack(await bytes(this.body.levels[level]?.href ?? ""));
  }

  /** A finer level where the sheet has the pixels to show it and the visitor has not asked to save data. */
  private async refine(): Promise<void> {
    const pixels = this.body.sheet.clientWidth * Math.min(2, devicePixelRatio);
    const wanted = saving() ? 0 : PIXELS.filter((least) => pixels >= least).length;
    const level = Math.min(wanted, this.body.levels.length - 1);
    if (level < 1) return;
    try {
      const finer = await this.fetch(level);
      const drawn = await unfold(finer);
      this.solid = new Solid(finer, level);
      this.painter?.replace(drawn);
      this.body.figure.dataset["level"] = String(level);
      this.show();
      void this.difference?.replaced(level);
    } catch {
      // The lighter level stays; the page says how far each strays. The first description is on its way.
      setTimeout(() => this.teller.say(this.page.words("finer_failed")), 0);
    }
  }

  /** Puts a drawing in the still's place, in the state that the stage is in. */
  private attach(painter: Painter): void {
    const { canvas } = painter;
    this.painter = painter;
    canvas.tabIndex = 0;
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", this.teller.label(this.view.now));
    this.body.still.closest("picture")?.after(canvas);
    painter.light(this.view.lamp);
    this.mark();
    this.show();
    this.body.still.classList.add("replaced");
    listen(canvas, {
      home: this.home,
      turn: (change) => this.turn(change),
      letGo: (rate) => !calm() && this.move(runOut(this.view.now, rate, performance.now())),
      goHome: () => this.go(this.home),
      carry: (x, y) => this.carry(x, y),
      mark: (x, y, finger) => this.ruler?.touch(x, y, finger) ?? false,
      toward: (x, y) => this.toward(x, y),
      moving: () => this.row?.moving ?? false,
      enter: () => this.ruler?.middle() ?? false,
    });
    canvas.addEventListener("webglcontextlost", (event) => {
      // Without this the device would not give it back.
      event.preventDefault();
      if (this.painter === painter) void this.lost(canvas);
    });
  }

  /** The still stands in at once; the model comes back when it can. */
  private async lost(canvas: HTMLCanvasElement | null): Promise<void> {
    const focused = document.activeElement;
    this.painter = null;
    this.motion = null;
    this.teller.hush();
    canvas?.remove();
    this.body.still.classList.remove("replaced");
    this.letters.print();
    this.body.drawing.classList.add("printed");
    this.controls.inert = true;
    this.teller.say(this.page.words("model_lost"));
    for (;;) {
      const wait = this.tries.next(performance.now());
      if (wait === null) return this.given();
      await chance(canvas, wait);
      try {
        const painter = await Painter.of(await this.unfolded(), this.body.steps);
        this.controls.inert = false;
        this.body.drawing.classList.remove("printed");
        this.attach(painter);
        this.teller.say(this.page.words("model_back"));
        void this.difference?.replaced(this.solid.level);
        // Nobody is to find the keyboard somewhere else than where it was.
        if (document.activeElement === document.body) {
          (focused === canvas ? painter.canvas : (focused as HTMLElement | null))?.focus({ preventScroll: true });
        }
        return;
      } catch {
        canvas = null;
      }
    }
  }

  /** The pictures of the model, also where a finer one came meanwhile. */
  private async unfolded(): Promise<Drawn> {
    const { solid } = this;
    const drawn = await unfold(solid.model);
    return solid === this.solid ? drawn : this.unfolded();
  }

  /** Enough tries: the still stays until the visitor asks. */
  private given(): void {
    this.controls.hidden = true;
    this.teller.say(this.page.words("model_gone"));
    const button = document.createElement("button");
    button.type = "button";
    button.className = "ask";
    button.textContent = this.page.words("model_again");
    button.addEventListener("click", () => {
      const focused = document.activeElement === button;
      button.remove();
      this.controls.hidden = false;
      this.tries.forget();
      void this.lost(null).then(() => focused && this.painter?.canvas.focus({ preventScroll: true }));
    });
    this.teller.after(button);
  }

  /** Buttons and what follows them, once. */
  private furnish(): void {
    const { words } = this.page;
    const row = (this.row = new Row(words, (step) => this.go(this.held(step(this.view.now)), STEP), () => this.go(this.home), () => this.mark()));
    this.teller.before(this.controls);
    this.controls.append(row.element);
    if (this.solid.separable) {
      this.lifter = row.add("lift_parts", () => this.lift(this.lifter?.getAttribute("aria-pressed") !== "true"));
      this.lifter.setAttribute("aria-pressed", "false");
    }
    // A distance is never told without how sure it is.
    if (this.body.levels.every((_, i) => Number.isFinite(this.body.strays[i]))) {
      this.ruler = new Ruler({
        body: this.body,
        words,
        details: this.details,
        pick: (x, y) => this.under(x, y),
        pixel: () => (2 * this.view.now.halfHeight) / this.body.sheet.clientHeight,
        strays: () => this.body.strays[this.solid.level] ?? NaN,
        lifted: () => this.view.now.lift > 0,
        changed: () => {
          this.mark();
          this.looked = 0;
          this.wake();
        },
        say: (text) => this.teller.say(text),
      });
      this.ruler.into(row.element);
    }
    const light = (lamp: Lamp | null) => {
      this.painter?.light(lamp);
      this.mark();
      this.wake();
    };
    this.lamp = new LampControl(this.view, words, light, (text) => this.teller.say(text), this.body.name);
    this.lamp.into(row.element);
    this.lamp.follow();
    if (this.body.differences.length > 0) {
      const lay = (codes: ImageBitmap | null) => {
        this.painter?.ink(codes);
        this.wake();
      };
      this.difference = new Difference(this.body, words, lay, (text) => this.teller.say(text), this.solid.level);
      this.difference.into(this.controls);
    }
    new ResizeObserver(() => this.wake()).observe(this.body.sheet);
  }

  /** Tells the canvas what a drag does on it: while it carries or moves, it cannot scroll the page. */
  private mark(): void {
    const look = this.painter?.canvas.classList;
    look?.toggle("lit", this.view.lamp !== null);
    look?.toggle("moving", this.row?.moving ?? false);
    look?.toggle("ruled", this.ruler?.on ?? false);
  }

  /** Lets a drag carry the lamp while one is lit. */
  private carry(x: number, y: number): boolean {
    const { clientWidth, clientHeight } = this.body.sheet;
    if (this.lamp?.lit) this.lamp.hold(x, y, clientWidth, clientHeight);
    return this.lamp?.lit ?? false;
  }

  private held(view: View): View {
    return held(view, this.home, this.solid.within(view.lift));
  }

  /** The place of the surface under a pixel of the sheet. */
  private under(x: number, y: number): Hit | null {
    const { clientWidth, clientHeight } = this.body.sheet;
    const half = clientHeight / 2;
    return this.solid.under(this.view.now, (x - clientWidth / 2) / half, (y - half) / half);
  }

  /** Goes closer to a place, or from close up further off. Its button is "closer", with the steps that
   * move the object across the picture. */
  private toward(x: number, y: number): void {
    const view = this.view.now;
    if (view.halfHeight < this.home.halfHeight * NEAR) {
      this.go({ ...view, ...this.solid.whole(this.home, view.lift) });
      return;
    }
    const hit = this.under(x, y);
    if (hit) this.go({ ...view, halfHeight: this.home.halfHeight * PLACE, centre: this.solid.raised(hit.point, hit.part, view.lift) }, FLIGHT / 2);
  }

  private lift(up: boolean): void {
    const lift = up ? 1 : 0;
    this.go({ ...this.view.now, ...this.solid.whole(this.home, lift), lift });
    this.teller.say(this.page.words(up ? "parts_apart_now" : "parts_together_now"));
  }

  private turn(change: (view: View) => View): void {
    this.motion = null;
    this.view.now = this.held(change(this.view.now));
    this.wake();
  }

  private move(motion: Motion): void {
    this.motion = motion;
    this.wake();
  }

  /** Moves the eye to another view, at once for those who want no motion. */
  go(to: View, time = FLIGHT): void {
    if (to === this.home) this.chosen(null);
    this.lifter?.setAttribute("aria-pressed", String(to.lift > 0));
    if (calm()) this.turn(() => to);
    else this.move(flight(this.view.now, to, performance.now(), time, this.home));
  }

  /** Moves the eye back to the first view. */
  goHome(): void {
    this.go(this.home);
  }

  /** Moves the eye to a detail. */
  approach(detail: Detail): void {
    this.letters.choose(detail.id);
    const halfHeight = Math.max(detail.radius / FILL, this.home.halfHeight * 0.12);
    const centre = this.solid.raised(detail.anchor, this.solid.partOf(detail), this.view.now.lift);
    this.go(this.held({ azimuth: detail.azimuth, elevation: detail.elevation, halfHeight, centre, lift: this.view.now.lift }));
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
    this.lifter?.setAttribute("aria-pressed", String(this.view.now.lift > 0));
    this.draw(performance.now());
  }

  private draw(now: number): void {
    this.frame = 0;
    const { painter } = this;
    const { clientWidth: width, clientHeight: height } = this.body.sheet;
    if (!painter || !width || !height) return;
    if (this.motion) {
      const { view, over } = this.motion(now);
      this.view.now = this.held(view);
      if (over) {
        this.motion = null;
        this.looked = 0;
      }
    }
    const view = this.view.now;
    const ends = this.ruler?.ends.map(({ point, part }) => ({ anchor: this.solid.raised(point, part, view.lift), normal: null })) ?? [];
    const raised = this.details.map((detail) => ({ ...detail, anchor: this.solid.raised(detail.anchor, this.solid.partOf(detail), view.lift) }));
    if (now - this.looked > LOOK || this.inSight.length === 0) {
      this.inSight = painter.inSight(view, width / height, [...raised, ...ends]);
      this.looked = now;
    }
    painter.paint(view, width, height);
    const { width: w, height: h } = this.letters;
    const anchors = raised.flatMap(({ id, anchor }, i) => {
      if (!this.inSight[i]) return [];
      const [x, y] = project(view, anchor, w, h);
      return x < 0 || y < 0 || x > w || y > h ? [] : [{ id, x, y }];
    });
    const gliding = this.letters.set(anchors, calm());
    this.letters.scale(same(view, this.home));
    this.ruler?.draw(ends.map(({ anchor }) => project(view, anchor, w, h)), this.inSight.slice(raised.length), w, h, h / height);
    if (this.motion || gliding) this.wake();
    else if (now - this.looked > 1) this.lookAgain();
    if (this.motion === null) this.teller.describe(view, raised.filter(({ id }) => anchors.some((a) => a.id === id)), painter.empty, painter.canvas);
  }

  private timer = 0;

  /** Once the hand rests, what is in sight is looked up a last time. */
  private lookAgain(): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.show(), LOOK + 30);
  }
}
