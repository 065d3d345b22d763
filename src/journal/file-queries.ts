/** What the command line asks of a journal at rest: outcomes by kind and place, and how a run began. */
import type Database from 'better-sqlite3';
import type { InputOf, Outcome } from '../core/events.ts';
import { presentAlarm, presentBench, presentReading } from '../core/older-shapes.ts';
import type { DatedOutcome, Entry } from './contract.ts';
import type { RunRow } from './projection.ts';

export interface OutcomeWanted {
  /** All kinds where none is named. */
  readonly kinds?: readonly Outcome['kind'][];
  /** Only those with a greater event number. */
  readonly after?: number;
  /** Up to this event number, with it. */
  readonly upTo?: number;
}

interface Row {
  readonly event: number;
  readonly utc_ms: number;
  readonly body: string;
}

/** One short statement for every so many: no transaction stays open while the caller thinks. */
const AT_ONCE = 256;

export function* datedOutcomes(
  db: Database.Database,
  { kinds = [], after = 0, upTo = Number.MAX_SAFE_INTEGER }: OutcomeWanted,
): Generator<DatedOutcome> {
  const ofKind = kinds.length === 0 ? '' : `AND kind IN (${kinds.map(() => '?').join(', ')})`;
  const page = db.prepare<unknown[], Row>(
    `SELECT event, utc_ms, body FROM outcomes WHERE event > ? AND event <= ? ${ofKind} ORDER BY event LIMIT ${AT_ONCE}`,
  );
  for (let last = after; ; ) {
    const rows = page.all(last, upTo, ...kinds);
    for (const { utc_ms, body } of rows) yield { utcMs: utc_ms, outcome: presentOutcome(JSON.parse(body) as Outcome) };
    const newest = rows.at(-1);
    if (newest === undefined || rows.length < AT_ONCE) return;
    last = newest.event;
  }
}

/** An outcome as it would be told today, whatever version made it. */
export function presentOutcome(outcome: Outcome): Outcome {
  if (outcome.kind === 'alarm') return presentAlarm(outcome);
  return outcome.kind === 'reading' ? { ...outcome, reading: presentReading(outcome.reading) } : outcome;
}

export interface RunBeginning {
  readonly run: number;
  /** Sequence number of the run start. */
  readonly seq: number;
  /** Wall clock at the run's first stamp; 0 where the run never heard of it. */
  readonly utcMs: number;
  readonly start: InputOf<'run-start'>;
  /** The first that the run was told of the wall clock; null where it was told nothing. */
  readonly wall: InputOf<'wall'> | null;
}

/** @param entries from the run start on. */
export function runBeginning({ run, seq, utc_ms }: RunRow, entries: Iterable<Entry>): RunBeginning | null {
  let start: InputOf<'run-start'> | null = null;
  for (const entry of entries) {
    if (entry.kind !== 'input') continue;
    const { input } = entry;
    if (input.kind === 'run-start') {
      if (start !== null || input.run !== run) break;
      start = { ...input, bench: presentBench(input.bench) };
    } else if (input.kind === 'wall' && start !== null) return { run, seq, utcMs: utc_ms, start, wall: input };
    // A run without a date has no anchor to be looked for.
    if (start !== null && utc_ms === 0) break;
  }
  return start && { run, seq, utcMs: utc_ms, start, wall: null };
}
