// Which place of the surface lies under a place of the picture: a ray against the model's triangles, as
// many as there are, since a touch is rare and a hundred thousand take a few milliseconds.

import type { Part } from "./glb";
import type { Vec } from "./page";
import { along, axes, dot, minus, type View } from "./view";

export interface Hit {
  /** Number of the part. */
  readonly part: number;
  /** Where, with the parts together; millimetres. */
  readonly point: Vec;
  /** Cosine between the surface and the eye: 1 facing, 0 edge on. */
  readonly facing: number;
}

/** `right` and `down` are from the picture's middle in half heights; `lifts` as in the view. */
export function pick(parts: readonly Pick<Part, "position" | "index">[], lifts: readonly number[], view: View, right: number, down: number): Hit | null {
  const directions = axes(view);
  const start = along(along(view.centre, directions.right, right * view.halfHeight), directions.up, -down * view.halfHeight);
  let best: Hit | null = null;
  let nearest = -Infinity;
  parts.forEach(({ position, index }, part) => {
    // The part stays and the ray is let down, which is the same and moves one point only.
    const from = along(start, [0, 1, 0], -(lifts[part] ?? 0) * view.lift);
    const [fx, fy] = [dot(from, directions.right), dot(from, directions.up)];
    const count = position.length / 3;
    const [x, y] = [new Float64Array(count), new Float64Array(count)];
    for (let i = 0; i < count; i++) {
      const p: Vec = [position[3 * i]!, position[3 * i + 1]!, position[3 * i + 2]!];
      x[i] = dot(p, directions.right) - fx;
      y[i] = dot(p, directions.up) - fy;
    }
    for (let t = 0; t + 2 < index.length; t += 3) {
      const [a, b, c] = [index[t]!, index[t + 1]!, index[t + 2]!];
      // Twice the areas that the ray cuts off: of one sign where it passes through.
      const [u, v, w] = [x[b]! * y[c]! - x[c]! * y[b]!, x[c]! * y[a]! - x[a]! * y[c]!, x[a]! * y[b]! - x[b]! * y[a]!];
      if ((u < 0 || v < 0 || w < 0) && (u > 0 || v > 0 || w > 0)) continue;
      const area = u + v + w;
      if (area === 0) continue;
      const corner = (i: number): Vec => [position[3 * i]!, position[3 * i + 1]!, position[3 * i + 2]!];
      const [p, q, r] = [corner(a), corner(b), corner(c)];
      const point = [0, 1, 2].map((k) => (p[k]! * u + q[k]! * v + r[k]! * w) / area) as unknown as Vec;
      const near = dot(minus(point, from), directions.eye);
      if (near <= nearest) continue;
      nearest = near;
      const [s, e] = [minus(q, p), minus(r, p)];
      const normal: Vec = [s[1] * e[2] - s[2] * e[1], s[2] * e[0] - s[0] * e[2], s[0] * e[1] - s[1] * e[0]];
      best = { part, point, facing: Math.abs(dot(normal, directions.eye)) / Math.hypot(...normal) };
    }
  });
  return best;
}
