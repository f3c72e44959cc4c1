// The model as a body in space: its parts, how far each is lifted, and what lies where.

import { around, box, lifts } from "./apart";
import type { Model, Part } from "./glb";
import type { Detail, Vec } from "./page";
import { pick, type Hit } from "./pick";
import { along, type Box, type View } from "./view";

export class Solid {
  private readonly boxes: readonly Box[];
  /** How far each part rises when all stand apart, millimetres. */
  private readonly rises: readonly number[];
  private readonly parts = new Map<string, number>();

  constructor(
    readonly model: Model,
    readonly level: number,
  ) {
    this.boxes = model.parts.map(box);
    this.rises = lifts(this.boxes);
  }

  /** Whether there is anything to lift apart. */
  get separable(): boolean {
    return this.rises.some((rise) => rise > 0);
  }

  /** The box around everything, as far as the parts are apart. */
  private box(lift: number): Box {
    return around(this.boxes, this.rises, lift);
  }

  /** The box to keep within; before the model has come there is none. */
  within(lift: number): Box | null {
    return this.boxes.length > 0 ? this.box(lift) : null;
  }

  /** From where everything is seen, from whichever side. */
  whole(home: View, lift: number): Pick<View, "halfHeight" | "centre"> {
    const more = ((this.box(1).high[1] - this.box(0).high[1]) * lift) / 2;
    return { halfHeight: home.halfHeight + more, centre: along(home.centre, [0, 1, 0], more) };
  }

  /** The place of the surface under a place of the picture, from its middle in half heights. */
  under(view: View, right: number, down: number): Hit | null {
    return pick(this.model.parts, this.rises, view, right, down);
  }

  /** A point where its part is now. */
  raised(point: Vec, part: number, lift: number): Vec {
    return along(point, [0, 1, 0], (this.rises[part] ?? 0) * lift);
  }

  /** The part on which a detail lies: the one that comes nearest to it. */
  partOf({ id, anchor }: Detail): number {
    const known = this.parts.get(id);
    if (known !== undefined) return known;
    const off = this.model.parts.map((part) => nearest(part, anchor));
    const found = off.indexOf(Math.min(...off));
    this.parts.set(id, found);
    return found;
  }
}

/** Square of the distance to the nearest vertex. */
function nearest({ position }: Part, [x, y, z]: Vec): number {
  let least = Infinity;
  for (let i = 0; i + 2 < position.length; i += 3) {
    least = Math.min(least, (position[i]! - x) ** 2 + (position[i + 1]! - y) ** 2 + (position[i + 2]! - z) ** 2);
  }
  return least;
}
