/** Alarms: an instrument that gives no sane value any more. States in the words of ISA-18.2. */
import type { Ledger } from './ledger.ts';
import { lostAfterUs } from './limits.ts';
import type { InstrumentState, State } from './state.ts';

export function watchInstruments(state: State, tUs: number, ledger: Ledger): void {
  for (const { id, intervalUs } of state.bench.instruments) {
    const instrument = state.instruments[id];
    if (instrument === undefined) continue;
    const lost = tUs - instrument.saneUs >= lostAfterUs(intervalUs);
    if (lost === instrument.lost) continue;
    instrument.lost = lost;
    ledger.decide({
      kind: 'alarm',
      alarm: 'instrument-lost',
      source: id,
      state: lost ? 'active' : 'returned',
      why: lost ? why(instrument) : 'values again',
    });
  }
}

function why(instrument: InstrumentState): string {
  return instrument.link === 'open' ? 'open, but no value that can be read' : instrument.reason;
}
