// What a hand, a wheel or a key does. Every gesture has a button and a key.

import type { View } from "./view";

/** Asks for a changed view. */
export type Turn = (change: (view: View) => View) => void;

/** Degrees of one step by button or key; share of one approach. */
const STEP = 15;
const APPROACH = 1.25;
/** Degrees of a turn by dragging over the whole width. */
const SWEEP = 220;

export const steps: Readonly<Record<string, (view: View) => View>> = {
  turn_left: (v) => ({ ...v, azimuth: v.azimuth - STEP }),
  turn_right: (v) => ({ ...v, azimuth: v.azimuth + STEP }),
  turn_up: (v) => ({ ...v, elevation: v.elevation + STEP }),
  turn_down: (v) => ({ ...v, elevation: v.elevation - STEP }),
  closer: (v) => ({ ...v, halfHeight: v.halfHeight / APPROACH }),
  further: (v) => ({ ...v, halfHeight: v.halfHeight * APPROACH }),
};

const KEYS: Readonly<Record<string, string>> = {
  ArrowLeft: "turn_left",
  ArrowRight: "turn_right",
  ArrowUp: "turn_up",
  ArrowDown: "turn_down",
  "+": "closer",
  "=": "closer",
  "-": "further",
  _: "further",
};

/** Listens on the canvas; `home` goes back to the first view. `carry` may take a drag for itself: it is
 * given the place on the canvas, and says whether it did. */
export function listen(canvas: HTMLCanvasElement, turn: Turn, home: () => void, carry: (x: number, y: number) => boolean): void {
  const pointers = new Map<number, { x: number; y: number }>();
  let apart = 0;
  canvas.addEventListener("pointerdown", (event) => {
    pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    canvas.setPointerCapture(event.pointerId);
    apart = spread(pointers);
  });
  canvas.addEventListener("pointermove", (event) => {
    const last = pointers.get(event.pointerId);
    if (!last) return;
    const [dx, dy] = [event.clientX - last.x, event.clientY - last.y];
    pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (pointers.size === 1) {
      const box = canvas.getBoundingClientRect();
      if (carry(event.clientX - box.left, event.clientY - box.top)) return;
      const degrees = SWEEP / canvas.clientWidth;
      turn((v) => ({ ...v, azimuth: v.azimuth - dx * degrees, elevation: v.elevation + dy * degrees }));
    } else if (pointers.size === 2) {
      const now = spread(pointers);
      const ratio = apart > 0 && now > 0 ? apart / now : 1;
      apart = now;
      turn((v) => ({ ...v, halfHeight: v.halfHeight * ratio }));
    }
  });
  for (const name of ["pointerup", "pointercancel", "lostpointercapture"] as const) {
    canvas.addEventListener(name, (event) => {
      pointers.delete(event.pointerId);
      apart = spread(pointers);
    });
  }
  // The wheel belongs to the page, unless the model has been taken in hand.
  canvas.addEventListener(
    "wheel",
    (event) => {
      if (document.activeElement !== canvas && !event.ctrlKey) return;
      event.preventDefault();
      turn((v) => ({ ...v, halfHeight: v.halfHeight * Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * 0.004) }));
    },
    { passive: false },
  );
  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = steps[KEYS[event.key] ?? ""];
    if (step) turn(step);
    else if (event.key === "Home") home();
    else if (event.key === "Escape") canvas.blur();
    else return;
    event.preventDefault();
  });
}

function spread(pointers: ReadonlyMap<number, { x: number; y: number }>): number {
  const [a, b] = [...pointers.values()];
  return a && b ? Math.hypot(a.x - b.x, a.y - b.y) : 0;
}
