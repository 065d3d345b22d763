/**
 * A limit is no good while its channel gives nothing to hold against it: a level below what the sensor can see is out of
 * range, and no value is ever below the limit. So a watched channel without a good value is an alarm of its own, as long
 * as its instrument talks; where it does not, that is the alarm.
 */
import { TYPED } from '../description.ts';
import type { Ledger } from '../ledger.ts';
import { lostAfterUs, staleAfterUs } from '../limits.ts';
import type { State } from '../state.ts';
import { standingAlarm } from './standing.ts';
import { tellAlarm } from './tell.ts';

const CODE = 'value-lost';

/** @param watched channels that an alarm holds against its limit just now; a typed one is left to who types. */
export function watchValues(state: State, watched: ReadonlySet<string>, tUs: number, ledger: Ledger): void {
  for (const { id, instrument, intervalUs } of state.bench.channels) {
    const held = state.channels[id];
    if (held === undefined || instrument === TYPED) continue;
    const active = standingAlarm(state.carried.alarms, { alarm: CODE, source: id })?.active === true;
    if (!watched.has(id)) {
      delete state.blindUs[id];
      if (active) tell(state, id, 'suppressed', 'no alarm watches it now', ledger);
      continue;
    }
    if (held.goodUs !== null && tUs - held.goodUs <= staleAfterUs(intervalUs)) {
      delete state.blindUs[id];
      if (active) tell(state, id, 'returned', 'good values again', ledger);
      continue;
    }
    // A value of any quality says that the instrument talks; the first ones after a silence may be doubted.
    if (held.tUs === null || tUs - held.tUs > staleAfterUs(intervalUs)) {
      delete state.blindUs[id];
      continue;
    }
    const sinceUs = state.blindUs[id] ?? tUs;
    state.blindUs[id] = sinceUs;
    if (!active && tUs - sinceUs >= lostAfterUs(intervalUs))
      tell(state, id, 'active', 'no good value: its limits are not watched', ledger);
  }
}

function tell(
  state: State,
  source: string,
  change: 'active' | 'returned' | 'suppressed',
  why: string,
  ledger: Ledger,
): void {
  tellAlarm(state, { alarm: CODE, source, state: change, priority: 'medium', why }, ledger);
}
