// The words beside the object: the key, or what was chosen from it.

import { fragment } from "../src/fragment";

export class Leaves {
  private readonly stage = document.querySelector<HTMLElement>("[data-stage]");
  private readonly all = [...document.querySelectorAll<HTMLElement>("[data-leaf]")];
  private readonly key = document.querySelector<HTMLElement>("[data-panel-key]");
  private shown: string | null = null;

  /** `opened` hears what a visitor opens: the id of a detail. */
  constructor(private readonly opened: (id: string) => void) {
    document.documentElement.classList.add("scripted");
    document.addEventListener("click", (event) => this.clicked(event), { capture: true });
    this.stage?.addEventListener("detailchosen", (event) => {
      const id = event instanceof CustomEvent && typeof event.detail === "string" ? event.detail : null;
      // What the model was told to leave is still being read about.
      if (id !== null || this.isDetail(this.shown)) this.show(id);
    });
    const asked = fragment();
    if (this.all.some((leaf) => leaf.id === asked)) this.show(asked);
  }

  /** Ids of the details, in the order of the key. */
  get details(): readonly string[] {
    return this.all.map((leaf) => leaf.id).filter((id) => this.isDetail(id));
  }

  private isDetail(id: string | null): boolean {
    return id !== null && !id.startsWith("_");
  }

  private clicked(event: MouseEvent): void {
    const link = event.target instanceof Element ? event.target.closest("a[href^='#']") : null;
    const id = link?.getAttribute("href")?.slice(1);
    if (id === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    if (this.all.some((leaf) => leaf.id === id) || id === "_key") {
      if (this.isDetail(id)) this.opened(id);
      this.choose(id === "_key" ? null : id, true);
    } else {
      // A mark leads to its note, which stands below.
      document.getElementById(id)?.scrollIntoView({ block: "nearest" });
    }
  }

  /** Shows the words of a detail and moves the eye to it; with nothing, the key and the first view. */
  choose(id: string | null, byHand: boolean): void {
    if (this.isDetail(id) || id === null) this.stage?.dispatchEvent(new CustomEvent("choosedetail", { detail: id }));
    // The viewer may not have come yet: it looks here when it does.
    if (this.stage) this.stage.dataset["chosen"] = this.isDetail(id) ? (id ?? "") : "";
    const before = this.shown;
    this.show(id);
    if (!byHand) return;
    const place = id ? document.getElementById(id) : this.key?.querySelector<HTMLElement>(`[data-detail="${CSS.escape(before ?? "")}"] a`);
    place?.focus({ preventScroll: id !== null });
  }

  private show(id: string | null): void {
    this.shown = id;
    for (const leaf of this.all) {
      leaf.classList.toggle("open", leaf.id === id);
      if (leaf.id === id) leaf.scrollTop = 0;
    }
    if (this.key) this.key.hidden = id !== null;
  }
}
