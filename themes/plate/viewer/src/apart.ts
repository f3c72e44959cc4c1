// The parts of a body lifted apart: the lowest stays, each of the others goes straight up, as a lid or a
// pestle is lifted, until it stands clear above what was beneath it.

import type { Part } from "./glb";
import type { Vec } from "./page";
import type { Box } from "./view";

/** Room left between two parts, as a share of the whole body's height. */
const ROOM = 0.06;

export function box({ position }: Pick<Part, "position">): Box {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < position.length; i++) {
    low[i % 3] = Math.min(low[i % 3]!, position[i]!);
    high[i % 3] = Math.max(high[i % 3]!, position[i]!);
  }
  return { low: low as unknown as Vec, high: high as unknown as Vec };
}

/** The box around all parts, each moved up by its share of the lift. */
export function around(boxes: readonly Box[], lifts: readonly number[], lift: number): Box {
  const all = (side: "low" | "high", pick: (...values: number[]) => number) =>
    [0, 1, 2].map((k) => pick(...boxes.map((b, i) => b[side][k]! + (k === 1 ? lifts[i]! * lift : 0)))) as unknown as Vec;
  return { low: all("low", Math.min), high: all("high", Math.max) };
}

/** How far each part is lifted when all stand apart, millimetres. */
export function lifts(boxes: readonly Box[]): number[] {
  const out = boxes.map(() => 0);
  if (boxes.length < 2) return out;
  const whole = around(boxes, out, 0);
  const room = (whole.high[1] - whole.low[1]) * ROOM;
  const order = boxes.map((_, i) => i).sort((a, b) => boxes[a]!.low[1] - boxes[b]!.low[1] || boxes[a]!.high[1] - boxes[b]!.high[1]);
  let top = -Infinity;
  for (const i of order) {
    const { low, high } = boxes[i]!;
    out[i] = top === -Infinity ? 0 : Math.max(0, top + room - low[1]);
    top = Math.max(top, high[1] + out[i]!);
  }
  return out;
}
