/**
 * Notices when this process did not run for a while: the computer slept (the wall clock went on, the monotonic one did
 * not), or the process was stopped or held up (its timer came late). What is read right after has waited in the port
 * for an unknown time, so it must not be stamped with the present.
 */
import type { Clock } from './contract.ts';

const BEAT_US = 500_000;
const PAUSE_US = 1_000_000;
/** How long it takes at most to read what waited. */
const CATCH_UP_US = 100_000;

export interface Pauses {
  /** Whether a chunk that arrives now may have waited through a pause. */
  justOver(): boolean;
  stop(): void;
}

export function watchPauses(clock: Clock): Pauses {
  let beatUs = clock.nowUs();
  let beatUtcMs = clock.utcMs();
  let caughtUpUs = beatUs;
  let cancel = (): void => {};

  const look = (nowUs: number): void => {
    const lateUs = nowUs - (beatUs + BEAT_US);
    const sleptUs = (clock.utcMs() - beatUtcMs) * 1000 - (nowUs - beatUs);
    if (lateUs <= PAUSE_US && sleptUs <= PAUSE_US) return;
    caughtUpUs = nowUs + CATCH_UP_US;
    mark(nowUs); // each pause once
  };
  const mark = (nowUs: number): void => {
    beatUs = nowUs;
    beatUtcMs = clock.utcMs();
  };
  const beat = (): void => {
    const nowUs = clock.nowUs();
    look(nowUs);
    mark(nowUs);
    cancel = clock.at(nowUs + BEAT_US, beat);
  };
  beat();
  return {
    justOver() {
      const nowUs = clock.nowUs();
      look(nowUs);
      return nowUs < caughtUpUs;
    },
    stop: () => cancel(),
  };
}
