/**
 * What goes into a sealed job: whole parts of the journal, so that their digests hold, from where recomputing begins to
 * the close of the job.
 *
 * It begins with the run that the job began in: nothing from before a run start counts but what the run start says. After
 * a long time of running before the job, it begins with the core state saved when the job started; then the parts with the
 * run start and the wall clock are taken along, since they say what the bench is and what time it was.
 */
import type Database from 'better-sqlite3';
import type { Outcome } from '../../core/events.ts';
import { type BlockRow, blockAfter, blockAfterSeq, type Part, partsOf } from '../blocks.ts';
import { decodeEntries } from '../codec.ts';
import type { DatedOutcome } from '../contract.ts';
import { chainStart, same, sha256 } from '../seal.ts';
import type { Resume, SealedJob } from './format.ts';

/** Content of the run before the job, unpacked, from which a saved state is the better beginning. */
export const LONG_BEFORE_BYTES = 4 * 1024 * 1024;

/** The saved state to begin with; null for the run start. */
export function beginningOf(db: Database.Database, job: SealedJob, longBytes: number): Resume | null {
  const bytes = db
    .prepare('SELECT coalesce(sum(bytes), 0) FROM blocks WHERE run = ? AND last_seq < ?')
    .pluck()
    .get(job.run, job.startedSeq) as number;
  if (bytes <= longBytes) return null;
  const row = db
    .prepare<[number, number, number], { seq: number; state: Uint8Array; digest: Uint8Array }>(
      `SELECT seq, state, digest FROM checkpoints
       WHERE why = 'job-start' AND run = ? AND seq BETWEEN ? AND ? ORDER BY seq LIMIT 1`,
    )
    .get(job.run, job.startedSeq, job.closedSeq);
  if (row === undefined || !same(sha256(row.state), row.digest)) return null;
  return { seq: row.seq, state: new Uint8Array(row.state) };
}

/** In their order, each once. */
export function* partsOfJob(
  db: Database.Database,
  job: SealedJob,
  resume: Resume | null,
): Generator<Part & { readonly before: Uint8Array | null }> {
  const startSeq = db.prepare('SELECT seq FROM runs WHERE run = ?').pluck().get(job.run);
  if (typeof startSeq !== 'number') throw new Error(`run ${job.run} is not in the journal`);
  const walls = resume === null ? [] : wallsAround(db, job.run, startSeq, resume.seq);
  const ranges =
    resume === null
      ? [[startSeq, job.closedSeq] as const]
      : [
          [startSeq, startSeq] as const,
          ...walls.map((seq) => [seq, seq] as const),
          [job.startedSeq, job.closedSeq] as const,
        ];
  let last = 0;
  for (const [from, to] of ranges)
    for (const part of partsFrom(db, from)) {
      if (part.firstSeq > to) break;
      if (part.part <= last) continue;
      yield { ...part, before: part.part === last + 1 && last > 0 ? null : chainBefore(db, part.part) };
      last = part.part;
    }
}

function* partsFrom(db: Database.Database, seq: number): Generator<Part> {
  let row = blockAfterSeq(db, seq - 1);
  let done = 0;
  while (row !== undefined) {
    for (const part of partsOf(row)) {
      if (part.part <= done || part.lastSeq < seq) continue;
      yield part;
      done = part.part;
    }
    row = blockAfter(db, Math.max(done, row.last_part));
  }
}

/** The first and the newest word on the wall clock between the run start and the saved state. */
function wallsAround(db: Database.Database, run: number, startSeq: number, upTo: number): number[] {
  const order = (way: 'ASC' | 'DESC') =>
    db
      .prepare<[number, number, number], BlockRow>(
        `SELECT * FROM blocks WHERE run = ? AND last_seq >= ? AND first_seq <= ? ORDER BY last_part ${way}`,
      )
      .iterate(run, startSeq, upTo);
  const wallsIn = (row: BlockRow) =>
    partsOf(row).flatMap(({ content }) =>
      [...decodeEntries(content)].flatMap((entry) =>
        entry.kind === 'input' && entry.input.kind === 'wall' && entry.input.seq <= upTo ? [entry.input.seq] : [],
      ),
    );
  const firstOf = (way: 'ASC' | 'DESC') => {
    for (const row of order(way)) {
      const seq = way === 'ASC' ? wallsIn(row).at(0) : wallsIn(row).at(-1);
      if (seq !== undefined) return seq;
    }
    return null;
  };
  const first = firstOf('ASC');
  if (first === null) return [];
  const newest = firstOf('DESC') ?? first;
  return newest === first ? [first] : [first, newest];
}

function chainBefore(db: Database.Database, part: number): Uint8Array {
  if (part === 1)
    return chainStart(db.prepare("SELECT value FROM meta WHERE key = 'journal-id'").pluck().get() as string);
  const row = blockAfter(db, part - 2);
  const found = row === undefined ? undefined : partsOf(row).find((one) => one.part === part - 1);
  if (found === undefined) throw new Error(`part ${part - 1} is not in the journal`);
  return found.chain;
}

/** The newest word on each alarm of before the job: what may still stand when it begins. */
export function alarmsBefore(db: Database.Database, { startedEvent }: SealedJob): DatedOutcome[] {
  const newest = new Map<string, DatedOutcome>();
  const rows = db.prepare<[number], { utc_ms: number; body: string }>(
    "SELECT utc_ms, body FROM outcomes WHERE kind = 'alarm' AND event < ? ORDER BY event",
  );
  for (const { utc_ms, body } of rows.iterate(startedEvent)) {
    const outcome = JSON.parse(body) as Outcome;
    if (outcome.kind === 'alarm')
      newest.set(JSON.stringify([outcome.source, outcome.alarm]), { utcMs: utc_ms, outcome });
  }
  return [...newest.values()].sort((a, b) => a.outcome.event - b.outcome.event);
}
