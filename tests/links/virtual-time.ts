/** Virtual time for code that also waits for promises: one timer at a time, and what it set going settles in between. */
import type { VirtualClock } from '../../src/links/clock.ts';

/** Lets every promise that can go on without time or I/O go on. */
export function settle(): Promise<void> {
  return new Promise((resolve) => setImmediate(resolve));
}

export async function runUntil(clock: VirtualClock, us: number): Promise<void> {
  await settle();
  for (let next = clock.nextUs(); next !== null && next <= us; next = clock.nextUs()) {
    clock.advanceTo(Math.max(next, clock.nowUs()));
    await settle();
  }
  clock.advanceTo(us);
  await settle();
}

export async function runFor(clock: VirtualClock, us: number): Promise<void> {
  await runUntil(clock, clock.nowUs() + us);
}
