/** A channel is stale after this many expected intervals without a good value, */
const STALE_INTERVALS = 3;
/** and not sooner than this: of a fast sensor a few values may be lost without anything being missed. */
const STALE_LEAST_US = 600_000;

export function staleAfterUs(intervalUs: number): number {
  return Math.max(STALE_INTERVALS * intervalUs, STALE_LEAST_US);
}

/** The next value of a channel is overdue after this long: irregular timing allowed for. */
export function overdueAfterUs(intervalUs: number): number {
  return 1.7 * intervalUs;
}

/** Without a sane value for this long, an instrument counts as lost: as for stale, and at least two seconds. */
export function lostAfterUs(intervalUs: number): number {
  return Math.max(staleAfterUs(intervalUs), 2e6);
}

/** Status goes out at most this often, unless a gate moved. */
export const STATUS_EVERY_US = 100_000;

/** A stream of frames is judged at most this often: 20 times a second is faster than any surface calms. */
export const JUDGE_EVERY_US = 50_000;
