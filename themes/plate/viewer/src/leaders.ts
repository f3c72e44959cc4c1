// Letters in the margins, tied to the surface by lines that do not cross: the same rule as the
// printed plate, with a memory, so that letters do not jump from margin to margin.

export interface Anchor {
  readonly id: string;
  readonly x: number;
  readonly y: number;
}

export interface Place {
  readonly id: string;
  readonly left: boolean;
  readonly letterX: number;
  readonly letterY: number;
  readonly kneeX: number;
}

export interface Sheet {
  readonly width: number;
  readonly height: number;
  readonly inset: number;
  readonly knee: number;
  readonly spacing: number;
}

/** How far past the middle a point must go before its letter changes margin. */
const RELUCTANCE = 0.06;

export function place(anchors: readonly Anchor[], sheet: Sheet, before: ReadonlyMap<string, boolean>): Place[] {
  const middle = sheet.width / 2;
  const sides = anchors.map((anchor) => {
    const was = before.get(anchor.id);
    const past = (anchor.x - middle) / sheet.width;
    return was !== undefined && Math.abs(past) < RELUCTANCE ? was : past < 0;
  });
  relieve(anchors, sheet, sides);
  return [true, false].flatMap((left) => column(anchors.filter((_, i) => sides[i] === left), left, sheet));
}

/** Moves letters to the other margin while one has more than it can hold. */
function relieve(anchors: readonly Anchor[], sheet: Sheet, sides: boolean[]): void {
  const room = Math.max(1, Math.floor((sheet.height - sheet.spacing) / sheet.spacing));
  for (const side of [true, false]) {
    const here = anchors.map((_, i) => i).filter((i) => sides[i] === side);
    const free = Math.max(0, room - (anchors.length - here.length));
    const surplus = Math.min(here.length - room, free);
    here.sort((a, b) => Math.abs(anchors[a]!.x - sheet.width / 2) - Math.abs(anchors[b]!.x - sheet.width / 2));
    for (const index of here.slice(0, Math.max(0, surplus))) sides[index] = !side;
  }
}

function column(anchors: readonly Anchor[], left: boolean, sheet: Sheet): Place[] {
  const order = [...anchors].sort((a, b) => a.y - b.y || (a.id < b.id ? -1 : 1));
  const heights = spread(order.map((a) => a.y), sheet);
  const kneeX = left ? sheet.knee : sheet.width - sheet.knee;
  const letterX = left ? sheet.inset : sheet.width - sheet.inset;
  uncross(order, heights, kneeX);
  return order.map((anchor, i) => ({ id: anchor.id, left, letterX, letterY: heights[i]!, kneeX }));
}

/** Heights as near as possible to those wanted, the spacing apart (pool adjacent violators). */
function spread(wanted: readonly number[], sheet: Sheet): number[] {
  const margin = sheet.spacing / 2;
  const room = sheet.height - 2 * margin;
  const step = wanted.length > 1 ? Math.min(sheet.spacing, room / (wanted.length - 1)) : sheet.spacing;
  const blocks: { sum: number; count: number }[] = [];
  wanted.forEach((y, i) => {
    blocks.push({ sum: y - i * step, count: 1 });
    for (let b = blocks.length - 1; b > 0; b--) {
      const [above, below] = [blocks[b - 1]!, blocks[b]!];
      if (above.sum / above.count <= below.sum / below.count) break;
      blocks.splice(b - 1, 2, { sum: above.sum + below.sum, count: above.count + below.count });
    }
  });
  const highest = Math.max(margin, sheet.height - margin - (wanted.length - 1) * step);
  return blocks
    .flatMap((block) => Array<number>(block.count).fill(Math.min(highest, Math.max(margin, block.sum / block.count))))
    .map((base, i) => base + i * step);
}

/** Exchanges letters while two lines cross; each exchange shortens them, so it comes to an end. */
function uncross(order: Anchor[], heights: readonly number[], kneeX: number): void {
  for (let round = 0; round <= order.length * order.length; round++) {
    let changed = false;
    for (let i = 0; i < order.length; i++) {
      for (let j = i + 1; j < order.length; j++) {
        if (crosses([kneeX, heights[i]!], order[i]!, [kneeX, heights[j]!], order[j]!)) {
          [order[i], order[j]] = [order[j]!, order[i]!];
          changed = true;
        }
      }
    }
    if (!changed) return;
  }
}

export function crosses(a: readonly [number, number], p: Anchor, b: readonly [number, number], q: Anchor): boolean {
  const turn = (ax: number, ay: number, bx: number, by: number, cx: number, cy: number) =>
    (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
  const apart = (s: number, t: number) => (s > 0 && t < 0) || (s < 0 && t > 0);
  return (
    apart(turn(a[0], a[1], p.x, p.y, b[0], b[1]), turn(a[0], a[1], p.x, p.y, q.x, q.y)) &&
    apart(turn(b[0], b[1], q.x, q.y, a[0], a[1]), turn(b[0], b[1], q.x, q.y, p.x, p.y))
  );
}
