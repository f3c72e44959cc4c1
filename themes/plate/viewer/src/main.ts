// The viewer begins, once `first` has asked for it: readies the bodies, turns the page between them, follows
// the address.

import { fragment } from "./fragment";
import type { Lamp } from "./lamp";
import { Opened } from "./opened";
import { readPage, type Detail, type Page } from "./page";
import { Stage } from "./stage";
import type { View } from "./view";

function begin(page: Page): void {
  const first = page.bodies[0];
  if (!first) return;
  const home: View = { azimuth: first.azimuth, elevation: first.elevation, halfHeight: first.halfHeight, centre: first.centre, lift: 0 };
  const shared: { now: View; lamp: Lamp | null } = { now: home, lamp: null };
  let chosen: string | null = null;
  // A screen in the gallery has all words on this page, and keeps its address.
  const inside = page.stage.dataset["inside"] !== undefined;

  const stages = page.bodies.map((body) => new Stage(body, page, shared, (id) => choose(id)));
  const visible = (): Stage | undefined => stages.find((s) => s.body.figure.offsetParent !== null) ?? stages[0];

  const opened = inside ? null : new Opened(page.words, (by) => {
    const at = page.details.findIndex((d) => d.id === chosen);
    choose(page.details[(at + by + page.details.length) % page.details.length]?.id ?? null);
  });

  function choose(id: string | null): void {
    chosen = id;
    page.stage.dispatchEvent(new CustomEvent("detailchosen", { detail: id }));
    for (const { id: own, line } of page.details) {
      if (own === id) line.setAttribute("aria-current", "true");
      else line.removeAttribute("aria-current");
      line.querySelector(".key-more")?.remove();
    }
    const detail = page.details.find((d) => d.id === id);
    if (!detail) {
      for (const stage of stages) stage.leave();
      opened?.hide();
      if (location.hash && !inside) history.replaceState(null, "", location.href.split("#")[0]);
      return;
    }
    if (!inside) {
      more(detail);
      history.replaceState(null, "", `#${detail.id}`);
    }
    const now = visible();
    if (now && !detail.bodies.includes(now.body.name)) turnTo(detail.bodies.find((b) => b) ?? "");
    visible()?.approach(detail);
    show();
  }

  /** The words of what is chosen, below the plate that is in sight. */
  function show(): void {
    const [detail, stage] = [page.details.find((d) => d.id === chosen), visible()];
    if (detail && stage) opened?.show(detail, stage.body.figure);
  }

  /** The way to the detail's own page, now that its line moves the eye instead. */
  function more(detail: Detail): void {
    const line = document.createElement("p");
    line.className = "key-more";
    const link = document.createElement("a");
    link.href = detail.href;
    link.textContent = page.words("read_more");
    link.setAttribute("aria-label", `${page.words("read_more")}: ${detail.title}`);
    line.append(link);
    detail.line.append(line);
  }

  function turnTo(name: string): void {
    const radio = page.stage.querySelector<HTMLInputElement>(`input[name="body"][value="${CSS.escape(name)}"]`);
    if (!radio || radio.checked) return;
    radio.checked = true;
    turned();
  }

  function turned(): void {
    const stage = visible();
    stage?.load().then(() => {
      stage.show();
      stage.wake();
    });
    stage?.show();
    show();
  }

  function fromAddress(): void {
    const asked = inside ? (page.stage.dataset["chosen"] ?? "") : fragment();
    const detail = page.details.find((d) => d.id === asked) ?? page.details.find((d) => asked && d.formerly.includes(asked));
    if (detail) choose(detail.id);
  }

  for (const detail of page.details) {
    detail.line.querySelector("a")?.addEventListener("click", (event) => {
      const plain = event.button === 0 && !event.ctrlKey && !event.metaKey && !event.shiftKey && !event.altKey;
      // The second time, the line leads where it always led.
      if (!plain || !visible()?.live || chosen === detail.id) return;
      event.preventDefault();
      choose(detail.id);
      // Of a phone on its side the whole height is the plate's.
      const low = matchMedia("(max-height: 30rem)").matches;
      if (matchMedia("(max-width: 60rem)").matches) (low ? visible()?.body.figure : page.stage)?.scrollIntoView({ block: "start" });
    });
  }
  page.stage.addEventListener("change", turned);
  window.addEventListener("hashchange", fromAddress);
  page.stage.addEventListener("choosedetail", (event) => {
    const id = event instanceof CustomEvent && typeof event.detail === "string" ? event.detail : null;
    choose(id);
    if (!id) visible()?.goHome();
  });

  void visible()?.load().then(fromAddress);
}

const page = readPage(document);
if (page) begin(page);
