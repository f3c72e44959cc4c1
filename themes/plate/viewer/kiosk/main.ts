// A screen in the gallery: rests on a calm tour, begins at a touch, and goes back when nobody is there.

import { Leaves } from "./leaves";
import { Choices } from "./choices";
import { goTo, guard } from "./guard";
import { Watch } from "./idle";
import { count } from "./tally";
import { showTally } from "./tally-page";

/** How long the tour stays with each detail, milliseconds. */
const STAY = 12_000;
/** How long a fresh screen waits before it begins its tour, milliseconds. */
const SETTLE = 4_000;

function begin(screen: HTMLElement): void {
  const seconds = (name: string, otherwise: number) => (Number(screen.dataset[name]) || otherwise) * 1000;
  const start = new URL(screen.dataset["start"] ?? "./", location.href);
  const object = screen.dataset["object"];
  const invitation = document.querySelector<HTMLButtonElement>("[data-begin]");
  const warning = document.querySelector<HTMLElement>("[data-still-there]");
  const left = warning?.querySelector<HTMLElement>("[data-count]");

  guard();
  const choices = new Choices();
  const leaves = new Leaves((id) => {
    if (screen.dataset["tally"] !== undefined && object) count(object, id);
  });
  const shelf = [...document.querySelectorAll<HTMLElement>("[data-shelf] > li")];

  let tour = 0;
  let stop = -1;
  const next = () => {
    const stops = shelf.length || leaves.details.length;
    stop = stops ? (stop + 1) % stops : -1;
    if (shelf.length) shelf.forEach((item, i) => item.classList.toggle("toured", i === stop));
    else leaves.choose(leaves.details[stop] ?? null, false);
    tour = window.setTimeout(next, STAY);
  };

  /** Rests: the details one after another, and an invitation. */
  const rest = () => {
    watch.rest();
    document.documentElement.classList.add("resting");
    // What lies under the invitation cannot be reached.
    screen.inert = true;
    if (invitation) {
      invitation.hidden = false;
      invitation.focus({ preventScroll: true });
    }
    stop = -1;
    clearTimeout(tour);
    tour = window.setTimeout(next, SETTLE);
  };

  /** The body that stands in the gallery. */
  const standing = () => {
    const first = document.querySelector<HTMLInputElement>('input[name="body"]');
    if (!first || first.checked) return;
    first.checked = true;
    first.dispatchEvent(new Event("change", { bubbles: true }));
  };

  const wake = () => {
    clearTimeout(tour);
    standing();
    document.documentElement.classList.remove("resting");
    screen.inert = false;
    for (const item of shelf) item.classList.remove("toured");
    if (invitation) invitation.hidden = true;
    leaves.choose(null, false);
    watch.begin();
  };

  /** The beginning again, as nobody had been there. */
  const anew = () => {
    const same = start.pathname === location.pathname && !choices.any;
    if (!same) return goTo(start.href);
    leaves.choose(null, false);
    standing();
    // The lamp out, and the surface as it is.
    for (const pressed of document.querySelectorAll<HTMLElement>(".hand [aria-pressed='true']")) pressed.click();
    for (const row of document.querySelectorAll(".shown")) row.querySelector<HTMLElement>("button")?.click();
    rest();
  };

  const watch = new Watch({
    after: seconds("idle", 90),
    warning: seconds("warning", 20),
    warn: (seconds) => {
      if (!warning) return;
      warning.hidden = seconds === null;
      if (left) left.textContent = seconds === null ? "" : String(seconds);
    },
    end: anew,
  });

  invitation?.addEventListener("click", wake);
  // Other pages of the screen take this one's place.
  document.addEventListener("click", (event) => {
    const link = event.target instanceof Element ? event.target.closest<HTMLAnchorElement>("a[href]") : null;
    if (!link || event.defaultPrevented) return;
    event.preventDefault();
    // Another language, or from the shelf to an object and back: somebody is there.
    const there = new URL(choices.at(link.href));
    there.searchParams.set("awake", "");
    goTo(there.href);
  });

  if (new URLSearchParams(location.search).has("awake") || location.hash) watch.begin();
  else rest();
}

const screen = document.querySelector<HTMLElement>("[data-kiosk]");
if (screen) begin(screen);
const table = document.querySelector<HTMLElement>("[data-tally-table]");
if (table) showTally(table);
