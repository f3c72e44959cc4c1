// What was measured to differ, laid over the model when it is asked for.

import { bytes } from "./bytes";
import { plain } from "./handed";
import type { Body, Page } from "./page";

export class Difference {
  private readonly row = document.createElement("div");
  private readonly legend = document.createElement("p");
  private readonly buttons: readonly HTMLButtonElement[];
  private readonly kept = new Map<number, Promise<ImageBitmap>>();
  private on = false;
  /** The latest wish; an answer to an earlier one comes too late. */
  private wish = 0;

  /** `lay` puts a picture of codes over the model, or takes it away; `say` tells the visitor. */
  constructor(
    private readonly body: Body,
    private readonly words: Page["words"],
    private readonly lay: (codes: ImageBitmap | null) => void,
    private readonly say: (text: string) => void,
    private level: number,
  ) {
    this.row.className = "shown";
    this.row.setAttribute("role", "group");
    this.row.setAttribute("aria-label", words("shown_buttons"));
    this.buttons = (["show_surface", "show_differences"] as const).map((name, i) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = words(name);
      button.addEventListener("click", () => void this.show(i === 1));
      this.row.append(button);
      return button;
    });
    this.legend.className = "shown-legend";
    this.legend.textContent = body.legend;
    this.press(false);
  }

  /** Puts buttons and legend into the page. */
  into(element: HTMLElement): void {
    element.append(this.row, this.legend);
  }

  async show(on: boolean): Promise<void> {
    if (on === this.on) return;
    if (!on) {
      this.wish++;
      this.lay(null);
      this.press(false);
      this.say(this.words("surface_shown"));
      return;
    }
    if (await this.laid()) this.say(this.words("difference_shown"));
  }

  /** Another level, or a new drawing, has taken the model's place, without a picture on it. */
  async replaced(level: number): Promise<void> {
    this.level = level;
    if (this.on) await this.laid();
  }

  /** Lays the level's picture; a sentence says why it cannot be. */
  private async laid(): Promise<boolean> {
    const wish = ++this.wish;
    const { level } = this;
    if (!this.body.differences[level]) {
      this.fail("difference_without_sheet");
      return false;
    }
    try {
      if (!this.kept.has(level)) this.say(this.words("difference_loading"));
      const codes = await this.fetch(level);
      if (wish !== this.wish) return false;
      this.lay(codes);
      this.press(true);
      return true;
    } catch {
      this.kept.delete(level);
      if (wish === this.wish) this.fail("difference_failed");
      return false;
    }
  }

  private fail(word: string): void {
    this.lay(null);
    this.press(false);
    this.say(this.words(word));
  }

  private fetch(level: number): Promise<ImageBitmap> {
    const kept = this.kept.get(level) ?? load(this.body.differences[level] ?? "");
    this.kept.set(level, kept);
    return kept;
  }

  private press(on: boolean): void {
    this.on = on;
    this.buttons.forEach((button, i) => button.setAttribute("aria-pressed", String((i === 1) === on)));
    this.legend.hidden = !on;
  }
}

/** Numbers stay as they are: a code is not a colour. */
async function load(href: string): Promise<ImageBitmap> {
  return createImageBitmap(new Blob([plain(await bytes(href))], { type: "image/png" }), { colorSpaceConversion: "none", premultiplyAlpha: "none" });
}
