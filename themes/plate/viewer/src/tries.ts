// How often a lost drawing is begun anew: a device that takes it away again and again is left in peace.

/** Waits before each try, milliseconds. */
const WAITS = [300, 1500, 5000, 15_000];
/** All within this time, milliseconds. */
const WITHIN = 60_000;

export class Tries {
  private times: number[] = [];

  /** How long to wait before the next try, or `null` when there were enough for now. */
  next(now: number): number | null {
    this.times = this.times.filter((time) => now - time < WITHIN);
    const wait = WAITS[this.times.length] ?? null;
    if (wait !== null) this.times.push(now);
    return wait;
  }

  /** The visitor asks: begins to count anew. */
  forget(): void {
    this.times = [];
  }
}

/** After `wait`, or as soon as the canvas may be drawn on again; not while nobody looks. */
export async function chance(canvas: HTMLCanvasElement | null, wait: number): Promise<void> {
  await new Promise<void>((resolve) => {
    setTimeout(resolve, wait);
    canvas?.addEventListener("webglcontextrestored", () => resolve(), { once: true });
  });
  if (document.hidden) await new Promise<void>((resolve) => document.addEventListener("visibilitychange", () => resolve(), { once: true }));
}
