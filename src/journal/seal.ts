/**
 * The seal: every part that was ever committed has a digest over its content, and a chain value over everything up to
 * it. Storing a part otherwise (packed, merged with its neighbours) touches neither.
 *
 *   digest n = SHA-256(content n)
 *   chain 0  = SHA-256(journal id)
 *   chain n  = SHA-256(chain n-1 ‖ header n ‖ digest n),  header = canonical CBOR of { part, run, firstSeq, lastSeq }
 */
import { createHash } from 'node:crypto';
import { canonicalBytes, fromCanonicalBytes } from './codec.ts';

export interface PartHeader {
  /** Counts the parts of the journal, from 1. */
  readonly part: number;
  readonly run: number;
  readonly firstSeq: number;
  readonly lastSeq: number;
}

/** What a block's row says about each part in it, in order. */
export interface PartMark {
  readonly bytes: number;
  readonly entries: number;
  readonly firstSeq: number;
  readonly lastSeq: number;
  readonly digest: Uint8Array;
  readonly chain: Uint8Array;
}

export function sha256(...pieces: readonly (Uint8Array | string)[]): Uint8Array {
  const hash = createHash('sha256');
  for (const piece of pieces) hash.update(piece);
  return new Uint8Array(hash.digest());
}

export function chainStart(journalId: string): Uint8Array {
  return sha256(journalId);
}

export function chainNext(before: Uint8Array, { part, run, firstSeq, lastSeq }: PartHeader, digest: Uint8Array) {
  return sha256(before, canonicalBytes({ part, run, firstSeq, lastSeq }), digest);
}

export function same(a: Uint8Array, b: Uint8Array): boolean {
  return Buffer.compare(a, b) === 0;
}

export function packMarks(marks: readonly PartMark[]): Uint8Array {
  return canonicalBytes(marks.map((m) => [m.bytes, m.entries, m.firstSeq, m.lastSeq, m.digest, m.chain]));
}

/** Back from packMarks. Throws on anything that packMarks would not have written. */
export function unpackMarks(packed: Uint8Array): PartMark[] {
  const rows = fromCanonicalBytes(packed);
  if (!Array.isArray(rows)) throw new TypeError('the list of parts is no list');
  const marks = rows.map((row: unknown): PartMark => {
    if (!Array.isArray(row) || row.length !== 6) throw new TypeError('a part has the wrong number of fields');
    const [bytes, entries, firstSeq, lastSeq, digest, chain] = row as unknown[];
    if (![bytes, entries, firstSeq, lastSeq].every(Number.isSafeInteger)) throw new TypeError('a count is no count');
    if (!(digest instanceof Uint8Array && chain instanceof Uint8Array)) throw new TypeError('a digest is no digest');
    return { bytes, entries, firstSeq, lastSeq, digest, chain } as PartMark;
  });
  if (!same(packMarks(marks), packed)) throw new TypeError('the list of parts is not in its one encoding');
  return marks;
}
