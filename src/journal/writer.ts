/**
 * What waits for the disk, in order, and what is done when the disk refuses. Runs in the writer's thread; a part is
 * announced when its transaction has returned and not before.
 */
import { StillwellError } from '../errors.ts';
import { sqliteCode } from './connect.ts';
import type { EnvelopePoint, Opened } from './contract.ts';
import { DamageError } from './damage.ts';
import type { Batch, FromWriter, StoredCheckpoint } from './messages.ts';
import type { Commit, Store } from './store.ts';

/** A part is closed when its content is over this. */
export const PART_BYTES = 256 * 1024;

export class Writer {
  private readonly store: Store;
  private readonly tell: (message: FromWriter) => void;
  private queue: Batch[] = [];
  private queuedBytes = 0;
  private points: EnvelopePoint[] = [];
  private checkpoints: StoredCheckpoint[] = [];
  /** The part that is to be committed next. Once made it stays as it is: a refused commit may yet be found stored. */
  private next: Batch | null = null;
  /** There was an I/O error and the handle has not been replaced yet. */
  private suspect = false;
  private refusing = false;

  constructor(store: Store, tell: (message: FromWriter) => void) {
    this.store = store;
    this.tell = tell;
  }

  opened(): Opened {
    const { journalId, lastRun, lastSeq, carried } = this.store.state;
    return { journalId, lastRun, lastSeq, carried, movedAside: this.store.movedAside };
  }

  append(batch: Batch): void {
    for (const point of batch.points) this.points.push(point);
    if (batch.entries === 0) return;
    this.queue.push(batch);
    this.queuedBytes += batch.content.length;
  }

  checkpoint(checkpoint: StoredCheckpoint): void {
    this.checkpoints.push(checkpoint);
  }

  /** More is waiting than one part should hold. Not while the disk refuses: then only a flush tries again. */
  get full(): boolean {
    return !this.refusing && this.queuedBytes > PART_BYTES;
  }

  /** Commits what is queued, oldest first, until the disk refuses; then packs old parts, when there are any. */
  flush(): void {
    while (this.commitNext());
    if (this.next === null && !this.suspect) this.tidy();
  }

  close(): void {
    this.flush();
    this.store.close();
  }

  /** False when there is nothing to commit, or the disk refused. */
  private commitNext(): boolean {
    this.next ??= this.takePart();
    if (this.next === null) return false;
    const batch = this.next;
    const commit: Commit = {
      batch,
      points: this.points.filter(({ run }) => run === batch.run),
      checkpoints: this.checkpoints.filter(({ seq }) => seq <= batch.lastSeq),
    };
    const refusal = this.attempt(commit);
    this.refusing = refusal !== null;
    if (refusal !== null) {
      this.tell({ say: 'refused', ...refusal });
      return false;
    }
    this.next = null;
    this.points = this.points.filter(({ run }) => run > batch.run);
    this.checkpoints = this.checkpoints.filter(({ seq }) => seq > batch.lastSeq);
    const { lastSeq, carried } = this.store.state;
    const upTo = { seq: lastSeq, event: carried.lastEvent };
    this.tell({ say: 'durable', upTo, entries: batch.entries, bytes: batch.content.length });
    return true;
  }

  /** The oldest batches of one run, up to the size of a part, as one. */
  private takePart(): Batch | null {
    const [first] = this.queue;
    if (first === undefined) return null;
    let bytes = 0;
    let end = this.queue.findIndex((batch) => {
      if (batch.run !== first.run || bytes > PART_BYTES) return true;
      bytes += batch.content.length;
      return false;
    });
    if (end === -1) end = this.queue.length;
    this.queuedBytes -= bytes;
    return join(this.queue.splice(0, end));
  }

  /** Tries, cures what can be cured, tries once more. Null when the part is stored. */
  private attempt(commit: Commit): { code: string; detail: string } | null {
    try {
      if (!this.suspect) {
        const error = this.commitOnce(commit);
        if (error === null) return null;
        this.suspect = isIoError(error);
        if (!this.suspect) this.makeRoom(error);
      }
      if (this.suspect && this.reopen(commit)) return null;
      const error = this.commitOnce(commit);
      if (error === null) return null;
      throw error;
    } catch (error) {
      if (isIoError(error)) this.suspect = true;
      return { code: codeOf(error), detail: (error as Error).message };
    }
  }

  private commitOnce(commit: Commit): unknown {
    try {
      this.store.commit(commit);
      return null;
    } catch (error) {
      return error;
    }
  }

  /** A full disk may have room for the part once the log is cut back. Any other error goes on to the caller. */
  private makeRoom(error: unknown): void {
    if (sqliteCode(error) !== 'SQLITE_FULL') throw error;
    try {
      this.store.truncateLog();
    } catch {
      // The second attempt tells what is wrong.
    }
  }

  private reopen(commit: Commit): boolean {
    const stored = this.store.reopen(commit);
    this.suspect = false;
    return stored;
  }

  /** Nothing is lost where this fails: it is tried again with the next flush. */
  private tidy(): void {
    const loose = this.checkpoints.filter(({ seq }) => seq <= this.store.state.lastSeq);
    try {
      if (loose.length > 0) this.store.commitCheckpoints(loose);
      this.checkpoints = this.checkpoints.filter((one) => !loose.includes(one));
      this.store.compact();
    } catch (error) {
      if (isIoError(error)) this.suspect = true;
      this.tell({ say: 'refused', code: codeOf(error), detail: (error as Error).message });
    }
  }
}

function join(batches: readonly Batch[]): Batch {
  const [first, last] = [batches.at(0) as Batch, batches.at(-1) as Batch];
  if (first === last) return first;
  return {
    run: first.run,
    content: Buffer.concat(batches.map(({ content }) => content)),
    entries: batches.reduce((sum, { entries }) => sum + entries, 0),
    firstSeq: first.firstSeq,
    lastSeq: last.lastSeq,
    firstTUs: batches.reduce((least, { firstTUs }) => Math.min(least, firstTUs), first.firstTUs),
    lastTUs: batches.reduce((most, { lastTUs }) => Math.max(most, lastTUs), last.lastTUs),
    landmarks: batches.flatMap(({ landmarks }) => landmarks),
    points: [],
  };
}

function isIoError(error: unknown): boolean {
  return sqliteCode(error)?.startsWith('SQLITE_IOERR') === true;
}

function codeOf(error: unknown): string {
  if (error instanceof StillwellError) return error.code;
  return error instanceof DamageError ? 'journal-damaged' : (sqliteCode(error) ?? 'journal-refused');
}
