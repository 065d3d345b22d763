/** Due dates: a fact of the calendar, looked at when the wall clock is told. */
import type { InputOf } from '../events.ts';
import type { Ledger } from '../ledger.ts';
import type { State } from '../state.ts';
import type { Certificate } from './certificate.ts';
import { inForce } from './in-force.ts';

const MS_PER_DAY = 86_400_000;

/** Notes which certificates in force are overdue, and raises or ends their alarm. */
export function watchDueDates(state: State, { utcMs }: InputOf<'wall'>, ledger: Ledger): void {
  for (const { id: channel } of state.bench.channels) {
    const { correction, echo, deadTime, refit } = inForce(state.calibrations, channel);
    for (const certificate of [correction, echo, deadTime, refit])
      if (certificate !== null) watch(state, channel, certificate, utcMs, ledger);
  }
}

function watch(state: State, channel: string, certificate: Certificate, utcMs: number, ledger: Ledger): void {
  const { id, atUtcMs, dueUtcMs } = certificate;
  const was = state.overdue[id] !== undefined;
  const late = utcMs - dueUtcMs;
  if (late > 0) state.overdue[id] = late / Math.max(dueUtcMs - atUtcMs, MS_PER_DAY);
  else delete state.overdue[id];
  if (late > 0 === was) return;
  const days = Math.floor(late / MS_PER_DAY);
  ledger.decide({
    kind: 'alarm',
    alarm: 'calibration-overdue',
    source: channel,
    state: late > 0 ? 'active' : 'returned',
    why:
      late > 0
        ? `certificate ${id} is ${days} ${days === 1 ? 'day' : 'days'} past its date`
        : `certificate ${id} holds`,
  });
}
