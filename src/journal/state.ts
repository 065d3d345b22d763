/** Where the file stands: what the writer needs to go on, read from the file at open and kept in step by commits. */
import type Database from 'better-sqlite3';
import { type Carried, carry, NOTHING_CARRIED } from '../core/carried.ts';
import type { Outcome } from '../core/events.ts';
import { ALGORITHM_VERSION } from '../core/version.ts';
import { StillwellError } from '../errors.ts';
import { type BlockRow, partsOf } from './blocks.ts';
import { canonicalJson } from './codec.ts';
import { DamageError } from './damage.ts';
import type { Standing } from './projection.ts';
import { journalIdOf } from './schema.ts';
import { chainNext, chainStart, same, sha256 } from './seal.ts';
import { statement } from './statements.ts';

export interface StoreState extends Standing {
  readonly journalId: string;
  readonly lastPart: number;
  readonly lastChain: Uint8Array;
  readonly lastRun: number;
  readonly lastSeq: number;
}

/** Reads it all, and checks the newest part: the chain goes on from there. */
export function loadState(db: Database.Database): StoreState {
  try {
    const journalId = journalIdOf(db);
    const last = lastPart(db, journalId);
    if (!isHead(db, last.part, last.chain)) throw new DamageError(`its newest part, ${last.part}, is not its end`);
    return {
      journalId,
      lastPart: last.part,
      lastChain: last.chain,
      lastRun: (db.prepare('SELECT max(run) FROM runs').pluck().get() as number | null) ?? 0,
      lastSeq: last.lastSeq,
      carried: foldCarried(db),
      anchor: null,
    };
  } catch (error) {
    const foreign = error instanceof TypeError || error instanceof RangeError || error instanceof SyntaxError;
    throw foreign || error instanceof StillwellError ? new DamageError(error.message) : error;
  }
}

export interface LastPart {
  readonly part: number;
  readonly lastSeq: number;
  readonly digest: Uint8Array;
  readonly chain: Uint8Array;
}

/** The newest part of the file, checked against its digest and its chain; part 0 for an empty journal. */
export function lastPart(db: Database.Database, journalId: string): LastPart {
  const before = chainStart(journalId);
  const select = db.prepare<[number], BlockRow>('SELECT * FROM blocks ORDER BY last_part DESC LIMIT 1 OFFSET ?');
  const row = select.get(0);
  if (row === undefined) return { part: 0, lastSeq: 0, digest: new Uint8Array(), chain: before };
  const parts = unpacked(row);
  const [newest, second] = [parts.at(-1), parts.at(-2)];
  const previous = second?.chain ?? previousChain(select.get(1)) ?? before;
  if (newest === undefined) throw new DamageError(`block ${row.last_part} is empty`);
  const digest = sha256(newest.content);
  if (!same(digest, newest.digest) || !same(chainNext(previous, newest, digest), newest.chain)) {
    throw new DamageError(`the newest part, ${newest.part}, does not match its seal`);
  }
  return { part: newest.part, lastSeq: newest.lastSeq, digest: newest.digest, chain: newest.chain };
}

function previousChain(row: BlockRow | undefined): Uint8Array | undefined {
  return row === undefined ? undefined : unpacked(row).at(-1)?.chain;
}

function unpacked(row: BlockRow) {
  try {
    return partsOf(row);
  } catch (error) {
    throw new DamageError(`block ${row.last_part} cannot be read: ${(error as Error).message}`);
  }
}

/** Where the chain ends. Kept beside the blocks, so that a lost end shows. */
export function keepHead(db: Database.Database, part: number, chain: Uint8Array): void {
  statement(db, "INSERT OR REPLACE INTO meta VALUES ('head', ?)").run(headText(part, chain));
}

/** Whether the journal says that it ends with this part. */
export function isHead(db: Database.Database, part: number, chain: Uint8Array): boolean {
  const head = db.prepare("SELECT value FROM meta WHERE key = 'head'").pluck().get();
  return head === (part === 0 ? undefined : headText(part, chain));
}

function headText(part: number, chain: Uint8Array): string {
  return `${part} ${Buffer.from(chain).toString('hex')}`;
}

/** Fold of all outcomes; it starts from the fold kept at the last run start, where that was made by the same rules. */
function foldCarried(db: Database.Database): Carried {
  const page = db.prepare<[number], { event: number; body: string }>(
    'SELECT event, body FROM outcomes WHERE event > ? ORDER BY event LIMIT 500',
  );
  let carried = keptCarried(db)?.carried ?? NOTHING_CARRIED;
  let after = carried.lastEvent;
  for (;;) {
    const rows = page.all(after);
    if (rows.length === 0) return carried;
    for (const { event, body } of rows) {
      carried = carry(carried, { ...(JSON.parse(body) as Outcome), event });
      after = event;
    }
  }
}

/** The fold kept with the last run start; null where there is none or other rules made it. */
export function keptCarried(db: Database.Database): { readonly carried: Carried } | null {
  const text = db.prepare("SELECT value FROM meta WHERE key = 'carried'").pluck().get();
  if (typeof text !== 'string') return null;
  const kept = JSON.parse(text) as { algorithm: number; carried: Carried };
  return kept.algorithm === ALGORITHM_VERSION ? kept : null;
}

export function keepCarried(db: Database.Database, carried: Carried): void {
  db.prepare("INSERT OR REPLACE INTO meta VALUES ('carried', ?)").run(
    canonicalJson({ algorithm: ALGORITHM_VERSION, carried }),
  );
}
