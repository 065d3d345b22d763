/** The outcomes of alarms, and the alarms that stand: all that are not simply normal. */
import { presentAlarm } from '../older-shapes.ts';
import type { AlarmPriority } from './description.ts';
import type { AlarmChange, AlarmState } from './state-machine.ts';

export interface AlarmOutcome {
  readonly kind: 'alarm';
  /** The name of an alarm of the bench file, or a code. */
  readonly alarm: string;
  /** Channel or instrument. */
  readonly source: string;
  /** What happened to it. */
  readonly state: AlarmChange;
  /** The state that it is in since. */
  readonly stands: AlarmState;
  readonly priority: AlarmPriority;
  /** Of its condition; where it was shelved, the reason given. */
  readonly why: string;
  /** What to do; null where nothing is said. */
  readonly message: string | null;
  /** What was measured when it changed, and the limit it is held against, both in `unit` (UCUM); null without a limit. */
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string | null;
  /** Who acknowledged, shelved or unshelved it; null where it went by itself. */
  readonly by: string | null;
  /** Where it was shelved: until when, in µs of the run. */
  readonly untilUs: number | null;
}

/** An alarm that is not normal; survives a process start. */
export interface StandingAlarm extends Omit<AlarmOutcome, 'kind' | 'state' | 'by' | 'untilUs'> {
  /** Whether its condition holds. */
  readonly active: boolean;
  /** The event with which it last became active; where it never was, the one with which it was shelved. */
  readonly sinceEvent: number;
  readonly acknowledgedBy: string | null;
  readonly shelved: { readonly by: string; readonly reason: string; readonly untilUs: number } | null;
}

export function standingAlarm(
  alarms: readonly StandingAlarm[],
  { alarm, source }: Pick<AlarmOutcome, 'alarm' | 'source'>,
): StandingAlarm | undefined {
  return alarms.find((one) => one.alarm === alarm && one.source === source);
}

/** The alarms that stand after one more outcome, in the order in which they came to stand. */
export function alarmsAfter(
  alarms: readonly StandingAlarm[],
  told: AlarmOutcome & { readonly event: number },
): readonly StandingAlarm[] {
  const outcome = presentAlarm(told);
  const before = standingAlarm(alarms, outcome);
  if (outcome.stands === 'normal' || outcome.stands === 'suppressed')
    return before === undefined ? alarms : alarms.filter((one) => one !== before);
  const after = standsAfter(before, outcome, told.event);
  return before === undefined ? [...alarms, after] : alarms.map((one) => (one === before ? after : one));
}

function standsAfter(before: StandingAlarm | undefined, outcome: AlarmOutcome, event: number): StandingAlarm {
  const { alarm, source, state, stands, priority, message, by, untilUs } = outcome;
  const condition = state === 'active' || state === 'returned' || state === 'suppressed' || before === undefined;
  const { why, value, limit, unit } = condition ? outcome : before;
  const active = state === 'active' || (!condition && before.active);
  const begins = state === 'active' && before?.active !== true;
  return {
    ...{ alarm, source, priority, message, why, value, limit, unit, stands, active },
    sinceEvent: begins || before === undefined ? event : before.sinceEvent,
    acknowledgedBy: stands !== 'acknowledged' ? null : state === 'acknowledged' ? by : (before?.acknowledgedBy ?? null),
    shelved:
      stands !== 'shelved'
        ? null
        : state === 'shelved'
          ? { by: by ?? '', reason: outcome.why, untilUs: untilUs ?? 0 }
          : (before?.shelved ?? null),
  };
}
