/** Compares the rows beside the blocks with what the blocks say they must be, column by column. */
import type Database from 'better-sqlite3';
import type { Carried } from '../core/carried.ts';

import { canonicalJson } from './codec.ts';
import type { OutcomeRow, RunRow } from './projection.ts';
import { keptCarried } from './state.ts';
import { statement } from './statements.ts';

/** Found by the check of the seal; the message says where and what, in words. */
export class Fault extends Error {}

/** Texts come as bytes: bytes that are no valid text must not be taken for others that look the same. */
const OUTCOME = `SELECT run, seq, t_us, utc_ms, CAST(kind AS BLOB) AS kind, CAST(action_id AS BLOB) AS action_id,
  CAST(body AS BLOB) AS body FROM outcomes WHERE event = ?`;
const RUN = `SELECT seq, utc_ms, schema, algorithm, CAST(software AS BLOB) AS software, CAST(bench AS BLOB) AS bench
  FROM runs WHERE run = ?`;

type Cell = number | string | null;

export function checkOutcome(db: Database.Database, expected: OutcomeRow): void {
  const { event, ...columns } = expected;
  const found = statement<[number], Record<string, unknown>>(db, OUTCOME).get(event);
  const where = `outcome of event ${event}`;
  const heldEarlier = found?.action_id === null && heldBefore(db, expected);
  compare(where, found, heldEarlier ? { ...columns, action_id: null } : columns);
}

/** An action id that came twice stands with its first event only. */
function heldBefore(db: Database.Database, { action_id, event }: OutcomeRow): boolean {
  const holder = db.prepare('SELECT event FROM outcomes WHERE action_id = ?').pluck().get(action_id);
  return typeof holder === 'number' && holder < event;
}

export function checkRun(db: Database.Database, { run, ...columns }: RunRow): void {
  compare(`row of run ${run}`, db.prepare<[number], Record<string, unknown>>(RUN).get(run), { ...columns });
}

function compare(
  where: string,
  found: Readonly<Record<string, unknown>> | undefined,
  expected: Readonly<Record<string, Cell>>,
): void {
  if (found === undefined) throw new Fault(`${where}: it is missing`);
  for (const [column, value] of Object.entries(expected)) {
    const cell = found[column];
    const equal =
      typeof value === 'string' ? cell instanceof Buffer && cell.equals(Buffer.from(value)) : cell === value;
    if (!equal) throw new Fault(`${where}: ${column} is not what its block says`);
  }
}

/** Rows that no block speaks of. */
export function checkCounts(db: Database.Database, runs: number, outcomes: number): void {
  const count = (table: string) => db.prepare(`SELECT count(*) FROM ${table}`).pluck().get();
  const [runRows, outcomeRows] = [count('runs'), count('outcomes')];
  if (runRows !== runs) throw new Fault(`there are rows for ${runRows} runs, the blocks hold ${runs}`);
  if (outcomeRows !== outcomes) throw new Fault(`there are ${outcomeRows} outcomes, the blocks hold ${outcomes}`);
}

/** The fold kept at the newest run start, unless other rules made it. */
export function checkCarried(db: Database.Database, expected: Carried | null): void {
  const kept = keptCarried(db);
  if (kept !== null && canonicalJson(kept.carried) !== canonicalJson(expected)) {
    throw new Fault('what was carried into the newest run is not what the outcomes before it say');
  }
}
