// What every sheet on which something is written has: drafts while typing, writing to the files, and both
// versions when somebody else has written meanwhile.

import { get, hear, post, Refused, WINDOW, type Draft, type File, type Saved } from "./api";
import { button, h } from "./dom";
import { announce } from "./heard";
import { moment, t } from "./words";

/** A draft is kept so long after the last key, milliseconds. */
const PAUSE = 350;

export interface Written {
  /** The file under which the draft is kept. */
  readonly path: string;
  /** All files that the sheet is made from. */
  readonly files: () => readonly File[];
  /** What has been typed, as text, or `null` when nothing differs from the files. */
  readonly typed: () => string | null;
  /** Takes up what was typed. */
  readonly take: (text: string) => void;
  /** What is to be written. */
  readonly save: () => readonly Saved[];
  /** Said in the history. */
  readonly why: () => string;
  /** Afterwards: the files as they are now. */
  readonly written: () => void | Promise<void>;
  /** Begins anew from the files on the disk. */
  readonly anew: () => void | Promise<void>;
}

export class Sheet {
  readonly notices = h("div", { class: "notices" });
  readonly foot: HTMLElement;
  private readonly state = h("p", { class: "state", role: "status" });
  private readonly writes: HTMLButtonElement;
  private timer = 0;
  private kept: string | null = null;
  private busy = false;
  /** Versions that the keeper has seen and decided to write over, by file. */
  private readonly settled = new Map<string, string | null>();

  constructor(
    private readonly on: Written,
    signal: AbortSignal,
  ) {
    this.writes = button(t("write_files"), () => void this.write(), "do");
    this.foot = h("div", { class: "foot" }, this.writes, button(t("give_up"), () => void this.giveUp()), this.state);
    hear((news) => {
      if (news.changed !== undefined) void this.compare();
    }, signal);
    signal.addEventListener("abort", () => void this.keepNow(true));
    addEventListener("pagehide", () => void this.keepNow(true), { signal });
    document.addEventListener("visibilitychange", () => void (document.hidden && this.keepNow(true)), { signal });
    // Ctrl+S is what hands do.
    addEventListener(
      "keydown",
      (event) => {
        if (event.key !== "s" || !(event.ctrlKey || event.metaKey)) return;
        event.preventDefault();
        void this.write();
      },
      { signal },
    );
  }

