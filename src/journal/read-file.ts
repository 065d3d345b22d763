/**
 * A journal as the command line reads it: at rest or while a bench writes it, without changing it. Everything is read
 * block by block; no transaction stays open while the caller thinks.
 */
import type Database from 'better-sqlite3';
import { StillwellError } from '../errors.ts';
import { type BlockRow, blockAfter, blockAfterSeq, type Part, partsOf } from './blocks.ts';
import { decodeEntries, fromStateBytes } from './codec.ts';
import { connectReader, sqliteCode } from './connect.ts';
import type { DatedOutcome, Entry } from './contract.ts';
import { datedOutcomes, type OutcomeWanted, type RunBeginning, runBeginning } from './file-queries.ts';
import { truePath } from './open-file.ts';
import type { RunRow } from './projection.ts';
import { type Copy, copyOf, wantsFolder } from './read-copy.ts';
import { FILE_VERSION, fileVersion, identify, journalIdOf } from './schema.ts';
import { same, sha256 } from './seal.ts';
import { type SealReport, verifySeal } from './verify.ts';

export interface CheckpointRow {
  readonly id: number;
  readonly run: number;
  readonly seq: number;
  readonly why: string;
}

export interface Totals {
  readonly parts: number;
  readonly entries: number;
  /** Of the content, unpacked. */
  readonly bytes: number;
  readonly runs: number;
  readonly outcomes: number;
  readonly lastSeq: number;
}

/** @throws StillwellError journal-unreachable, -damaged, -newer, -older */
export function readJournal(path: string): JournalFile {
  return new JournalFile(path);
}

export class JournalFile {
  readonly journalId: string;
  /** Whether a copy is read, because the folder may not be written to. */
  readonly isCopy: boolean;
  /** A journal holds its runs from their start. */
  readonly resume = null;
  readonly signature = null;
  private readonly db: Database.Database;
  private readonly path: string;
  private readonly copy: Copy | null;

  constructor(path: string) {
    this.path = path;
    const { db, copy } = openOrCopy(truePath(path), path);
    this.db = db;
    this.copy = copy;
    this.isCopy = copy !== null;
    try {
      this.journalId = journalIdOf(this.db);
    } catch (error) {
      this.close();
      throw inWords(error, path);
    }
  }

  /** How much there is, for progress. */
  totals(): Totals {
    const blocks = `SELECT coalesce(max(last_part), 0) AS parts, coalesce(sum(entries), 0) AS entries,
      coalesce(sum(bytes), 0) AS bytes, coalesce(max(last_seq), 0) AS lastSeq,
      (SELECT count(*) FROM runs) AS runs, (SELECT count(*) FROM outcomes) AS outcomes FROM blocks`;
    return this.db.prepare<[], Totals>(blocks).get() as Totals;
  }

  countInputs(): number {
    const { entries, outcomes } = this.totals();
    return entries - outcomes;
  }

  runs(): RunRow[] {
    return this.db.prepare<[], RunRow>('SELECT * FROM runs ORDER BY run').all();
  }

  /** Outcomes as they stand in their table, oldest first; the seal says whether the blocks say the same. */
  outcomes(wanted: OutcomeWanted = {}): Generator<DatedOutcome> {
    return datedOutcomes(this.db, wanted);
  }

  /** The start of a run and its first wall anchor, read from its blocks; null where the run is not there. */
  beginning(run: number): RunBeginning | null {
    const row = this.runs().find((one) => one.run === run);
    return row === undefined ? null : runBeginning(row, this.entries(row.seq - 1));
  }

  /** Entries with a sequence number above `afterSeq`, in their order: what came after a checkpoint at `afterSeq`. */
  *entries(afterSeq = 0): Generator<Entry> {
    let row = this.sound(() => (afterSeq === 0 ? blockAfter(this.db, 0) : blockAfterSeq(this.db, afterSeq)));
    let done = 0;
    while (row !== undefined) {
      for (const part of this.partsOf(row)) {
        // A block packed since the last one was read may begin with parts that were already given.
        if (part.part <= done) continue;
        for (const entry of this.sound(() => [...decodeEntries(part.content)], `part ${part.part}`)) {
          if (seqOf(entry) > afterSeq) yield entry;
        }
        done = part.part;
      }
      row = this.sound(() => blockAfter(this.db, done));
    }
  }

