/**
 * Alarms of the bench file: channels held against their limits, and shelving that comes to its end.
 *
 * Only good values count. A channel that is stale neither raises nor clears its alarm: what stood stands, and a delay
 * that ran begins anew with the next good value; that no good value comes is an alarm of its own.
 */
import { INSIDE_UNITS } from '../description.ts';
import type { Ledger } from '../ledger.ts';
import { staleAfterUs } from '../limits.ts';
import { machineOn } from '../machine.ts';
import type { State } from '../state.ts';
import type { AlarmDescription } from './description.ts';
import { delayEndsUs, WITHIN_LIMIT, watchLimit, withoutValue } from './limit-watch.ts';
import { isHold, type OnWatch, onWatch } from './on-watch.ts';
import { type AlarmOutcome, standingAlarm } from './standing.ts';
import { tellAlarm } from './tell.ts';
import { watchValues } from './value-lost.ts';
import { limitWords } from './words.ts';

export function watchLimits(state: State, tUs: number, ledger: Ledger): void {
  // what is not recorded is not decided
  if (!state.recording) return;
  const on = onWatch(state);
  const watched = new Set<string>();
  for (const alarm of on) if (watchOne(state, alarm, tUs, ledger)) watched.add(alarm.channel);
  endHolds(state, on, ledger);
  watchValues(state, watched, tUs, ledger);
  for (const { alarm, source, priority, message, shelved } of state.carried.alarms)
    if (shelved !== null && tUs >= shelved.untilUs)
      tellAlarm(state, { alarm, source, priority, message, state: 'unshelved', why: 'its time is over' }, ledger);
}

/** After a stretch of which nothing is known no delay goes on. */
export function restartDelays(state: State): void {
  for (const [id, watch] of Object.entries(state.limits)) state.limits[id] = withoutValue(watch);
  state.blindUs = {};
}

/** When a delay or a shelving ends; infinity where none runs. */
export function alarmsWakeUs(state: State): number {
  let wake = Number.POSITIVE_INFINITY;
  if (!state.recording) return wake;
  for (const alarm of onWatch(state))
    wake = Math.min(wake, delayEndsUs(alarm, state.limits[alarm.id] ?? WITHIN_LIMIT) ?? wake);
  for (const { shelved } of state.carried.alarms) wake = Math.min(wake, shelved?.untilUs ?? wake);
  return wake;
}

/** What an alarm of the bench file says of itself in every outcome. */
export function newsOf(
  state: State,
  { id, channel, priority, message, limit }: AlarmDescription,
): Pick<AlarmOutcome, 'alarm' | 'source' | 'priority' | 'message' | 'value' | 'limit' | 'unit'> {
  const described = state.bench.channels.find((one) => one.id === channel);
  const held = state.channels[channel];
  return {
    alarm: id,
    source: channel,
    ...{ priority, message, limit },
    value: held === undefined || held.goodUs === null ? null : held.good,
    unit: described === undefined ? null : INSIDE_UNITS[described.quantity],
  };
}

/** Holds of a job that is over. */
function endHolds(state: State, watched: readonly OnWatch[], ledger: Ledger): void {
  for (const { alarm, source, priority, message } of state.carried.alarms)
    if (isHold(alarm) && !watched.some(({ id }) => id === alarm)) {
      delete state.limits[alarm];
      tellAlarm(state, { alarm, source, priority, message, state: 'suppressed', why: 'the job is over' }, ledger);
    }
}

/** Returns whether it is armed. */
function watchOne(state: State, alarm: OnWatch, tUs: number, ledger: Ledger): boolean {
  const before = state.limits[alarm.id] ?? WITHIN_LIMIT;
  const channel = state.bench.channels.find(({ id }) => id === alarm.channel);
  const held = state.channels[alarm.channel];
  if (channel === undefined || held === undefined) return false;
  const elsewhere = machineElsewhere(state, alarm);
  const unarmed = elsewhere === null ? inOtherStep(state, alarm) : `not watched while the machine is ${elsewhere}`;
  if (unarmed !== null) {
    suppress(state, alarm, unarmed, ledger);
    return false;
  }
  if (held.goodUs === null || tUs - held.goodUs > staleAfterUs(channel.intervalUs)) {
    state.limits[alarm.id] = withoutValue(before);
    return true;
  }
  const after = watchLimit(alarm, before, held.good, tUs);
  state.limits[alarm.id] = after;
  if (after.active === before.active) return true;
  const why = limitWords(alarm, held.good, INSIDE_UNITS[channel.quantity], after.active);
  tellAlarm(state, { ...newsOf(state, alarm), state: after.active ? 'active' : 'returned', why }, ledger);
  return true;
}

/** The state that the machine is said to be in, where the alarm is not for it. */
function machineElsewhere({ bench, carried }: State, { whileMachine }: AlarmDescription): string | null {
  const { stated } = machineOn(bench, carried.machine);
  return stated === null || whileMachine === undefined || whileMachine.includes(stated) ? null : stated;
}

function inOtherStep({ carried }: State, { during }: OnWatch): string | null {
  const at = carried.progress?.at ?? null;
  return during === undefined || (at !== null && during.includes(at)) ? null : 'not watched in this step';
}

/** By design: outside the states of the machine that it is meant for, an alarm neither stands nor comes. */
function suppress(state: State, alarm: AlarmDescription, why: string, ledger: Ledger): void {
  state.limits[alarm.id] = WITHIN_LIMIT;
  const standing = standingAlarm(state.carried.alarms, { alarm: alarm.id, source: alarm.channel });
  if (standing === undefined || (standing.stands === 'shelved' && !standing.active)) return;
  tellAlarm(state, { ...newsOf(state, alarm), state: 'suppressed', why }, ledger);
}
