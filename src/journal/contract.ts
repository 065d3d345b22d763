/**
 * The journal as the rest of the house sees it. One SQLite file per bench; one worker writes, another reads.
 * `append` admits: the entries stand in an ordered queue to the writer. `onDurable` says up to where they are on disk.
 */
import type { Carried } from '../core/carried.ts';
import type { Input, Outcome } from '../core/events.ts';

/** The sealed stream is made of these, in the order in which the core saw and said them. */
export type Entry =
  | { readonly kind: 'input'; readonly input: Input }
  | { readonly kind: 'outcome'; readonly outcome: Outcome };

/** For the charts: one good sample, in the channel's inside unit. Kept as min/max per second, outside the seal. */
export interface EnvelopePoint {
  readonly channel: string;
  readonly run: number;
  readonly tUs: number;
  readonly value: number;
}

export interface Opened {
  /** Random, made with the file: tells a client that "event 12" is of this journal. */
  readonly journalId: string;
  readonly lastRun: number;
  readonly lastSeq: number;
  readonly carried: Carried;
  /** Where a damaged predecessor was moved to, or null. */
  readonly movedAside: string | null;
}

export interface Durable {
  readonly seq: number;
  readonly event: number;
}

export interface JournalEvents {
  /** Called after a transaction with synchronous=FULL has returned. Both numbers only grow. */
  onDurable(upTo: Durable): void;
  /** The disk refused (full, I/O error): entries stay queued and are tried again with the next flush. */
  onRefused(code: string, detail: string): void;
}

export interface Journal {
  readonly opened: Opened;
  readonly reader: JournalReader;
  /** Admits entries. With `flush` they are committed now, in one transaction with everything before them. */
  append(run: number, entries: readonly Entry[], points: readonly EnvelopePoint[], flush: boolean): void;
  /** Commits what is queued (called at least every 250 ms while anything is), and compacts now and then. */
  flush(): void;
  /** A full core state at `seq`, so that replay need not start at the beginning. Outside the seal, with a digest. */
  checkpoint(run: number, seq: number, why: 'run-start' | 'job-start', state: unknown): void;
  /** Admitted and not yet durable. */
  backlog(): { readonly entries: number; readonly bytes: number };
  /** Commits everything that can be committed and ends both workers. */
  close(): Promise<void>;
}

/** An outcome with the calendar time worked out from the run's wall anchors. */
export interface DatedOutcome {
  readonly utcMs: number;
  readonly outcome: Outcome;
}

/** One bucket of a chart: [from, to) with least and greatest value. */
export interface EnvelopeBucket {
  readonly utcMs: number;
  readonly min: number;
  readonly max: number;
}

/** Durable things only. */
export interface JournalReader {
  /** Outcomes with event > since, ascending, at most `limit`. */
  events(since: number, limit: number): Promise<readonly DatedOutcome[]>;
  /** The stored outcome of an action id, or null. */
  action(actionId: string): Promise<DatedOutcome | null>;
  /** The newest outcome of a kind, or null. */
  newest(kind: Outcome['kind']): Promise<DatedOutcome | null>;
  /** Min/max buckets of a channel between two instants, thinned to at most `most` buckets. */
  envelope(channel: string, fromUtcMs: number, toUtcMs: number, most: number): Promise<readonly EnvelopeBucket[]>;
}
