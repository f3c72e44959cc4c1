// The row of buttons below the sheet: words, each of them a gesture.

import { steps } from "./hand";
import type { Page } from "./page";
import type { View } from "./view";

const ARROWS = ["left", "right", "up", "down"] as const;

export class Row {
  readonly element = document.createElement("div");
  private readonly arrows: readonly HTMLButtonElement[];
  private readonly mode: HTMLButtonElement;
  /** Whether arrows and drags move the object across the picture instead of turning it. */
  moving = false;

  constructor(
    private readonly words: Page["words"],
    step: (change: (view: View) => View) => void,
    home: () => void,
    private readonly changed: () => void,
  ) {
    this.element.className = "hand";
    this.element.setAttribute("role", "group");
    this.element.setAttribute("aria-label", words("view_buttons"));
    this.arrows = ARROWS.map((arrow) => this.add("", () => step(steps[`${this.moving ? "move" : "turn"}_${arrow}`]!)));
    for (const name of ["closer", "further"]) this.add(name, () => step(steps[name]!));
    this.add("home_view", home);
    this.mode = this.add("move_instead", () => this.move(!this.moving));
    this.move(false);
  }

  /** Adds a button at the end. */
  add(word: string, act: () => void): HTMLButtonElement {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = word && this.words(word);
    button.addEventListener("click", act);
    this.element.append(button);
    return button;
  }

  private move(on: boolean): void {
    this.moving = on;
    this.mode.setAttribute("aria-pressed", String(on));
    this.arrows.forEach((button, i) => (button.textContent = this.words(`${on ? "move" : "turn"}_${ARROWS[i]}`)));
    this.changed();
  }
}
