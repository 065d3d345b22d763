/** Questions to the journal while it is being written. Every statement ends at once: none holds the log back. */
import type Database from 'better-sqlite3';
import type { Outcome } from '../core/events.ts';
import type { DatedOutcome, EnvelopeBucket, JournalReader } from './contract.ts';
import { presentOutcome } from './file-queries.ts';

type Answers = { [Name in keyof JournalReader]: Awaited<ReturnType<JournalReader[Name]>> };

/** The questions of JournalReader, answered at once. */
export type Queries = {
  readonly [Name in keyof JournalReader]: (...args: Parameters<JournalReader[Name]>) => Answers[Name];
};

interface Row {
  readonly utc_ms: number;
  readonly body: string;
}

export function queriesOf(db: Database.Database): Queries {
  const events = db.prepare<[number, number], Row>(
    'SELECT utc_ms, body FROM outcomes WHERE event > ? ORDER BY event LIMIT ?',
  );
  const action = db.prepare<[string], Row>('SELECT utc_ms, body FROM outcomes WHERE action_id = ?');
  const newest = db.prepare<[string], Row>(
    'SELECT utc_ms, body FROM outcomes WHERE kind = ? ORDER BY event DESC LIMIT 1',
  );
  const buckets = db.prepare<{ channel: string; from: number; to: number; width: number }, EnvelopeBucket>(
    // Numbers come in as REAL; the buckets need the division of whole numbers.
    `SELECT (utc_s - CAST(@from AS INTEGER)) / CAST(@width AS INTEGER) * @width * 1000 + @from * 1000 AS utcMs,
       min(min) AS min, max(max) AS max
     FROM envelope WHERE channel = @channel AND utc_s >= @from AND utc_s < @to GROUP BY 1 ORDER BY 1`,
  );
  return {
    events: (since, limit) => events.all(since, Math.max(0, limit)).map(toDated),
    action: (actionId) => datedOrNull(action.get(actionId)),
    newest: (kind) => datedOrNull(newest.get(kind)),
    envelope(channel, fromUtcMs, toUtcMs, most) {
      const [from, to] = [Math.floor(fromUtcMs / 1000), Math.ceil(toUtcMs / 1000)];
      if (!(to > from) || !(most >= 1)) return [];
      return buckets.all({ channel, from, to, width: Math.ceil((to - from) / Math.floor(most)) });
    },
  };
}

function toDated({ utc_ms, body }: Row): DatedOutcome {
  return { utcMs: utc_ms, outcome: presentOutcome(JSON.parse(body) as Outcome) };
}

function datedOrNull(row: Row | undefined): DatedOutcome | null {
  return row === undefined ? null : toDated(row);
}
