/** The alarm of an instrument that gives no sane value any more. */
import type { Ledger } from '../ledger.ts';
import { lostAfterUs } from '../limits.ts';
import type { InstrumentState, State } from '../state.ts';
import { tellAlarm } from './tell.ts';

export const INSTRUMENT_LOST_PRIORITY = 'medium';

export function watchInstruments(state: State, tUs: number, ledger: Ledger): void {
  // what is not recorded is not known here: an instrument that talks would be called lost
  if (!state.recording) return;
  for (const { id, intervalUs } of state.bench.instruments) {
    const instrument = state.instruments[id];
    if (instrument === undefined) continue;
    const lost = tUs - instrument.saneUs >= lostAfterUs(intervalUs);
    // lost since before this run: the link has not said anything yet
    if (lost && instrument.lost && instrument.reason === 'starting') continue;
    const why = lost ? whyLost(instrument) : 'values again';
    // said again while it lasts only when something else is the matter by now
    if (lost === instrument.lost && (!lost || why === instrument.lostWhy)) continue;
    instrument.lost = lost;
    instrument.lostWhy = why;
    tellAlarm(
      state,
      {
        alarm: 'instrument-lost',
        source: id,
        state: lost ? 'active' : 'returned',
        priority: INSTRUMENT_LOST_PRIORITY,
        why,
      },
      ledger,
    );
  }
}

/** Time of which nothing was recorded, `lostUs` long, is no silence of an instrument. */
export function excuseSilence(state: State, lostUs: number): void {
  for (const instrument of Object.values(state.instruments)) instrument.saneUs += lostUs;
}

/** A mute instrument is opened anew again and again, which is no news. */
function whyLost({ link, reason }: InstrumentState): string {
  return link === 'open' || reason === 'mute' ? 'open, but no value that can be read' : reason;
}
