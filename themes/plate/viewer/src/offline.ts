// Keeps the object of this page on the device: says so beforehand, with its size, and how to prevent it.

import type { Page } from "./page";

interface State {
  readonly id: string;
  readonly bytes?: number;
  readonly kept?: boolean;
  readonly failed?: boolean;
}

/** How long a visitor has to say no, milliseconds. */
const GRACE = 6000;
/** Where the refusal of an object is remembered. */
const REFUSED = "counterpart-not-kept ";

export async function offline(page: Page): Promise<void> {
  const place = document.querySelector<HTMLElement>("[data-offline]");
  const { offline: script, object } = place?.dataset ?? {};
  if (!place || !script || !object || !isSecureContext || !("serviceWorker" in navigator)) return;
  const workers = navigator.serviceWorker;
  const { words } = page;
  const refused = (): boolean => localStorage.getItem(REFUSED + object) !== null;
  const saving = (navigator as { connection?: { saveData?: boolean } }).connection?.saveData === true;
  const size = (bytes: number): string =>
    new Intl.NumberFormat(document.documentElement.lang, { maximumFractionDigits: 1 }).format(Math.max(0.1, bytes / 1e6));
  const tell = (message: unknown): void => workers.controller?.postMessage(message) ?? undefined;
  let waiting = 0;

  function say(text: string, ...choices: readonly (readonly [string, () => void])[]): void {
    if (!place) return;
    place.replaceChildren(`${text} `);
    for (const [word, chosen] of choices) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = words(word);
      button.addEventListener("click", chosen);
      place.append(button, " ");
    }
  }

  function keep(): void {
    localStorage.removeItem(REFUSED + object);
    say(words("offline_keeping"));
    tell({ keep: object });
  }

  function refuse(): void {
    clearTimeout(waiting);
    localStorage.setItem(REFUSED + object, "");
    tell({ forget: object });
  }

  workers.addEventListener("message", (event) => {
    const state = event.data as State;
    if (state.id !== object || state.bytes === undefined) return;
    const blanks = { size: size(state.bytes) };
    if (state.kept) say(words("offline_kept"), ["offline_forget", refuse]);
    else if (state.failed) say(words("offline_failed"), ["offline_again", keep]);
    else if (refused() || saving) say(words("offline_offer", blanks), ["offline_keep", keep]);
    else {
      say(words("offline_beforehand", blanks), ["offline_refuse", refuse]);
      clearTimeout(waiting);
      waiting = setTimeout(keep, GRACE);
    }
  });

  /** A newer edition is complete; it is shown when the visitor says so. */
  function newer(registration: ServiceWorkerRegistration): void {
    if (!registration.waiting || !workers.controller) return;
    say(words("offline_newer"), ["offline_show", () => registration.waiting?.postMessage({ show: true })]);
  }

  try {
    const had = workers.controller !== null;
    const registration = await workers.register(script, { updateViaCache: "none" });
    registration.addEventListener("updatefound", () => {
      const { installing } = registration;
      installing?.addEventListener("statechange", () => installing.state === "installed" && newer(registration));
    });
    // The first worker takes over by itself, a later one when it is shown.
    let first = !had;
    workers.addEventListener("controllerchange", () => {
      if (first) tell({ ask: object });
      else location.reload();
      first = false;
    });
    if (registration.waiting && had) newer(registration);
    else tell({ ask: object });
  } catch {
    // Some browsers keep nothing in a private window: the pages work as before.
    place.replaceChildren();
  }
}