  /** Chain values of those of the parts that are there, by their numbers. */
  chainOf(parts: readonly number[]): [part: number, chain: Uint8Array][] {
    const wanted = new Set(parts);
    const found: [number, Uint8Array][] = [];
    let row = this.sound(() => blockAfter(this.db, Math.min(...parts) - 1));
    while (row !== undefined && found.length < wanted.size) {
      for (const { part, chain } of this.partsOf(row)) if (wanted.has(part)) found.push([part, chain]);
      const { last_part } = row;
      row = this.sound(() => blockAfter(this.db, last_part));
    }
    return found;
  }

  private partsOf(row: BlockRow): Part[] {
    return this.sound(() => partsOf(row), `parts ${row.first_part} to ${row.last_part}`);
  }

  /** What cannot be read at all is a damaged journal, said in words. */
  private sound<T>(read: () => T, what = 'the next block'): T {
    try {
      return read();
    } catch (error) {
      throw new StillwellError('journal-damaged', this.path, `${what}: ${(error as Error).message}`);
    }
  }

  /** All checkpoints, oldest first. */
  checkpoints(): CheckpointRow[] {
    return this.db.prepare<[], CheckpointRow>('SELECT id, run, seq, why FROM checkpoints ORDER BY seq, id').all();
  }

  /** The core state of a checkpoint; null where it does not match its digest (replay can start further back). */
  checkpointState(id: number): unknown {
    const row = this.db
      .prepare<[number], { state: Uint8Array; digest: Uint8Array }>(
        'SELECT state, digest FROM checkpoints WHERE id = ?',
      )
      .get(id);
    if (row === undefined || !same(sha256(row.state), row.digest)) return null;
    return fromStateBytes(row.state);
  }

  verifySeal(onProgress?: (parts: number, of: number) => void): SealReport {
    const report = verifySeal(this.db, onProgress);
    if (!report.ok) return report;
    // An index that disagrees with its table could hide an outcome that the chain holds.
    const structure = this.sound(() => this.db.pragma('integrity_check(1)', { simple: true }), 'the file');
    return structure === 'ok'
      ? report
      : { ...report, ok: false, firstFault: `the file does not hold together: ${structure}` };
  }

  close(): void {
    this.db.close();
    this.copy?.remove();
  }
}

function openOrCopy(path: string, where: string): { readonly db: Database.Database; readonly copy: Copy | null } {
  try {
    return { db: open(path, where), copy: null };
  } catch (error) {
    const code = sqliteCode(error);
    const copy = code !== null && wantsFolder(code) ? copyOf(path) : null;
    if (copy === null) throw inWords(error, where);
    try {
      return { db: open(copy.path, where), copy };
    } catch (error) {
      copy.remove();
      throw inWords(error, where);
    }
  }
}

function open(path: string, where: string): Database.Database {
  let db: Database.Database | null = null;
  try {
    db = connectReader(path);
    if (identify(db, where) === 'empty') throw new StillwellError('journal-damaged', where, 'the file is empty');
    const version = fileVersion(db);
    if (version === FILE_VERSION) return db;
    throw new StillwellError('journal-older', where, `schema ${version}; this software reads ${FILE_VERSION}`);
  } catch (error) {
    db?.close();
    throw error;
  }
}

function inWords(error: unknown, where: string): unknown {
  const code = sqliteCode(error);
  if (code === null) return error;
  const damaged = code === 'SQLITE_NOTADB' || code.startsWith('SQLITE_CORRUPT');
  return new StillwellError(damaged ? 'journal-damaged' : 'journal-unreachable', where, (error as Error).message);
}

function seqOf(entry: Entry): number {
  return entry.kind === 'outcome' ? entry.outcome.seq : entry.input.seq;
}
