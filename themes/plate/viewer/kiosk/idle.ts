// Whether anybody is there. After a while without a touch a warning stands for so long that any touch,
// anywhere, can take it away (WCAG 2.2, success criterion 2.2.1); then the screen begins anew.

const TOUCHES = ["pointerdown", "keydown", "wheel", "input"] as const;

export interface Idle {
  /** Milliseconds. */
  readonly after: number;
  readonly warning: number;
  /** Seconds that are left, once a second while the warning stands; null when it is taken away. */
  warn(left: number | null): void;
  /** Nobody is there. */
  end(): void;
}

export class Watch {
  private last = Date.now();
  private timer = 0;
  private warned = false;
  private paused = true;

  constructor(private readonly idle: Idle) {
    for (const name of TOUCHES) addEventListener(name, () => this.touched(), { capture: true, passive: true });
  }

  /** Begins to wait for nobody. */
  begin(): void {
    this.paused = false;
    this.touched();
  }

  /** While the screen rests, nobody is waited for. */
  rest(): void {
    this.paused = true;
    clearTimeout(this.timer);
    if (this.warned) this.idle.warn(null);
    this.warned = false;
  }

  private touched(): void {
    this.last = Date.now();
    if (this.paused) return;
    if (this.warned) this.idle.warn(null);
    this.warned = false;
    this.wait(this.idle.after);
  }

  private wait(length: number): void {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.look(), length);
  }

  private look(): void {
    // By the clock, not by the number of calls: a busy machine calls late.
    const gone = Date.now() - this.last;
    if (gone < this.idle.after) return this.wait(this.idle.after - gone);
    const left = this.idle.after + this.idle.warning - gone;
    if (left <= 0) {
      this.rest();
      this.idle.end();
      return;
    }
    this.warned = true;
    this.idle.warn(Math.ceil(left / 1000));
    this.wait(Math.min(1000, left));
  }
}
