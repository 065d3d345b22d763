/** Rows of an export: the same facts for CSV and for JSON lines. */
import { INSIDE_UNITS, type QuantityKind } from '../core/description.ts';
import type { Outcome, Reading, Sample } from '../core/events.ts';
import type { Cell } from './csv.ts';
import { isoUtc } from './times.ts';

export type Row = Readonly<Record<string, unknown>>;

export const SAMPLE_COLUMNS = ['utc', 'run', 't_us', 'seq', 'channel', 'value', 'unit', 'quality', 'reason'] as const;

/** `value` in `unit`, a UCUM code; `seq` is the frame that it came from. */
export function sampleRow(utcMs: number, run: number, sample: Sample, quantity: QuantityKind): Row {
  const { tUs, seq, channel, value, quality, reason } = sample;
  return { utc: isoUtc(utcMs), run, t_us: tUs, seq, channel, value, unit: INSIDE_UNITS[quantity], quality, reason };
}

export const READING_COLUMNS = [
  'utc',
  'run',
  'event',
  'reading',
  'job',
  'level_mm',
  'reference_c',
  'U95_mm',
  'coverage_factor',
  'raw_level_mm',
  'temperature_c',
  'volume_l',
  'volume_U95_l',
  'machine_state',
  'used',
  'set_aside',
  'first_seq',
  'last_seq',
  'words',
] as const;

export function readingRow(utcMs: number, { run, event }: Outcome, reading: Reading): Row {
  return {
    utc: isoUtc(utcMs),
    run,
    event,
    reading: reading.id,
    job: reading.job,
    level_mm: reading.levelMm,
    reference_c: reading.referenceC,
    U95_mm: reading.U95Mm,
    coverage_factor: reading.coverageFactor,
    raw_level_mm: reading.rawLevelMm,
    temperature_c: reading.temperatureC,
    volume_l: reading.volumeL,
    volume_U95_l: reading.volumeU95L,
    machine_state: reading.machineState,
    used: reading.used,
    set_aside: reading.setAside,
    first_seq: reading.firstSeq,
    last_seq: reading.lastSeq,
    words: `${reading.words.level}, ${reading.words.sure}`,
  };
}

export const OUTCOME_COLUMNS = ['utc', 'run', 'event', 'kind', 'body'] as const;

/** `body` is all that the outcome says, as JSON. */
export function outcomeRow(utcMs: number, outcome: Outcome): Row {
  const { run, event, kind } = outcome;
  return { utc: isoUtc(utcMs), run, event, kind, body: outcome };
}

/** Cells of a row in the order of its columns. */
export function cellsOf(row: Row, columns: readonly string[]): Cell[] {
  return columns.map((column) => {
    const value = row[column] ?? null;
    return typeof value === 'object' && value !== null ? JSON.stringify(value) : (value as Cell);
  });
}
