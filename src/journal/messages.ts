/** What the main thread and the two workers say to each other. */
import type { ErrorCode } from '../errors.ts';
import type { Durable, Entry, EnvelopePoint, Opened } from './contract.ts';

/** One `append`, encoded: its bytes move to the writer, they are not copied. */
export interface Batch {
  readonly run: number;
  readonly content: Uint8Array;
  readonly entries: number;
  readonly firstSeq: number;
  readonly lastSeq: number;
  readonly firstTUs: number;
  readonly lastTUs: number;
  /** Those of the entries that also show outside the blocks: run starts, wall anchors, outcomes; in order. */
  readonly landmarks: readonly Entry[];
  readonly points: readonly EnvelopePoint[];
}

export interface StoredCheckpoint {
  readonly run: number;
  readonly seq: number;
  readonly why: string;
  /** Canonical CBOR. */
  readonly state: Uint8Array;
}

export type ToWriter =
  | { readonly do: 'append'; readonly batch: Batch; readonly flush: boolean }
  | { readonly do: 'flush' }
  | { readonly do: 'checkpoint'; readonly checkpoint: StoredCheckpoint }
  | { readonly do: 'close' };

export type FromWriter =
  | { readonly say: 'opened'; readonly opened: Opened }
  | { readonly say: 'failed'; readonly code: ErrorCode; readonly where: string; readonly detail: string }
  /** `entries` and `bytes` of this commit. */
  | { readonly say: 'durable'; readonly upTo: Durable; readonly entries: number; readonly bytes: number }
  | { readonly say: 'refused'; readonly code: string; readonly detail: string };

/** A question to the reader: a name of Queries with its arguments. */
export interface ToReader {
  readonly id: number;
  readonly ask: string;
  readonly args: readonly unknown[];
}

export type FromReader =
  | { readonly id: number; readonly answer: unknown }
  | { readonly id: number; readonly error: string };
