// What moves by itself: a flight to another view, and a turn that runs out when the hand lets go.
// Both come to an end at a time that is known beforehand; nothing is drawn after it.

import { between, type View } from "./view";

/** Where the eye is at a time, and whether it has arrived. */
export type Motion = (now: number) => { readonly view: View; readonly over: boolean };

/** A turn runs out within this time, milliseconds. */
export const RUN = 450;
/** Fastest turn that is carried on, degrees a millisecond: forty-five degrees until it rests. */
export const FASTEST = 0.2;

export function flight(from: View, to: View, start: number, length: number, home: View): Motion {
  return (now) => {
    const t = Math.min(1, Math.max(0, (now - start) / length));
    return t < 1 ? { view: between(from, to, t, home), over: false } : { view: to, over: true };
  };
}

/** Goes on at `rate`, degrees a millisecond of azimuth and elevation, slowing evenly to rest. */
export function runOut(from: View, rate: readonly [number, number], start: number): Motion {
  const speed = Math.hypot(...rate);
  const kept = speed > FASTEST ? FASTEST / speed : 1;
  return (now) => {
    const t = Math.min(RUN, Math.max(0, now - start));
    // The way gone at a speed that falls evenly to nought at the end.
    const way = kept * (t - (t * t) / (2 * RUN));
    return {
      view: { ...from, azimuth: from.azimuth + rate[0] * way, elevation: from.elevation + rate[1] * way },
      over: t >= RUN,
    };
  };
}

/** Whether the visitor wants no motion. */
export const calm = (): boolean => matchMedia("(prefers-reduced-motion: reduce)").matches;
