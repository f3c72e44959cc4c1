// A straight distance between two places of the model, and how sure it is.

import type { Vec } from "./page";

export interface End {
  /** Number of the part on which it lies. */
  readonly part: number;
  /** Millimetres, with the parts together. */
  readonly point: Vec;
  /** How far the place may lie from the one that was meant, along the surface: half the width of what
   * set it, in millimetres. */
  readonly reach: number;
  /** Farthest that the model strays from the scan anywhere, millimetres. */
  readonly strays: number;
}

export interface Length {
  readonly mm: number;
  readonly uncertainty: number;
}

/** Below this cosine a surface is seen so nearly edge on that the slant is not followed further. */
const SLANT = 0.2;

/** The reach of a touch that is `half` wide in the plane of the picture: on a slanting surface it
 * covers more. */
export const reach = (half: number, facing: number): number => half / Math.max(SLANT, facing);

/**
 * An estimate with coverage factor k = 2, about 95 % (JCGM 100:2008, type B). Each end brings two
 * parts, taken as even between their bounds, hence a third of their square:
 *   – the farthest that this level of the model strays from the scan. Not what 95 % of the surface keep
 *     to: ends are set at rims and edges, and there a reduced model strays most;
 *   – how finely the end could be set: a pixel, or a fingertip.
 * All four count as if they lay along the line. The scan's own uncertainty is not in it: the page on
 * what differs states that one.
 */
export function length(a: End, b: End): Length {
  const mm = Math.hypot(a.point[0] - b.point[0], a.point[1] - b.point[1], a.point[2] - b.point[2]);
  const squares = [a, b].reduce((sum, end) => sum + (end.strays ** 2 + end.reach ** 2) / 3, 0);
  return { mm, uncertainty: 2 * Math.sqrt(squares) };
}

/** Both in figures: the uncertainty rounded up to one place, or to whole millimetres from ten on, and
 * the length to the same place. */
export function figures({ mm, uncertainty }: Length, mark: string): { mm: string; uncertainty: string } {
  const places = uncertainty >= 10 ? 0 : uncertainty >= 0.1 ? 1 : 2;
  const step = 10 ** places;
  const write = (value: number) => value.toFixed(places).replace(".", mark);
  // A hair above a round figure is that figure, not the next.
  return { mm: write(mm), uncertainty: write(Math.ceil(uncertainty * step - 1e-9) / step) };
}