  /** Something was typed or chosen. */
  touched(): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.keepNow(false), PAUSE);
    this.state.textContent = t("not_written");
  }

  /** Keeps what is typed now. */
  async keepNow(leaving: boolean): Promise<void> {
    clearTimeout(this.timer);
    const text = this.on.typed();
    if (text === this.kept || (text === null && this.kept === null)) return;
    const base = this.on.files()[0]?.version ?? null;
    await post("draft", { window: WINDOW, path: this.on.path, base, text }, leaving && (text?.length ?? 0) < 60_000).then(
      () => {
        this.kept = text;
        if (!leaving && text !== null) this.state.textContent = t("draft_kept");
      },
      (error: unknown) => {
        if (!leaving) this.state.textContent = sentence(error, t("draft_not_kept"));
        // The desk may come back: nothing typed is let go.
        if (!leaving) this.timer = setTimeout(() => void this.keepNow(false), 1500);
      },
    );
  }

  /** Offers what was typed here, or in a window that is gone. */
  async offer(): Promise<void> {
    const drafts = (await get<Draft[]>("drafts")).filter((draft) => draft.file === this.on.path);
    const own = drafts.find((draft) => draft.window === WINDOW);
    if (own) {
      this.kept = own.text;
      this.on.take(own.text);
      this.state.textContent = t("draft_taken");
      return;
    }
    for (const draft of drafts.reverse()) {
      const notice = h(
        "div",
        { class: "notice" },
        h("p", {}, t("draft_there", { when: moment(draft.at) })),
        button(t("take_up"), () => {
          this.on.take(draft.text);
          notice.remove();
          this.touched();
          void post("draft", { window: draft.window, path: draft.file, base: null, text: null });
        }),
        button(t("let_go"), () => {
          notice.remove();
          void post("draft", { window: draft.window, path: draft.file, base: null, text: null });
        }),
      );
      this.notices.append(notice);
    }
  }

  async write(): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    clearTimeout(this.timer);
    this.state.textContent = t("writing");
    try {
      const files = this.on.save().map((one) => (this.settled.has(one.path) ? { ...one, version: this.settled.get(one.path)! } : one));
      if (files.length > 0) await post("save", { files, why: this.on.why(), window: WINDOW });
      if (this.kept !== null || files.length === 0) await post("draft", { window: WINDOW, path: this.on.path, base: null, text: null });
      this.kept = null;
      this.settled.clear();
      this.notices.replaceChildren();
      this.state.textContent = t("written");
      announce(t("written"));
      await this.on.written();
    } catch (error) {
      this.busy = false;
      if (error instanceof Refused && error.rule === "clash" && error.more) this.both(error.more.file, error.more.yours, error.more.theirs);
      else this.state.textContent = sentence(error, t("desk_gone"));
      void this.keepNow(false);
    }
    this.busy = false;
  }

  private async giveUp(): Promise<void> {
    clearTimeout(this.timer);
    await post("draft", { window: WINDOW, path: this.on.path, base: null, text: null });
    this.kept = null;
    this.settled.clear();
    this.notices.replaceChildren();
    this.state.textContent = t("given_up");
    await this.on.anew();
  }

  /** Whether the files are still those that the sheet was made from. */
  private async compare(): Promise<void> {
    if (this.busy) return;
    const files = this.on.files();
    const all = await Promise.all(files.map((file) => get<File>("file", { path: file.path }).catch(() => null)));
    for (const [i, file] of files.entries()) {
      const now = all[i];
      // Somebody may have written or begun anew while this was asked.
      if (this.on.files()[i] !== file) return;
      if (!now || this.busy || now.version === file.version || this.settled.get(file.path) === now.version) continue;
      if (this.on.typed() === null) {
        await this.on.anew();
        this.state.textContent = t("changed_elsewhere");
      } else {
        const yours = this.on.save().find((one) => one.path === file.path);
        this.both(file.path, yours?.text ?? null, now.version === null ? null : { text: now.text, version: now.version });
      }
      return;
    }
  }

  /** Both versions, side by side. Nothing is written before somebody has chosen. */
  private both(path: string, yours: string | null, theirs: { text: string; version: string } | null): void {
    this.state.textContent = "";
    const id = `both-${path}`;
    for (const old of this.notices.querySelectorAll("[data-both]")) if (old.getAttribute("data-both") === id) old.remove();
    const notice = h(
      "section",
      { class: "notice both", "data-both": id, "aria-label": t("two_versions") },
      h("h2", {}, t("two_versions")),
      h("p", {}, t("two_versions_why", { file: path })),
      h(
        "div",
        { class: "versions" },
        version(t("version_yours"), yours ?? t("version_choices"), theirs?.text ?? ""),
        version(t("version_theirs"), theirs?.text ?? t("version_gone"), yours ?? ""),
      ),
      button(t("keep_mine"), () => {
        this.settled.set(path, theirs?.version ?? null);
        notice.remove();
        void this.write();
      }, "do"),
      button(t("keep_theirs"), () => {
        notice.remove();
        void this.giveUp();
      }),
    );
    this.notices.append(notice);
    announce(t("two_versions_why", { file: path }));
  }
}

/** A text with the lines marked that the other lacks, in form as well as in colour. */
function version(heading: string, text: string, other: string): HTMLElement {
  const known = new Set(other.split("\n"));
  return h(
    "div",
    {},
    h("h3", {}, heading),
    h("pre", { tabindex: 0, "aria-label": heading }, text.split("\n").map((line) => (known.has(line) ? `${line}\n` : h("mark", {}, `${line}\n`)))),
  );
}

export const sentence = (error: unknown, otherwise: string): string => (error instanceof Error && error.message && error instanceof Refused ? error.message : otherwise);
