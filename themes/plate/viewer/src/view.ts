// The camera: orthographic, turning about the vertical. Azimuth 0 looks from +Z, 90 from +X.

import type { Vec } from "./page";

export interface View {
  azimuth: number;
  elevation: number;
  halfHeight: number;
  centre: Vec;
  /** How far the parts are lifted apart: 0 together, 1 wholly. */
  lift: number;
}

export interface Axes {
  readonly right: Vec;
  readonly up: Vec;
  readonly eye: Vec;
}

/** The box around everything. */
export interface Box {
  readonly low: Vec;
  readonly high: Vec;
}

export const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const minus = (a: Vec, b: Vec): Vec => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
/** From a point along a direction. */
export const along = (a: Vec, d: Vec, t: number): Vec => [a[0] + d[0] * t, a[1] + d[1] * t, a[2] + d[2] * t];
const mix = (a: number, b: number, t: number): number => a + (b - a) * t;
const within = (value: number, low: number, high: number): number => Math.min(high, Math.max(low, value));

/** Highest and lowest eye, degrees: straight up and down "up" has no meaning. */
const STEEPEST = 80;
/** Nearest and furthest, as shares of the first view's half height. */
const NEAREST = 0.06;
const FURTHEST = 1.6;

export function axes(view: View): Axes {
  const azimuth = (view.azimuth * Math.PI) / 180;
  const elevation = (view.elevation * Math.PI) / 180;
  const [sa, ca, se, ce] = [Math.sin(azimuth), Math.cos(azimuth), Math.sin(elevation), Math.cos(elevation)];
  return { right: [ca, 0, -sa], up: [-sa * se, ce, -ca * se], eye: [sa * ce, se, ca * ce] };
}

/** Where a point falls, in units of a sheet of this width and height. */
export function project(view: View, point: Vec, width: number, height: number): [number, number] {
  const { right, up } = axes(view);
  const from = minus(point, view.centre);
  const scale = height / 2 / view.halfHeight;
  return [width / 2 + dot(from, right) * scale, height / 2 - dot(from, up) * scale];
}

const size = (halfHeight: number, home: View): number => within(halfHeight, home.halfHeight * NEAREST, home.halfHeight * FURTHEST);

/** The view with the object kept in sight: angles and distance within bounds, and the middle of the
 * picture within the object's box, so that nobody carries the object away. */
export function held(view: View, home: View, box: Box | null): View {
  // Wrapped only when it must be: a wrapped number is another by a hair, and home would not be home.
  const around = view.azimuth < -180 || view.azimuth >= 180;
  return {
    azimuth: around ? ((((view.azimuth + 180) % 360) + 360) % 360) - 180 : view.azimuth,
    elevation: within(view.elevation, -STEEPEST, STEEPEST),
    halfHeight: size(view.halfHeight, home),
    centre: box ? ([0, 1, 2].map((k) => within(view.centre[k]!, box.low[k]!, box.high[k]!)) as unknown as Vec) : view.centre,
    lift: view.lift,
  };
}

/** The object moved across the picture, millimetres to the right and down. */
export function moved(view: View, right: number, down: number): View {
  const directions = axes(view);
  return { ...view, centre: along(along(view.centre, directions.right, -right), directions.up, down) };
}

/** Nearer or further, while what lies at a place of the picture stays there. The place is given from
 * the middle, right and down, in half heights of the picture. */
export function nearer(view: View, ratio: number, right: number, down: number, home: View): View {
  // Bounds first: at the nearest, a pinch must not move the object instead.
  const halfHeight = size(view.halfHeight * ratio, home);
  const less = halfHeight - view.halfHeight;
  return { ...moved(view, right * less, down * less), halfHeight };
}

/** A view between two, the shortest way round; farther off in the middle of a long turn. */
export function between(from: View, to: View, t: number, home: View): View {
  const turn = ((((to.azimuth - from.azimuth + 180) % 360) + 360) % 360) - 180;
  const eased = t * t * (3 - 2 * t);
  const swing = Math.min(1, Math.abs(turn) / 120) * 4 * eased * (1 - eased);
  const halfHeight = Math.exp(mix(Math.log(from.halfHeight), Math.log(to.halfHeight), eased));
  return {
    azimuth: from.azimuth + turn * eased,
    elevation: mix(from.elevation, to.elevation, eased),
    halfHeight: mix(halfHeight, Math.max(halfHeight, home.halfHeight), swing),
    centre: [0, 1, 2].map((k) => mix(from.centre[k]!, to.centre[k]!, eased)) as unknown as Vec,
    lift: mix(from.lift, to.lift, eased),
  };
}

export const same = (a: View, b: View): boolean =>
  a.azimuth === b.azimuth && a.elevation === b.elevation && a.halfHeight === b.halfHeight && a.lift === b.lift && a.centre.every((v, k) => v === b.centre[k]);

/** Word of the side that faces the eye. */
export function side(view: View): string {
  if (view.elevation > 60) return "side_above";
  if (view.elevation < -45) return "side_below";
  const quarter = Math.round(((((view.azimuth % 360) + 360) % 360) / 90)) % 4;
  return ["side_front", "side_right", "side_back", "side_left"][quarter] ?? "side_front";
}
