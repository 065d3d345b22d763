/** A record at rest, a whole journal or one sealed job: what the command line asks of either. */
import { closeSync, openSync, readSync } from 'node:fs';
import type { DatedOutcome, Entry } from './contract.ts';
import type { OutcomeWanted, RunBeginning } from './file-queries.ts';
import type { RunRow } from './projection.ts';
import { readJournal } from './read-file.ts';
import { isSealed, type Resume, type Signature } from './sealed/format.ts';
import { SealedFile } from './sealed/read.ts';
import type { SealReport } from './verify.ts';

export interface RecordFile {
  readonly journalId: string;
  /** Whether a copy is read, because the folder may not be written to. */
  readonly isCopy: boolean;
  /** Where recomputing begins; null: with the first run start among the entries. */
  readonly resume: Resume | null;
  /** Null for a journal: only closed jobs are signed. */
  readonly signature: Signature | null;
  runs(): RunRow[];
  /** Oldest first. */
  outcomes(wanted?: OutcomeWanted): Iterable<DatedOutcome>;
  beginning(run: number): RunBeginning | null;
  /** Entries with a sequence number above `afterSeq`, in their order. */
  entries(afterSeq?: number): Iterable<Entry>;
  countInputs(): number;
  verifySeal(onProgress?: (parts: number, of: number) => void): SealReport;
  close(): void;
}

/** By what the file says at its beginning. @throws StillwellError journal-…, sealed-… */
export function openRecord(path: string): RecordFile {
  return isSealedFile(path) ? new SealedFile(path) : readJournal(path);
}

/** False too where it cannot be read: the reader of journals tells why. */
export function isSealedFile(path: string): boolean {
  let file: number;
  try {
    file = openSync(path, 'r');
  } catch {
    return false;
  }
  try {
    const beginning = Buffer.alloc(64);
    return isSealed(beginning.subarray(0, readSync(file, beginning, 0, beginning.length, 0)));
  } catch {
    return false;
  } finally {
    closeSync(file);
  }
}
