// What a hand, a wheel or a key does. Every gesture has a button and a key: a drag has the steps,
// a drag with two fingers or with Shift has the same steps once moving is chosen, two touches on a place
// have "closer".

import { moved, nearer, type View } from "./view";

/** Asks for a changed view. */
export type Turn = (change: (view: View) => View) => void;

/** What the hand asks of the stage. Places are pixels from the canvas's upper left. */
export interface Wishes {
  readonly home: View;
  readonly turn: Turn;
  /** A drag was let go at this rate, degrees of azimuth and elevation a millisecond. */
  letGo(rate: readonly [number, number]): void;
  goHome(): void;
  /** May take a drag for itself; says whether it did. */
  carry(x: number, y: number): boolean;
  /** May take a touch for itself; says whether it did. */
  mark(x: number, y: number, finger: boolean): boolean;
  /** Two touches on one place. */
  toward(x: number, y: number): void;
  /** Whether drags and arrow keys move the object instead of turning it. */
  moving(): boolean;
  /** Enter; says whether it meant anything. */
  enter(): boolean;
}

/** Degrees of one step by button or key; share of one approach; share of the half height of one move. */
const STEP = 15;
const APPROACH = 1.25;
const ACROSS = 0.2;
/** Degrees of a turn by dragging over the whole width. */
const SWEEP = 220;
/** A pointer that has moved no further than this many pixels has only touched. */
const SLIP = { mouse: 4, touch: 9 };
/** Two touches within this time and distance are one wish, milliseconds and pixels. */
const TWICE = { time: 350, apart: 26 };
/** The rate of a drag is taken from its last moves, milliseconds; one that had stopped has none. */
const LATELY = 90;

export const steps: Readonly<Record<string, (view: View) => View>> = {
  turn_left: (v) => ({ ...v, azimuth: v.azimuth - STEP }),
  turn_right: (v) => ({ ...v, azimuth: v.azimuth + STEP }),
  turn_up: (v) => ({ ...v, elevation: v.elevation + STEP }),
  turn_down: (v) => ({ ...v, elevation: v.elevation - STEP }),
  closer: (v) => ({ ...v, halfHeight: v.halfHeight / APPROACH }),
  further: (v) => ({ ...v, halfHeight: v.halfHeight * APPROACH }),
  move_left: (v) => moved(v, -ACROSS * v.halfHeight, 0),
  move_right: (v) => moved(v, ACROSS * v.halfHeight, 0),
  move_up: (v) => moved(v, 0, -ACROSS * v.halfHeight),
  move_down: (v) => moved(v, 0, ACROSS * v.halfHeight),
};

const ARROWS: Readonly<Record<string, string>> = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down" };
const SIZES: Readonly<Record<string, string>> = { "+": "closer", "=": "closer", "-": "further", _: "further" };

interface Finger {
  x: number;
  y: number;
  readonly startX: number;
  readonly startY: number;
  readonly type: string;
  /** When it was last heard of, milliseconds. */
  time: number;
  dragged: boolean;
}

