// What is told below the sheet: which side is seen and what is on it, and what else happens.

import type { Detail, Page } from "./page";
import { side, type View } from "./view";

/** Words wait until the hand rests, milliseconds. */
const REST = 400;

export class Teller {
  private readonly living = document.createElement("p");
  private timer = 0;
  private settled = "";

  constructor(
    figure: HTMLElement,
    private readonly words: Page["words"],
  ) {
    this.living.className = "living";
    this.living.setAttribute("role", "status");
    figure.append(this.living);
  }

  before(element: HTMLElement): void {
    this.living.before(element);
  }

  after(element: HTMLElement): void {
    this.living.after(element);
  }

  /** Says something beside the view. A turn that has not been told yet is told after it: the canvas
   * must never keep the words of another view. */
  say(text: string): void {
    this.living.textContent = text;
  }

  /** The name of a canvas that shows what was told last. */
  label(view: View): string {
    const { words } = this;
    return `${this.settled || words("facing", { side: words(side(view)) })} ${words("keys_help")}`;
  }

  /** Tells the view once the hand rests; the first words come with the first picture. */
  describe(view: View, seen: readonly Detail[], empty: boolean, canvas: HTMLCanvasElement): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      const { words } = this;
      const titles = seen.map((d) => `${d.letter} ${d.title}`);
      const what = titles.length ? words("in_sight", { list: titles.join(", ") }) : words(empty ? "off_sheet" : "nothing_in_sight");
      const text = `${words("facing", { side: words(side(view)) })} ${what}`;
      if (text === this.settled) return;
      this.settled = text;
      this.say(text);
      canvas.setAttribute("aria-label", this.label(view));
    }, this.settled === "" ? 0 : REST);
  }

  /** What was waiting to be told is of a view that is gone. */
  hush(): void {
    clearTimeout(this.timer);
  }
}
