/** The writer's hold on the file: commits parts, packs old ones, opens the handle anew after a failed sync. */
import { statSync } from 'node:fs';
import type Database from 'better-sqlite3';
import { StillwellError } from '../errors.ts';
import { type BlockRow, insertBlock } from './blocks.ts';
import { PLAIN_CODEC } from './codec.ts';
import { compactOne } from './compaction.ts';
import { connectWriter, makeDurable } from './connect.ts';
import type { EnvelopePoint } from './contract.ts';
import { DamageError } from './damage.ts';
import { type Lock, takeLock } from './lock.ts';
import type { Batch, StoredCheckpoint } from './messages.ts';
import { openFile, truePath } from './open-file.ts';
import { type Projection, project } from './projection.ts';
import { insertCheckpoints, insertPoints, insertRows } from './rows.ts';
import { chainNext, packMarks, same, sha256 } from './seal.ts';
import { keepHead, lastPart, type StoreState } from './state.ts';

/** Commits between two looks for something to pack. */
const LOOK_EVERY = 8;

/** What one transaction adds. */
export interface Commit {
  /** Its points are not among them: see `points`. */
  readonly batch: Batch;
  readonly points: readonly EnvelopePoint[];
  readonly checkpoints: readonly StoredCheckpoint[];
}

export class Store {
  readonly movedAside: string | null;
  state: StoreState;
  private readonly path: string;
  private readonly inode: number;
  private readonly lock: Lock;
  private db: Database.Database;
  private compactedTo = 0;
  /** Commits since it was last seen that there is nothing to pack. */
  private unlooked = LOOK_EVERY;

  /** Takes the lock, opens, checks, migrates. Throws StillwellError. */
  constructor(path: string) {
    this.path = truePath(path);
    this.lock = takeLock(this.path);
    try {
      const opened = openFile(this.path);
      this.db = opened.db;
      this.state = opened.state;
      this.movedAside = opened.movedAside;
      this.inode = statSync(this.path).ino;
    } catch (error) {
      this.lock.release();
      throw error;
    }
  }

  /** One part, the rows that show what is in it, and all that belongs to it: on disk when this returns. */
  commit({ batch, points, checkpoints }: Commit): void {
    const { projection, after, row } = this.prepare(batch);
    this.stillInPlace();
    this.db
      .transaction(() => {
        insertBlock(this.db, row);
        keepHead(this.db, after.lastPart, after.lastChain);
        insertRows(this.db, projection);
        insertPoints(this.db, points, after.anchor);
        insertCheckpoints(this.db, checkpoints);
      })
      .immediate();
    this.state = after;
    this.unlooked += 1;
  }

  commitCheckpoints(checkpoints: readonly StoredCheckpoint[]): void {
    this.db.transaction(() => insertCheckpoints(this.db, checkpoints)).immediate();
  }

  /** A file that was moved or deleted takes every write without a word, and nobody would ever find it again. */
  private stillInPlace(): void {
    const there = statSync(this.path, { throwIfNoEntry: false });
    if (there?.ino !== this.inode) throw new StillwellError('journal-gone', this.path);
  }

  /** What the commit of a part writes, and where the journal stands after it. */
  private prepare(batch: Batch): { projection: Projection; after: StoreState; row: BlockRow } {
    const { run, content, entries, firstSeq, lastSeq } = batch;
    const part = this.state.lastPart + 1;
    const digest = sha256(content);
    const chain = chainNext(this.state.lastChain, { part, run, firstSeq, lastSeq }, digest);
    const projection = project(run, batch.landmarks, this.state);
    const row: BlockRow = {
      last_part: part,
      first_part: part,
      run,
      first_seq: firstSeq,
      last_seq: lastSeq,
      first_t_us: batch.firstTUs,
      last_t_us: batch.lastTUs,
      entries,
      bytes: content.length,
      codec: PLAIN_CODEC,
      stored: digest,
      parts: packMarks([{ bytes: content.length, entries, firstSeq, lastSeq, digest, chain }]),
      content,
    };
    const lastRun = projection.run?.run ?? this.state.lastRun;
    const after = { ...this.state, ...projection.after, lastRun, lastPart: part, lastChain: chain, lastSeq };
    return { projection, after, row };
  }

  /** Copies the log into the file and cuts it to nothing. False where a reader was in the way. */
  truncateLog(): boolean {
    const [row] = this.db.pragma('wal_checkpoint(TRUNCATE)') as [{ busy: number }];
    return row.busy === 0;
  }

  /**
   * After an I/O error the handle may believe in pages that never reached the disk. A new one looks at what is there;
   * copying the log into the file makes the system write those pages once more.
   * @returns true where the part in hand turns out to be stored after all.
   */
  reopen({ batch }: Commit): boolean {
    this.db.close();
    this.db = connectWriter(this.path, true);
    makeDurable(this.db, this.path);
    const last = lastPart(this.db, this.state.journalId);
    if (!this.truncateLog()) throw new Error('the log cannot be copied into the file while it is being read');
    if (last.part === this.state.lastPart) return false;
    const { after } = this.prepare(batch);
    if (last.part !== after.lastPart || !same(last.chain, after.lastChain)) {
      throw new DamageError(`the newest part in the file is ${last.part}, it should be ${this.state.lastPart}`);
    }
    this.state = after;
    return true;
  }

  /** Packs one full group of old parts, when it is time to look for one. False where nothing was packed. */
  compact(): boolean {
    if (this.unlooked < LOOK_EVERY) return false;
    const to = compactOne(this.db, this.compactedTo);
    if (to === null) this.unlooked = 0;
    else this.compactedTo = to;
    return to !== null;
  }

  close(): void {
    this.db.close();
    this.lock.release();
  }
}