/** Listens on the canvas. */
export function listen(canvas: HTMLCanvasElement, wishes: Wishes): void {
  // The first two of a kind. A third finger, or a touch beside the mouse, is another's: it is not heard,
  // now or when one of the two is lifted, so that the view cannot jump.
  const fingers = new Map<number, Finger>();
  let trail: { time: number; took: number; azimuth: number; elevation: number }[] = [];
  let touched: { time: number; x: number; y: number } | null = null;
  const place = (x: number, y: number): [number, number] => {
    const box = canvas.getBoundingClientRect();
    return [x - box.left, y - box.top];
  };
  /** From the middle, in half heights. */
  const fromMiddle = (x: number, y: number): [number, number] => {
    const [px, py] = place(x, y);
    const half = canvas.clientHeight / 2;
    return [(px - canvas.clientWidth / 2) / half, (py - half) / half];
  };

  canvas.addEventListener("pointerdown", (event) => {
    const [first] = fingers.values();
    if (fingers.size === 2 || (first && first.type !== event.pointerType) || event.button !== 0) return;
    // A turn that is running out is stopped by the hand.
    wishes.turn((v) => v);
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY, startX: event.clientX, startY: event.clientY, type: event.pointerType, time: event.timeStamp, dragged: false });
    canvas.setPointerCapture(event.pointerId);
    trail = [];
    if (fingers.size === 2) for (const finger of fingers.values()) finger.dragged = true;
  });

  canvas.addEventListener("pointermove", (event) => {
    const finger = fingers.get(event.pointerId);
    if (!finger) return;
    if (!finger.dragged) {
      const slip = finger.type === "touch" ? SLIP.touch : SLIP.mouse;
      if (Math.hypot(event.clientX - finger.startX, event.clientY - finger.startY) <= slip) return;
      finger.dragged = true;
    }
    const before = fingers.size === 2 ? grip(fingers) : null;
    const [dx, dy, took] = [event.clientX - finger.x, event.clientY - finger.y, event.timeStamp - finger.time];
    [finger.x, finger.y, finger.time] = [event.clientX, event.clientY, event.timeStamp];
    if (before) pinch(before, grip(fingers));
    else drag(event, dx, dy, took);
  });

  function drag(event: PointerEvent, dx: number, dy: number, took: number): void {
    if (wishes.moving() || event.shiftKey) {
      const half = canvas.clientHeight / 2;
      wishes.turn((v) => moved(v, (dx / half) * v.halfHeight, (dy / half) * v.halfHeight));
    } else if (!wishes.carry(...place(event.clientX, event.clientY))) {
      const degrees = SWEEP / canvas.clientWidth;
      wishes.turn((v) => ({ ...v, azimuth: v.azimuth - dx * degrees, elevation: v.elevation + dy * degrees }));
      trail.push({ time: event.timeStamp, took, azimuth: -dx * degrees, elevation: dy * degrees });
    }
  }

  /** What two fingers hold stays between them. */
  function pinch(before: Grip, now: Grip): void {
    const ratio = before.apart > 0 && now.apart > 0 ? before.apart / now.apart : 1;
    const half = canvas.clientHeight / 2;
    wishes.turn((v) => {
      const across = moved(v, ((now.x - before.x) / half) * v.halfHeight, ((now.y - before.y) / half) * v.halfHeight);
      return nearer(across, ratio, ...fromMiddle(now.x, now.y), wishes.home);
    });
  }

  canvas.addEventListener("pointerup", (event) => {
    const finger = fingers.get(event.pointerId);
    if (!finger || fingers.size !== 1) return;
    if (!finger.dragged) touch(event);
    const late = trail.filter((move) => event.timeStamp - move.time < LATELY);
    const sum = (of: "took" | "azimuth" | "elevation") => late.reduce((all, move) => all + move[of], 0);
    const time = sum("took");
    if (time > 0) wishes.letGo([sum("azimuth") / time, sum("elevation") / time]);
    trail = [];
  });

  function touch(event: PointerEvent): void {
    const [x, y] = place(event.clientX, event.clientY);
    if (wishes.mark(x, y, event.pointerType === "touch")) {
      touched = null;
    } else if (touched && event.timeStamp - touched.time < TWICE.time && Math.hypot(x - touched.x, y - touched.y) < TWICE.apart) {
      touched = null;
      wishes.toward(x, y);
    } else {
      touched = { time: event.timeStamp, x, y };
    }
  }

  for (const name of ["pointerup", "pointercancel", "lostpointercapture"] as const) {
    canvas.addEventListener(name, (event) => {
      if (fingers.delete(event.pointerId)) trail = [];
    });
  }
  // One finger may scroll the page up and down; two hold the object.
  canvas.addEventListener("touchmove", (event) => event.targetTouches.length > 1 && event.cancelable && event.preventDefault(), { passive: false });
  // The wheel belongs to the page, unless the model has been taken in hand.
  canvas.addEventListener(
    "wheel",
    (event) => {
      if (document.activeElement !== canvas && !event.ctrlKey) return;
      event.preventDefault();
      const ratio = Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * 0.004);
      wishes.turn((v) => nearer(v, ratio, ...fromMiddle(event.clientX, event.clientY), wishes.home));
    },
    { passive: false },
  );
  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const arrow = ARROWS[event.key];
    const step = steps[arrow ? `${wishes.moving() !== event.shiftKey ? "move" : "turn"}_${arrow}` : (SIZES[event.key] ?? "")];
    if (step) wishes.turn(step);
    else if (event.key === "Home") wishes.goHome();
    else if (event.key === "Escape") canvas.blur();
    else if (event.key !== "Enter" || !wishes.enter()) return;
    event.preventDefault();
  });
}

interface Grip {
  readonly x: number;
  readonly y: number;
  readonly apart: number;
}

/** The middle between two fingers, and how far apart they are. */
function grip(fingers: ReadonlyMap<number, Finger>): Grip {
  const [a, b] = [...fingers.values()] as [Finger, Finger];
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, apart: Math.hypot(a.x - b.x, a.y - b.y) };
}
