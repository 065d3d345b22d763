/** Rows beside the blocks, written in the same transaction as the part that they belong to. */
import type Database from 'better-sqlite3';
import { type Anchor, utcMsAt } from './calendar.ts';
import type { EnvelopePoint } from './contract.ts';
import type { StoredCheckpoint } from './messages.ts';
import type { OutcomeRow, Projection } from './projection.ts';
import { sha256 } from './seal.ts';
import { keepCarried } from './state.ts';
import { statement } from './statements.ts';

export function insertRows(db: Database.Database, projection: Projection): void {
  const { run, carriedAtStart, outcomes, firstAnchor } = projection;
  if (run !== null) {
    db.prepare('INSERT INTO runs VALUES (@run, @seq, @utc_ms, @schema, @algorithm, @software, @bench)').run(run);
  }
  if (carriedAtStart !== null) keepCarried(db, carriedAtStart);
  if (firstAnchor !== null) dateWhatCameBefore(db, firstAnchor);
  if (outcomes.length > 0) insertOutcomes(db, outcomes);
}

/** An action id stays with the first event that has it. */
function insertOutcomes(db: Database.Database, outcomes: readonly OutcomeRow[]): void {
  const insert = statement<OutcomeRow>(
    db,
    `INSERT INTO outcomes VALUES (@event, @run, @seq, @t_us, @utc_ms, @kind,
     CASE WHEN EXISTS (SELECT 1 FROM outcomes WHERE action_id = @action_id) THEN NULL ELSE @action_id END, @body)`,
  );
  for (const row of outcomes) insert.run(row);
}

function dateWhatCameBefore(db: Database.Database, anchor: Anchor): void {
  const undated = db.prepare<[number], { event: number; t_us: number }>(
    'SELECT event, t_us FROM outcomes WHERE run = ? AND utc_ms = 0',
  );
  const date = db.prepare('UPDATE outcomes SET utc_ms = ? WHERE event = ?');
  for (const { event, t_us } of undated.all(anchor.run)) date.run(utcMsAt(anchor, anchor.run, t_us), event);
  db.prepare('UPDATE runs SET utc_ms = ? WHERE run = ?').run(utcMsAt(anchor, anchor.run, 0), anchor.run);
}

/** Points without a wall clock to place them by are left out: the chart can be made again from the blocks. */
export function insertPoints(db: Database.Database, points: readonly EnvelopePoint[], anchor: Anchor | null): void {
  const upsert = statement<Bucket>(
    db,
    `INSERT INTO envelope VALUES (@channel, @utcS, @min, @max, @count) ON CONFLICT DO UPDATE SET
     min = min(min, excluded.min), max = max(max, excluded.max), count = count + excluded.count`,
  );
  for (const bucket of bucketsOf(points, anchor)) upsert.run(bucket);
}

interface Bucket {
  readonly channel: string;
  readonly utcS: number;
  min: number;
  max: number;
  count: number;
}

function bucketsOf(points: readonly EnvelopePoint[], anchor: Anchor | null): Iterable<Bucket> {
  const buckets = new Map<string, Bucket>();
  for (const { channel, run, tUs, value } of points) {
    const utcMs = utcMsAt(anchor, run, tUs);
    if (utcMs <= 0) continue;
    const utcS = Math.floor(utcMs / 1000);
    const bucket = buckets.get(`${utcS} ${channel}`);
    if (bucket === undefined) {
      buckets.set(`${utcS} ${channel}`, { channel, utcS, min: value, max: value, count: 1 });
    } else {
      bucket.min = Math.min(bucket.min, value);
      bucket.max = Math.max(bucket.max, value);
      bucket.count += 1;
    }
  }
  return buckets.values();
}

export function insertCheckpoints(db: Database.Database, checkpoints: readonly StoredCheckpoint[]): void {
  const insert = db.prepare('INSERT INTO checkpoints (run, seq, why, state, digest) VALUES (?, ?, ?, ?, ?)');
  for (const { run, seq, why, state } of checkpoints) insert.run(run, seq, why, state, sha256(state));
}
