/** What an earlier schema did not say of a bench, as it was meant then. */
import type { AlarmOutcome } from './alarms/standing.ts';
import type { BenchDescription, MeasureDescription } from './description.ts';
import type { Reading } from './events.ts';
import { levelInWords } from './uncertainty/words.ts';

type Older = Omit<BenchDescription, 'circuit' | 'machineStates' | 'vessel' | 'measure'> & {
  readonly circuit?: BenchDescription['circuit'];
  readonly machineStates?: BenchDescription['machineStates'];
  readonly vessel: Omit<NonNullable<BenchDescription['vessel']>, 'tilt'> | null;
  readonly measure: Omit<MeasureDescription, 'referenceFrom' | 'match' | 'probeLag' | 'steady'> & {
    readonly steady: { readonly spreadMm: number };
  };
};

/** How a level was judged before it had a tolerance: by its spread. */
const BEFORE = { confidence: 0.98, settlingUs: 20e6, longestUs: 120e6 };

/**
 * Schema 1 knew no circuit, no states of the machine, no tilt, one reference for all, no match, no lag of the probe, and
 * a spread where there is a tolerance now.
 */
export function presentBench(bench: BenchDescription | Older): BenchDescription {
  const { vessel, measure } = bench;
  const { steady } = measure;
  return {
    ...bench,
    circuit: bench.circuit ?? null,
    machineStates: bench.machineStates ?? [],
    vessel: vessel && { tilt: null, ...vessel },
    measure: {
      referenceFrom: 'bench',
      match: null,
      probeLag: { s: 0, uS: 0 },
      ...measure,
      steady:
        'toleranceMm' in steady ? steady : { ...BEFORE, toleranceMm: steady.spreadMm, wavesMm: 1.5 * steady.spreadMm },
    },
  };
}

type OlderReading = Omit<Reading, 'words' | 'basis'> & Partial<Pick<Reading, 'words' | 'basis'>>;

/** Readings of schema 1 had no words, named no channels, and their lines told the standard uncertainty only. */
export function presentReading(reading: Reading | OlderReading): Reading {
  return {
    ...reading,
    words: reading.words ?? levelInWords(reading.levelMm, reading.U95Mm),
    basis: reading.basis ?? {
      ...{ levelChannel: 'level', temperatureChannel: 'temperature' },
      ...{ compensation: 'not told', calibrations: [] },
    },
    budget: reading.budget.map((line) => ({
      ...{ shared: null, value: line.u, distribution: 'normal', divisor: 1 },
      ...line,
    })),
  };
}

/**
 * Alarms of schema 2 were active or returned and no more: one that returned was over, and none had a priority, a value
 * or a limit.
 */
export function presentAlarm<O extends AlarmOutcome>(outcome: O): O {
  const unsaid: Partial<AlarmOutcome> = {
    stands: outcome.state === 'active' ? 'unacknowledged' : 'normal',
    priority: 'medium',
    ...{ message: null, value: null, limit: null, unit: null, by: null, untilUs: null },
  };
  return { ...unsaid, ...outcome };
}
