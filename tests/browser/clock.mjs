// A clock for hours that pass in minutes. Both functions run in the page.

/** Before a page's own script: timers of more than half a second and `Date.now` follow a clock that can
 *  run faster. Frames and `performance.now` stay what they are. */
export function clock() {
  const [later, now] = [window.setTimeout, Date.now];
  let [speed, from, at] = [1, now(), now()];
  window.setTimeout = (act, wait = 0, ...rest) => later(act, wait > 500 ? wait / speed : wait, ...rest);
  Date.now = () => at + (now() - from) * speed;
  globalThis.hurry = (faster) => ([speed, from, at] = [faster, now(), Date.now()]);
}

/** From now on so many times as fast. Timers that are set already keep their time. */
export function faster(speed) {
  globalThis.hurry(speed);
  // Whoever waits looks at the clock again at a touch.
  dispatchEvent(new Event("input"));
}
