// The page as the site will show it, while it is written.

import { post, WINDOW } from "./api";
import { h } from "./dom";
import { sentence } from "./sheet";
import { t } from "./words";

/** So long after the last key, milliseconds. */
const PAUSE = 250;

export class Preview {
  readonly element: HTMLElement;
  private readonly frame: HTMLIFrameElement;
  private readonly said = h("p", { class: "living" });
  private timer = 0;
  private running = false;
  private again = false;

  constructor(private readonly ask: () => unknown) {
    this.frame = h("iframe", { class: "preview", title: t("preview_title"), sandbox: "allow-same-origin" });
    // As tall as what is in it, so that the page has one scroll bar.
    this.frame.addEventListener("load", () => {
      const shown = this.frame.contentDocument;
      if (!shown || shown.URL === "about:blank") return;
      // Measured from nought, since a page is never lower than its window.
      this.frame.style.blockSize = "0";
      this.frame.style.blockSize = `${Math.min(Math.max(shown.documentElement.scrollHeight + 4, 300), 2400)}px`;
    });
    this.element = h("section", { class: "previewed" }, h("h2", {}, t("preview_heading")), this.said, this.frame);
  }

  touched(pause = PAUSE): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.show(), pause);
  }

  private async show(): Promise<void> {
    if (this.running) {
      this.again = true;
      return;
    }
    const asked = this.ask();
    if (asked === null) {
      this.said.textContent = t("preview_later");
      return;
    }
    this.running = true;
    try {
      const { page, remarks } = await post<{ page: string; remarks: { what: string; remedy: string }[] }>("preview", { window: WINDOW, ...(asked as object) });
      this.said.textContent = remarks.map(({ what, remedy }) => `${what} ${remedy}`).join(" ");
      this.frame.contentWindow?.location.replace(`${page}?${Date.now()}`);
    } catch (error) {
      this.said.textContent = sentence(error, t("desk_gone"));
    }
    this.running = false;
    if (this.again) {
      this.again = false;
      void this.show();
    }
  }
}
