/** What people do with alarms: acknowledge, shelve for a limited time, unshelve. */
import type { ActionBody, Refusal } from '../events.ts';
import type { Ledger } from '../ledger.ts';
import type { State } from '../state.ts';
import { LEAST_SHELF_S, MOST_SHELF_S } from './description.ts';
import { INSTRUMENT_LOST_PRIORITY } from './instrument-lost.ts';
import { newsOf } from './limits.ts';
import { onWatch } from './on-watch.ts';
import { standingAlarm } from './standing.ts';
import { type AlarmNews, tellAlarm } from './tell.ts';

export type AlarmAct = Extract<ActionBody, { type: 'acknowledge-alarm' | 'shelve-alarm' | 'unshelve-alarm' }>;

export function refuseAlarmAct(state: State, body: AlarmAct): Refusal | null {
  if (newsFor(state, body) === null) return 'no-such-alarm';
  const stands = standingAlarm(state.carried.alarms, body)?.stands;
  switch (body.type) {
    case 'acknowledge-alarm':
      return stands === 'unacknowledged' || stands === 'returned-unacknowledged' ? null : 'nothing-to-acknowledge';
    case 'shelve-alarm':
      if (body.reason.trim() === '') return 'no-reason';
      return body.forS >= LEAST_SHELF_S && body.forS <= MOST_SHELF_S ? null : 'shelving-time';
    case 'unshelve-alarm':
      return stands === 'shelved' ? null : 'not-shelved';
  }
}

/** An act that was not refused. */
export function carryOutAlarmAct(state: State, body: AlarmAct, by: string, tUs: number, ledger: Ledger): void {
  const news = newsFor(state, body);
  if (news === null) return;
  switch (body.type) {
    case 'acknowledge-alarm':
      tellAlarm(state, { ...news, state: 'acknowledged', by }, ledger);
      return;
    case 'shelve-alarm': {
      const untilUs = tUs + Math.round(body.forS * 1e6);
      tellAlarm(state, { ...news, state: 'shelved', why: body.reason.trim(), by, untilUs }, ledger);
      return;
    }
    case 'unshelve-alarm':
      tellAlarm(state, { ...news, state: 'unshelved', why: 'by hand', by }, ledger);
      return;
  }
}

/** What the alarm says of itself: as it stands, or as the bench describes it while it is normal; null: there is none. */
function newsFor(state: State, { alarm, source }: AlarmAct): Omit<AlarmNews, 'state'> | null {
  const standing = standingAlarm(state.carried.alarms, { alarm, source });
  if (standing !== undefined) {
    const { priority, message, why, value, limit, unit } = standing;
    return { alarm, source, priority, message, why, value, limit, unit };
  }
  const described = onWatch(state).find(({ id, channel }) => id === alarm && channel === source);
  if (described !== undefined) return { ...newsOf(state, described), why: 'normal' };
  const instrument = alarm === 'instrument-lost' && state.bench.instruments.some(({ id }) => id === source);
  return instrument ? { alarm, source, priority: INSTRUMENT_LOST_PRIORITY, why: 'normal' } : null;
}
