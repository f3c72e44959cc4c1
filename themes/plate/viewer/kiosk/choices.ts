// Larger type and stronger contrast, one touch away. They go along to other pages of the screen, in the
// address, and are gone when the screen begins anew: nothing is kept of a visitor.

const NAMES = ["type", "contrast"] as const;

export class Choices {
  private readonly buttons: ReadonlyMap<string, HTMLButtonElement>;

  constructor() {
    const found = [...document.querySelectorAll<HTMLButtonElement>("[data-choice]")];
    this.buttons = new Map(found.map((button) => [button.dataset["choice"] ?? "", button]));
    const asked = new URLSearchParams(location.search);
    for (const [name, button] of this.buttons) {
      this.set(name, asked.has(name));
      button.addEventListener("click", () => this.set(name, !this.has(name)));
    }
    const row = document.querySelector<HTMLElement>("[data-choices]");
    if (row) row.hidden = false;
  }

  private has(name: string): boolean {
    return document.documentElement.dataset[name] === "more";
  }

  private set(name: string, more: boolean): void {
    if (more) document.documentElement.dataset[name] = "more";
    else delete document.documentElement.dataset[name];
    this.buttons.get(name)?.setAttribute("aria-pressed", String(more));
  }

  get any(): boolean {
    return NAMES.some((name) => this.has(name));
  }

  clear(): void {
    for (const name of NAMES) this.set(name, false);
  }

  /** The same choices at another address of the screen. */
  at(address: string): string {
    const url = new URL(address, location.href);
    for (const name of NAMES) if (this.has(name)) url.searchParams.set(name, "more");
    return url.href;
  }
}
