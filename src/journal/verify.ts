/**
 * Checks a journal against its seal from the first part to the last. Reads block by block, so a journal may be checked
 * while it is being written.
 */
import type Database from 'better-sqlite3';
import { type Carried, NOTHING_CARRIED } from '../core/carried.ts';

import { type BlockRow, blockAfter, type Part, partsOf } from './blocks.ts';
import { decodeEntries } from './codec.ts';
import type { Entry } from './contract.ts';
import { dated, isLandmark, type OutcomeRow, project, type RunRow, type Standing } from './projection.ts';
import { journalIdOf } from './schema.ts';
import { chainNext, chainStart, same, sha256 } from './seal.ts';
import { isHead } from './state.ts';
import { checkCarried, checkCounts, checkOutcome, checkRun, Fault } from './verify-rows.ts';

export interface SealReport {
  readonly ok: boolean;
  /** How far it got: up to the first fault, or to the end. */
  readonly parts: number;
  readonly entries: number;
  /** In words; null where there is none. */
  readonly firstFault: string | null;
}

/** @param onProgress called after each block with the parts checked so far and the number of the newest one. */
export function verifySeal(
  db: Database.Database,
  onProgress: (parts: number, of: number) => void = () => {},
): SealReport {
  let check: SealCheck | null = null;
  let firstFault: string | null = null;
  try {
    check = new SealCheck(db);
    const newest = db.prepare('SELECT coalesce(max(last_part), 0) FROM blocks').pluck();
    while (check.nextBlock()) onProgress(check.part, newest.get() as number);
  } catch (error) {
    // Whatever cannot even be read is a fault of the file, not of the one who asks.
    firstFault = error instanceof Fault ? error.message : `after part ${check?.part ?? 0}: ${(error as Error).message}`;
  }
  return { ok: firstFault === null, parts: check?.part ?? 0, entries: check?.entries ?? 0, firstFault };
}

class SealCheck {
  part = 0;
  entries = 0;
  private readonly db: Database.Database;
  private chain: Uint8Array;
  private lastSeq = 0;
  private standing: Standing = { carried: NOTHING_CARRIED, anchor: null };
  private carriedAtStart: Carried | null = null;
  private runs = 0;
  private outcomes = 0;
  /** Rows whose date depends on an anchor still to come. */
  private undatedRun: RunRow | null = null;
  private undated: OutcomeRow[] = [];

  constructor(db: Database.Database) {
    this.db = db;
    this.chain = chainStart(journalIdOf(db));
  }

  /** False at the end, where what has no place in the stream would show. */
  nextBlock(): boolean {
    const row = blockAfter(this.db, this.part);
    if (row !== undefined) {
      this.checkBlock(row);
      return true;
    }
    return this.db.transaction(() => {
      if (blockAfter(this.db, this.part) !== undefined) return true;
      if (!isHead(this.db, this.part, this.chain)) throw new Fault(`part ${this.part} is not the end of the journal`);
      this.settleUndated();
      checkCounts(this.db, this.runs, this.outcomes);
      checkCarried(this.db, this.carriedAtStart);
      return false;
    })();
  }

  private checkBlock(row: BlockRow): void {
    const where = `block of parts ${row.first_part} to ${row.last_part}`;
    if (!same(row.stored, sha256(row.content))) throw new Fault(`${where}: the stored bytes have changed`);
    const parts = readable(where, () => partsOf(row));
    const decoded = parts.map((part) => ({ part, entries: this.checkContent(part) }));
    checkColumns(where, row, decoded);
    for (const { part, entries } of decoded) {
      // A block packed since the last one was read may begin with parts that are already checked.
      if (part.part > this.part) this.checkPart(part, entries);
    }
  }

  private checkContent(part: Part): Entry[] {
    const where = nameOf(part);
    if (!same(part.digest, sha256(part.content))) throw new Fault(`${where}: the content does not match its digest`);
    const entries = readable(where, () => [...decodeEntries(part.content)]);
    const [first, last] = [entries.at(0), entries.at(-1)];
    const holds = entries.length === part.entries && seqOf(first) === part.firstSeq && seqOf(last) === part.lastSeq;
    if (!holds) throw new Fault(`${where}: it does not hold the entries that it says`);
    return entries;
  }

  private checkPart(part: Part, entries: readonly Entry[]): void {
    const where = nameOf(part);
    if (part.part !== this.part + 1) throw new Fault(`part ${this.part + 1} is missing; the next one is ${part.part}`);
    if (part.firstSeq < this.lastSeq) throw new Fault(`${where}: it goes back behind entry ${this.lastSeq}`);
    const chain = chainNext(this.chain, part, part.digest);
    if (!same(chain, part.chain)) throw new Fault(`${where}: the chain does not lead here from the part before`);
    this.checkRows(part.run, entries.filter(isLandmark));
    this.chain = chain;
    this.part = part.part;
    this.lastSeq = part.lastSeq;
    this.entries += entries.length;
  }

  private checkRows(run: number, landmarks: readonly Entry[]): void {
    const projection = project(run, landmarks, this.standing);
    if (projection.run !== null) {
      this.settleUndated();
      this.undatedRun = projection.run;
      this.carriedAtStart = projection.carriedAtStart;
      this.runs += 1;
    }
    this.undated.push(...projection.outcomes);
    this.outcomes += projection.outcomes.length;
    this.standing = projection.after;
    if (projection.firstAnchor !== null) {
      const anchor = projection.firstAnchor;
      this.undatedRun = this.undatedRun && dated(this.undatedRun, 0, anchor);
      this.undated = this.undated.map((row) => dated(row, row.t_us, anchor));
    }
    if (this.standing.anchor !== null) this.settleUndated();
  }

  private settleUndated(): void {
    if (this.undatedRun !== null) checkRun(this.db, this.undatedRun);
    for (const row of this.undated) checkOutcome(this.db, row);
    this.undatedRun = null;
    this.undated = [];
  }
}

function checkColumns(
  where: string,
  row: BlockRow,
  decoded: readonly { readonly part: Part; readonly entries: readonly Entry[] }[],
): void {
  const times = decoded.flatMap(({ entries }) => entries.map(tUsOf));
  const sum = (of: (part: Part) => number) => decoded.reduce((total, { part }) => total + of(part), 0);
  const expected: Partial<BlockRow> = {
    first_part: row.last_part - decoded.length + 1,
    first_seq: decoded.at(0)?.part.firstSeq ?? -1,
    last_seq: decoded.at(-1)?.part.lastSeq ?? -1,
    first_t_us: times.reduce((least, tUs) => Math.min(least, tUs), Number.MAX_SAFE_INTEGER),
    last_t_us: times.reduce((most, tUs) => Math.max(most, tUs), 0),
    entries: sum((part) => part.entries),
    bytes: sum((part) => part.bytes),
  };
  for (const [column, value] of Object.entries(expected)) {
    const found = row[column as keyof BlockRow];
    if (found !== value) throw new Fault(`${where}: ${column} is ${found}, its parts say ${value}`);
  }
}

function readable<T>(where: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    throw new Fault(`${where}: it cannot be read: ${(error as Error).message}`);
  }
}

function nameOf({ part, run, firstSeq, lastSeq }: Part): string {
  return `part ${part} (run ${run}, entries ${firstSeq} to ${lastSeq})`;
}

function seqOf(entry: Entry | undefined): number | undefined {
  return entry?.kind === 'outcome' ? entry.outcome.seq : entry?.input.seq;
}

function tUsOf(entry: Entry): number {
  return entry.kind === 'outcome' ? entry.outcome.tUs : entry.input.tUs;
}
