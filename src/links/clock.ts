/** Time: the real clock of the running bench, and a virtual one for tests and replay. Nothing else in src reads time. */
import type { Clock } from './contract.ts';

/** Node's timers count milliseconds in 32 bits; a longer wait is made of several. */
const LONGEST_TIMER_MS = 2 ** 31 - 1;

/** µs of the system's monotonic clock since this call; timers never fire early. */
export function realClock(): Clock {
  const origin = process.hrtime();
  const nowUs = (): number => {
    const [s, ns] = process.hrtime(origin);
    return s * 1_000_000 + Math.floor(ns / 1000);
  };
  return {
    nowUs,
    utcMs: () => Date.now(),
    zone: () => ({
      name: Intl.DateTimeFormat().resolvedOptions().timeZone,
      // "+ 0" turns the -0 of UTC into 0
      offsetMin: -new Date().getTimezoneOffset() + 0,
    }),
    at(atUs, run) {
      let timer: NodeJS.Timeout;
      const wait = (): void => {
        const leftMs = Math.ceil((atUs - nowUs()) / 1000);
        timer = setTimeout(due, Math.min(Math.max(leftMs, 0), LONGEST_TIMER_MS));
      };
      const due = (): void => {
        if (nowUs() < atUs) wait();
        else run();
      };
      wait();
      return () => clearTimeout(timer);
    },
    endOfTurn: (run) => void setImmediate(run),
  };
}

/** A clock that stands still until it is told otherwise. */
export interface VirtualClock extends Clock {
  /**
   * Ends the turn, then fires every timer up to then: each at its own time, earliest first, equal times in the order
   * they were set, each in a turn of its own. The present time is allowed: it ends the turn and fires what is due.
   */
  advanceTo(us: number): void;
  /** When the earliest timer is due; null without timers. */
  nextUs(): number | null;
  /** Moves the wall clock alone, as setting the time of day does: by milliseconds, either way. */
  jumpWall(byMs: number): void;
}

interface Timer {
  readonly atUs: number;
  readonly run: () => void;
}

/** Starts at 0 µs and at the given instant of the wall clock. */
export function virtualClock(
  start: { readonly utcMs: number; readonly zone?: { readonly name: string; readonly offsetMin: number } } = {
    utcMs: 0,
  },
): VirtualClock {
  const zone = { name: 'UTC', offsetMin: 0, ...start.zone };
  let now = 0;
  let wallOffsetMs = 0;
  let advancing = false;
  // sorted by time; equal times stay in the order of their setting
  const timers: Timer[] = [];
  const turnEnds: (() => void)[] = [];

  const endTurn = (): void => {
    for (let run = turnEnds.shift(); run !== undefined; run = turnEnds.shift()) run();
  };

  return {
    nowUs: () => now,
    utcMs: () => start.utcMs + wallOffsetMs + Math.floor(now / 1000),
    zone: () => ({ ...zone }),
    at(atUs, run) {
      const timer = { atUs, run };
      const later = timers.findIndex((other) => other.atUs > atUs);
      timers.splice(later === -1 ? timers.length : later, 0, timer);
      return () => {
        const index = timers.indexOf(timer);
        if (index !== -1) timers.splice(index, 1);
      };
    },
    advanceTo(us) {
      if (advancing) throw new Error('advanceTo was called from within a timer: set another timer instead');
      if (!(us >= now)) throw new RangeError(`time does not run backwards: at ${now} µs, asked for ${us} µs`);
      advancing = true;
      try {
        endTurn();
        for (let timer = timers[0]; timer !== undefined && timer.atUs <= us; timer = timers[0]) {
          timers.shift();
          now = Math.max(now, timer.atUs);
          timer.run();
          endTurn();
        }
        now = us;
      } finally {
        advancing = false;
      }
    },
    endOfTurn: (run) => void turnEnds.push(run),
    nextUs: () => timers[0]?.atUs ?? null,
    jumpWall(byMs) {
      wallOffsetMs += byMs;
    },
  };
}
