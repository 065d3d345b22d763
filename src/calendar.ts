/**
 * Holds the monotonic clock against the wall clock: anchors at start and every hour, and a gap when the two part by
 * more than a second (suspend, or a clock that was set).
 */
import type { NewInput } from './admission.ts';
import type { Clock } from './links/contract.ts';

const CHECK_EVERY_US = 2e6;
const HOUR_US = 3600e6;
const JUMP_MS = 1000;

export function keepCalendar(clock: Clock, admit: (input: NewInput) => void): () => void {
  let offsetMs = clock.utcMs() - clock.nowUs() / 1000;
  let anchoredUs = clock.nowUs();
  let cancel = () => {};
  const anchor = (cause: 'start' | 'hourly' | 'step') => {
    const zone = clock.zone();
    anchoredUs = clock.nowUs();
    admit({ kind: 'wall', utcMs: Math.round(clock.utcMs()), zone: zone.name, offsetMin: zone.offsetMin, cause });
  };
  const check = () => {
    const nowMs = clock.utcMs() - clock.nowUs() / 1000;
    const jumpMs = nowMs - offsetMs;
    offsetMs = nowMs;
    if (Math.abs(jumpMs) > JUMP_MS) {
      const lostUs = Math.max(0, Math.round(jumpMs * 1000));
      admit({ kind: 'gap', cause: 'clock-jump', lostUs, lostFrames: 0, ongoing: false });
      anchor('step');
    } else if (clock.nowUs() - anchoredUs >= HOUR_US) anchor('hourly');
    cancel = clock.at(clock.nowUs() + CHECK_EVERY_US, check);
  };
  anchor('start');
  cancel = clock.at(clock.nowUs() + CHECK_EVERY_US, check);
  return () => cancel();
}
