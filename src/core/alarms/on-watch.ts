/** What is held against a limit just now: the alarms of the bench file, and what the steps of the open job hold. */
import type { HoldDescription } from '../job/procedure.ts';
import type { State } from '../state.ts';
import type { AlarmDescription } from './description.ts';

/** Name of the alarm of a hold; alarms of a bench file have no colon in theirs. */
const HOLD = 'hold:';

/** `during`: steps of the job in which it is armed; absent: always. */
export type OnWatch = AlarmDescription & { readonly during?: readonly string[] };

type Watching = Pick<State, 'bench' | 'carried'>;

export function onWatch({ bench, carried }: Watching): readonly OnWatch[] {
  const holds = carried.progress === null ? [] : (carried.procedure?.holds ?? []);
  if (holds.length === 0) return bench.alarms ?? [];
  const measured = holds.filter(({ channel, quantity }) =>
    bench.channels.some((one) => one.id === channel && one.quantity === quantity),
  );
  return [...(bench.alarms ?? []), ...measured.map(alarmOf)];
}

function alarmOf({ id, channel, side, limit, deadband, onDelayUs, words, during }: HoldDescription): OnWatch {
  return {
    ...{ id: `${HOLD}${id}`, channel, limit, deadband, onDelayUs, offDelayUs: 0, priority: 'high', message: words },
    // What must stay below is wrong above.
    side: side === 'below' ? 'above' : 'below',
    during,
  };
}

export function isHold(alarm: string): boolean {
  return alarm.startsWith(HOLD);
}

/** Holds that are broken, by their own names. */
export function brokenHolds({ carried }: Pick<State, 'carried'>): readonly string[] {
  return carried.alarms.flatMap(({ alarm, active }) => (active && isHold(alarm) ? [alarm.slice(HOLD.length)] : []));
}
