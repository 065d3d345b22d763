/** Due dates: a fact of the calendar, looked at when the wall clock is told. */
import type { AlarmPriority } from '../alarms/description.ts';
import { tellAlarm } from '../alarms/tell.ts';
import type { InputOf } from '../events.ts';
import type { Ledger } from '../ledger.ts';
import type { State } from '../state.ts';
import type { Certificate } from './certificate.ts';
import { inForce } from './in-force.ts';

const MS_PER_DAY = 86_400_000;
const PRIORITY: AlarmPriority = 'low';

/** Notes which certificates in force are overdue, and raises or ends their alarm. */
export function watchDueDates(state: State, { utcMs }: InputOf<'wall'>, ledger: Ledger): void {
  for (const { id: channel } of state.bench.channels) {
    const { correction, echo, deadTime, refit } = inForce(state.calibrations, channel);
    for (const certificate of [correction, echo, deadTime, refit])
      if (certificate !== null) watch(state, channel, certificate, utcMs, ledger);
  }
  returnRenewed(state, ledger);
}

function watch(state: State, channel: string, certificate: Certificate, utcMs: number, ledger: Ledger): void {
  const { id, atUtcMs, dueUtcMs } = certificate;
  const was = state.overdue[id] !== undefined;
  const late = utcMs - dueUtcMs;
  if (late > 0) state.overdue[id] = late / Math.max(dueUtcMs - atUtcMs, MS_PER_DAY);
  else delete state.overdue[id];
  if (late > 0 === was) return;
  const days = Math.floor(late / MS_PER_DAY);
  const news = {
    alarm: 'calibration-overdue',
    source: channel,
    state: late > 0 ? ('active' as const) : ('returned' as const),
    priority: PRIORITY,
    why:
      late > 0
        ? `certificate ${id} is ${days} ${days === 1 ? 'day' : 'days'} past its date`
        : `certificate ${id} holds`,
  };
  tellAlarm(state, news, ledger);
}

/** An alarm that stood in the run before, of a channel that has another certificate by now. */
function returnRenewed(state: State, ledger: Ledger): void {
  for (const { alarm, source, active } of state.carried.alarms) {
    if (alarm !== 'calibration-overdue' || !active) continue;
    const { correction, echo, deadTime, refit } = inForce(state.calibrations, source);
    const late = [correction, echo, deadTime, refit].some((one) => one !== null && state.overdue[one.id] !== undefined);
    if (late) continue;
    tellAlarm(state, { alarm, source, state: 'returned', priority: PRIORITY, why: 'no certificate is late' }, ledger);
  }
}
