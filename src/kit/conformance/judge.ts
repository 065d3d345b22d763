/** How the conformance suite compares what came with what was sent. */
import type { Signals, Tools } from './rig.ts';

/** Null where both are the same; else what is different, in short. */
export function difference(what: string, found: unknown, expected: unknown): string | null {
  const [left, right] = [sorted(found), sorted(expected)];
  if (left === right) return null;
  const at = Array.from(left).findIndex((char, index) => char !== right[index]);
  const from = Math.max(0, at - 20);
  return `${what}: found …${left.slice(from, from + 60)}… where …${right.slice(from, from + 60)}… is expected`;
}

/** How many frames of `expected` are missing where `found` departs from it. */
export function lostOf(found: readonly Signals[], expected: readonly Signals[]): number {
  const [left, right] = [found.map(sorted), expected.map(sorted)];
  const most = Math.min(left.length, right.length);
  let head = 0;
  while (head < most && left[head] === right[head]) head++;
  let tail = 0;
  while (tail < most - head && left.at(-1 - tail) === right.at(-1 - tail)) tail++;
  return right.length - head - tail;
}

/** What was never sent as it came. */
export function notSent(found: readonly Signals[], sent: readonly Signals[]): readonly Signals[] {
  const known = new Set(sent.map(sorted));
  return found.filter((signals) => !known.has(sorted(signals)));
}

export function sum(counts: readonly number[]): number {
  return counts.reduce((total, count) => total + count, 0);
}

/** What the processor needs at the least for this work, µs, in a few goes after one to warm up; never under 2 ms. */
export function costUs({ cpuUs }: Tools, work: () => unknown): number {
  let best = Number.POSITIVE_INFINITY;
  for (let go = 0; go < 5; go++) {
    const startUs = cpuUs();
    work();
    if (go > 0) best = Math.min(best, cpuUs() - startUs);
  }
  return Math.max(best, 2000);
}

/** Null, booleans, numbers, texts, lists and objects without a class of their own, all the way down. */
export function isPlain(value: unknown): boolean {
  if (value === null || ['boolean', 'number', 'string', 'undefined'].includes(typeof value)) return true;
  if (typeof value !== 'object') return false;
  if (Array.isArray(value)) return value.every(isPlain);
  const parent: unknown = Object.getPrototypeOf(value);
  return (parent === Object.prototype || parent === null) && Object.values(value).every(isPlain);
}

function sorted(value: unknown): string {
  return JSON.stringify(value, (_, inner: unknown) =>
    typeof inner === 'object' && inner !== null && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).toSorted(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  );
}
