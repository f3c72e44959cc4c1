// The words of the chosen detail, right below the plate: on a phone its line of the key is far from the thumb.

import type { Detail, Page } from "./page";

export class Opened {
  private readonly panel = document.createElement("div");
  private readonly said = document.createElement("div");
  private readonly more = document.createElement("a");

  /** `step` goes to the next detail of the key or to the one before. */
  constructor(
    private readonly words: Page["words"],
    step: (by: 1 | -1) => void,
  ) {
    this.panel.className = "opened";
    this.panel.setAttribute("role", "group");
    this.said.setAttribute("aria-live", "polite");
    const onward = document.createElement("p");
    onward.className = "opened-onward";
    const button = (word: string, by: 1 | -1) => {
      const made = document.createElement("button");
      made.type = "button";
      made.textContent = words(word);
      made.addEventListener("click", () => step(by));
      return made;
    };
    this.more.textContent = words("read_more");
    onward.append(button("previous", -1), this.more, button("next", 1));
    this.panel.append(this.said, onward);
  }

  /** Shows the words of a detail below the plate of a body, which is in sight. */
  show(detail: Detail, figure: HTMLElement): void {
    const title = document.createElement("p");
    title.className = "opened-title";
    const letter = document.createElement("span");
    letter.className = "key-letter";
    letter.textContent = detail.letter;
    title.append(letter, ` ${detail.title}`);
    const teaser = document.createElement("p");
    teaser.className = "opened-words";
    teaser.textContent = detail.teaser;
    if (this.panel.parentElement !== figure) figure.querySelector("figcaption")?.after(this.panel);
    this.said.replaceChildren(title, teaser);
    this.panel.setAttribute("aria-label", detail.title);
    this.more.href = detail.href;
    this.more.setAttribute("aria-label", `${this.words("read_more")}: ${detail.title}`);
  }

  hide(): void {
    this.panel.remove();
  }
}
