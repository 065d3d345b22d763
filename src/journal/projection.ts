/** The rows of `runs` and `outcomes` as they follow from the stream: the writer stores them, the seal recomputes them. */
import { type Carried, carry } from '../core/carried.ts';
import type { InputOf, Outcome } from '../core/events.ts';
import { type Anchor, anchorOf, utcMsAt } from './calendar.ts';
import { canonicalJson } from './codec.ts';
import type { Entry } from './contract.ts';

export interface OutcomeRow {
  readonly event: number;
  readonly run: number;
  readonly seq: number;
  readonly t_us: number;
  readonly utc_ms: number;
  readonly kind: string;
  /** Null in the column where an earlier event already holds this id. */
  readonly action_id: string | null;
  /** The whole outcome as canonical JSON. */
  readonly body: string;
}

export interface RunRow {
  readonly run: number;
  readonly seq: number;
  /** Wall clock at the run's first stamp. */
  readonly utc_ms: number;
  readonly schema: number;
  readonly algorithm: number;
  readonly software: string;
  /** Name of the bench. */
  readonly bench: string;
}

/** What the rows depend on, from everything before. */
export interface Standing {
  readonly carried: Carried;
  /** Of the run in hand; null before its first. */
  readonly anchor: Anchor | null;
}

export interface Projection {
  readonly outcomes: readonly OutcomeRow[];
  readonly run: RunRow | null;
  /** The fold of all outcomes before the run start, where there is one. */
  readonly carriedAtStart: Carried | null;
  /** Set when the run's first anchor is here: it dates all that the run said before. */
  readonly firstAnchor: Anchor | null;
  readonly after: Standing;
}

/** The entries that show outside the blocks. */
export function isLandmark(entry: Entry): boolean {
  return entry.kind === 'outcome' || entry.input.kind === 'run-start' || entry.input.kind === 'wall';
}

/** Rows of the landmarks of one part. */
export function project(run: number, landmarks: readonly Entry[], before: Standing): Projection {
  let { carried, anchor } = before;
  let [runStart, carriedAtStart, firstAnchor]: [RunRow | null, Carried | null, Anchor | null] = [null, null, null];
  const outcomes: OutcomeRow[] = [];
  for (const entry of landmarks) {
    if (entry.kind === 'outcome') {
      outcomes.push(outcomeRow(entry.outcome, utcMsAt(anchor, run, entry.outcome.tUs)));
      carried = carry(carried, entry.outcome);
    } else if (entry.input.kind === 'run-start') {
      runStart = runRow(entry.input);
      carriedAtStart = carried;
      anchor = null;
    } else if (entry.input.kind === 'wall') {
      const first = anchor === null;
      anchor = anchorOf(run, entry.input);
      if (first) firstAnchor = anchor;
    }
  }
  return {
    outcomes: outcomes.map((row) => dated(row, row.t_us, firstAnchor)),
    run: runStart && dated(runStart, 0, firstAnchor),
    carriedAtStart,
    firstAnchor,
    after: { carried, anchor },
  };
}

/** A row that had no date yet, with the one that the run's first anchor gives it. */
export function dated<Row extends OutcomeRow | RunRow>(row: Row, tUs: number, firstAnchor: Anchor | null): Row {
  return row.utc_ms === 0 ? { ...row, utc_ms: utcMsAt(firstAnchor, row.run, tUs) } : row;
}

function outcomeRow(outcome: Outcome, utcMs: number): OutcomeRow {
  const body = canonicalJson(outcome, 'outcome');
  const { event, run, seq, tUs, kind } = outcome;
  const actionId = outcome.kind === 'action' ? (JSON.parse(body) as { actionId: string }).actionId : null;
  return { event, run, seq, t_us: tUs, utc_ms: utcMs, kind, action_id: actionId, body };
}

function runRow({ run, seq, schema, algorithm, software, bench }: InputOf<'run-start'>): RunRow {
  return { run, seq, utc_ms: 0, schema, algorithm, software, bench: bench.name };
}
