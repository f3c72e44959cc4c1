// Waits for others on this machine: times that are taken while they work are not the page's.

import { cpus } from "node:os";

/** Idle share of the processors at which a load may begin, over this many milliseconds. */
const IDLE = 0.7;
const SPAN = 300;

const times = () => {
  const all = cpus().map(({ times }) => times);
  const sum = (of) => all.reduce((total, each) => total + of(each), 0);
  return { idle: sum((t) => t.idle), all: sum((t) => t.user + t.nice + t.sys + t.irq + t.idle) };
};

/** Returns once the machine has been quiet for a moment, or after `patience` milliseconds; says whether it was. */
export async function quiet(patience = 2500) {
  const end = Date.now() + patience;
  do {
    const before = times();
    await new Promise((done) => setTimeout(done, SPAN));
    const after = times();
    if ((after.idle - before.idle) / (after.all - before.all) >= IDLE) return true;
  } while (Date.now() < end);
  return false;
}

/** The share of a processor that one busy thread gets at present, at most 1. */
export function share(span = 120) {
  const [start, used] = [performance.now(), process.cpuUsage()];
  while (performance.now() - start < span);
  const { user, system } = process.cpuUsage(used);
  return Math.min(1, (user + system) / 1000 / (performance.now() - start));
}
