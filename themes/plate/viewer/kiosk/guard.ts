// Keeps visitors on the page: no menus, no dragging, no zoom of the page, no other windows, no way back.

/** Keys that a browser takes for itself, with or without others held down. */
const FOREIGN = /^(F\d+|BrowserBack|BrowserForward|BrowserHome|BrowserSearch|ContextMenu|PrintScreen)$/;

export function guard(): void {
  const prevent = (event: Event) => event.preventDefault();
  for (const name of ["contextmenu", "dragstart", "drop", "dragover", "auxclick", "gesturestart", "gesturechange"]) {
    addEventListener(name, prevent, { capture: true });
  }
  // A long press selects words, which brings up a menu.
  document.addEventListener("selectstart", prevent);
  addEventListener("wheel", (event) => event.ctrlKey && event.preventDefault(), { passive: false, capture: true });
  // Two fingers zoom the page, except on the model, which takes them itself.
  addEventListener(
    "touchmove",
    (event) => {
      if (event.touches.length > 1 && event.cancelable) event.preventDefault();
    },
    { passive: false, capture: true },
  );
  addEventListener(
    "keydown",
    (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey || FOREIGN.test(event.key)) event.preventDefault();
    },
    { capture: true },
  );
  addEventListener(
    "click",
    (event) => {
      if (!(event.ctrlKey || event.metaKey || event.shiftKey || event.altKey || event.button !== 0)) return;
      event.preventDefault();
      event.stopPropagation();
    },
    { capture: true },
  );
}

/** Goes to another page of the screen in place of this one: there is no page to go back to. */
export function goTo(address: string): void {
  location.replace(address);
}
