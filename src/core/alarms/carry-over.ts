/**
 * Alarms over a process start. What stood stands, acknowledged or not. A shelf counts µs of its run, so it ends with the
 * run: rather too early than an alarm that nobody hears. An alarm that nobody watches any more has returned.
 */
import type { Ledger } from '../ledger.ts';
import { lostAfterUs } from '../limits.ts';
import type { State } from '../state.ts';
import { WITHIN_LIMIT } from './limit-watch.ts';
import { onWatch } from './on-watch.ts';
import { type StandingAlarm, standingAlarm } from './standing.ts';
import { tellAlarm } from './tell.ts';

export function beginAlarms(state: State, tUs: number, ledger: Ledger): void {
  for (const standing of state.carried.alarms) {
    const { alarm, source, priority, message } = standing;
    const same = { alarm, source, priority, message };
    if (standing.active && !isWatched(state, standing))
      tellAlarm(state, { ...same, state: 'returned', why: 'the bench file does not name it any more' }, ledger);
    if (standing.shelved !== null) tellAlarm(state, { ...same, state: 'unshelved', why: 'a new run began' }, ledger);
  }
  for (const { id, channel } of onWatch(state)) {
    const active = standingAlarm(state.carried.alarms, { alarm: id, source: channel })?.active === true;
    state.limits[id] = { ...WITHIN_LIMIT, active };
  }
  for (const { id, intervalUs } of state.bench.instruments) {
    const standing = standingAlarm(state.carried.alarms, { alarm: 'instrument-lost', source: id });
    const instrument = state.instruments[id];
    if (standing?.active !== true || instrument === undefined) continue;
    // Lost until it gives a value: that the program was started again is no news of it.
    instrument.lost = true;
    instrument.lostWhy = standing.why;
    instrument.saneUs = tUs - lostAfterUs(intervalUs);
  }
}

function isWatched(state: State, { alarm, source }: StandingAlarm): boolean {
  const { bench } = state;
  if (alarm === 'instrument-lost') return bench.instruments.some(({ id }) => id === source);
  if (alarm === 'calibration-overdue' || alarm === 'zero-moved') return bench.channels.some(({ id }) => id === source);
  if (alarm === 'value-lost') return onWatch(state).some(({ channel }) => channel === source);
  return onWatch(state).some(({ id, channel }) => id === alarm && channel === source);
}
