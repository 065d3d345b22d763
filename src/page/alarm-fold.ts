/** The alarms that stand, after one more event of the feed; its state comes with the event. */
import type { EventMessage, Snapshot } from '../feed/messages.ts';

export type Alarm = Snapshot['alarms'][number];
export type AlarmEvent = Extract<EventMessage['outcome'], { kind: 'alarm' }>;

export function alarmsAfter(alarms: readonly Alarm[], event: AlarmEvent, utc: string): Alarm[] {
  const before = alarms.find(({ alarm, source }) => alarm === event.alarm && source === event.source);
  if (event.stands === 'normal' || event.stands === 'suppressed') return alarms.filter((one) => one !== before);
  const after = standing(before, event, utc);
  return before === undefined ? [...alarms, after] : alarms.map((one) => (one === before ? after : one));
}

function standing(before: Alarm | undefined, event: AlarmEvent, utc: string): Alarm {
  const { alarm, source, state, stands, priority, message, by, untilUs, tUs } = event;
  const condition = before === undefined || state === 'active' || state === 'returned' || state === 'suppressed';
  const { why, value, limit, unit } = condition ? event : before;
  const active = state === 'active' || (!condition && before.active);
  const stood = before?.active === true || state !== 'active' ? before?.utc : undefined;
  const until = new Date(Date.parse(utc) + ((untilUs ?? tUs) - tUs) / 1000).toISOString();
  return {
    ...{ alarm, source, state: stands, active, priority, why, message, value, limit, unit },
    utc: stood ?? utc,
    acknowledgedBy: stands !== 'acknowledged' ? null : state === 'acknowledged' ? by : (before?.acknowledgedBy ?? null),
    shelved:
      stands !== 'shelved'
        ? null
        : state === 'shelved'
          ? { by: by ?? '', reason: event.why, until }
          : (before?.shelved ?? null),
  };
}

const URGENCY: readonly Alarm['priority'][] = ['high', 'medium', 'low'];
const ATTENTION: readonly Alarm['state'][] = ['unacknowledged', 'returned-unacknowledged', 'acknowledged', 'shelved'];

/** What wants somebody first comes first; among equals, the older one. */
export function inOrder(alarms: readonly Alarm[]): Alarm[] {
  return [...alarms].sort(
    (a, b) =>
      ATTENTION.indexOf(a.state) - ATTENTION.indexOf(b.state) ||
      URGENCY.indexOf(a.priority) - URGENCY.indexOf(b.priority) ||
      Date.parse(a.utc) - Date.parse(b.utc),
  );
}

/** The alarm to sound for: the most urgent one that is active and not acknowledged. */
export function toSound(alarms: readonly Alarm[]): Alarm | null {
  return inOrder(alarms).find(({ state }) => state === 'unacknowledged') ?? null;
}
