/**
 * A sealed job, one file, every byte of it covered by the signature at its end:
 *
 *   header line     "Stillwell sealed job 1" and a line feed; the number is the version of the format
 *   manifest        one CBOR item: what job it is, of which journal, by which software, whose key, where recomputing begins
 *   blocks          CBOR items: whole parts of the journal as they were committed, with their digests and chain values
 *   signature       the last 64 bytes: Ed25519 (RFC 8032) over SHA-256 of everything before them
 *
 * CBOR in the core deterministic form of RFC 8949, as in the journal. Nothing in it depends on when it was written: the
 * same job sealed again by the same software with the same key gives the same bytes.
 */
import { decodeFirst } from 'cborg';
import { StillwellError } from '../../errors.ts';
import { canonicalBytes, STRICT } from '../codec.ts';
import type { DatedOutcome } from '../contract.ts';

export const SEALED_VERSION = 1;
export const SIGNATURE_BYTES = 64;
const TITLE = 'Stillwell sealed job ';
export const HEADER = `${TITLE}${SEALED_VERSION}\n`;
/** Of the file's name. */
export const SEALED = '.sealed';

export interface SealedJob {
  readonly id: number;
  readonly label: string;
  /** The run that it began in. */
  readonly run: number;
  readonly startedEvent: number;
  readonly startedSeq: number;
  readonly closedEvent: number;
  readonly closedSeq: number;
}

/** The core state after that input: inputs above it are recomputed from here. */
export interface Resume {
  readonly seq: number;
  /** CBOR, as saved in the journal (codec.ts, stateBytes). */
  readonly state: Uint8Array;
}

export interface Manifest {
  readonly journal: string;
  readonly job: SealedJob;
  /** Who sealed it; who measured stands in the run starts. */
  readonly sealedBy: { readonly software: string; readonly schema: number; readonly algorithm: number };
  /** DER of the public key. */
  readonly publicKey: Uint8Array;
  /** Null: from the start of the run that the job began in. */
  readonly resume: Resume | null;
  /** The newest word on each alarm of before the job. */
  readonly before: readonly DatedOutcome[];
}

/** What is known of the signature of a file. */
export interface Signature {
  /** Of the key inside the file. */
  readonly fingerprint: string;
  /** In words; null where it fits that key and everything before it. */
  readonly fault: string | null;
}

/** Parts that follow one another; their marks as in a row of `blocks`. */
export interface SealedBlock {
  /** Chain value of the part before, where these do not follow the block before in the file; else null. */
  readonly chainBefore: Uint8Array | null;
  readonly firstPart: number;
  readonly run: number;
  readonly codec: number;
  readonly marks: Uint8Array;
  readonly content: Uint8Array;
}

export function encodeManifest(manifest: Manifest): Uint8Array {
  return canonicalBytes({ ...manifest }, 'manifest');
}

export function encodeBlock({ chainBefore, firstPart, run, codec, marks, content }: SealedBlock): Uint8Array {
  return canonicalBytes([chainBefore, firstPart, run, codec, marks, content], 'block');
}

/** Whether the file says that it is one; its version may still be a later one. */
export function isSealed(beginning: Uint8Array): boolean {
  return Buffer.from(beginning).toString('latin1', 0, TITLE.length) === TITLE;
}

export interface Contents {
  readonly manifest: Manifest;
  readonly blocks: readonly SealedBlock[];
}

/** @throws StillwellError sealed-newer, sealed-damaged */
export function decodeContents(bytes: Uint8Array, where: string): Contents {
  const line = Buffer.from(bytes.buffer, bytes.byteOffset, Math.min(bytes.length, 64)).toString('latin1');
  const version = /^(\d{1,9})\n/.exec(line.slice(TITLE.length))?.[1];
  if (!isSealed(bytes) || version === undefined)
    throw new StillwellError('sealed-damaged', where, 'its first line is not that of a sealed job');
  if (Number(version) > SEALED_VERSION)
    throw new StillwellError('sealed-newer', where, `version ${version}; this software knows ${SEALED_VERSION}`);
  if (!line.startsWith(HEADER)) throw new StillwellError('sealed-damaged', where, `there is no version ${version}`);
  try {
    return contentsOf(bytes.subarray(HEADER.length, Math.max(HEADER.length, bytes.length - SIGNATURE_BYTES)));
  } catch (error) {
    throw new StillwellError('sealed-damaged', where, (error as Error).message);
  }
}

function contentsOf(bytes: Uint8Array): Contents {
  const items: unknown[] = [];
  let rest = new Uint8Array(bytes);
  while (rest.length > 0) {
    const [item, remainder] = decodeFirst(rest, STRICT) as [unknown, Uint8Array<ArrayBuffer>];
    items.push(item);
    rest = remainder;
  }
  const [manifest, ...blocks] = items;
  return { manifest: manifestOf(manifest), blocks: blocks.map(blockOf) };
}

function manifestOf(item: unknown): Manifest {
  const { journal, job, sealedBy, publicKey, resume, before } = fields(item);
  const { id, label, ...numbers } = fields(job);
  const { software, schema, algorithm } = fields(sealedBy);
  const counts = ['run', 'startedEvent', 'startedSeq', 'closedEvent', 'closedSeq'].map((name) => numbers[name]);
  if (![id, schema, algorithm, ...counts].every(Number.isSafeInteger)) throw new TypeError('a number is none');
  if (![journal, label, software].every((text) => typeof text === 'string')) throw new TypeError('a text is none');
  if (!(publicKey instanceof Uint8Array)) throw new TypeError('the public key is missing');
  if (!Array.isArray(before)) throw new TypeError('what was before is missing');
  if (resume !== null && !(Number.isSafeInteger(fields(resume).seq) && fields(resume).state instanceof Uint8Array))
    throw new TypeError('the saved state has no place');
  return item as Manifest;
}

function fields(item: unknown): Record<string, unknown> {
  if (item === null || typeof item !== 'object' || Array.isArray(item)) throw new TypeError('a part of it is missing');
  return item as Record<string, unknown>;
}

function blockOf(item: unknown): SealedBlock {
  if (!Array.isArray(item) || item.length !== 6) throw new TypeError('a block has the wrong number of fields');
  const [chainBefore, firstPart, run, codec, marks, content] = item as unknown[];
  const bytes = [marks, content, ...(chainBefore === null ? [] : [chainBefore])];
  if (![firstPart, run, codec].every(Number.isSafeInteger)) throw new TypeError('a number of a block is none');
  if (!bytes.every((one) => one instanceof Uint8Array)) throw new TypeError('a block has lost its bytes');
  return { chainBefore, firstPart, run, codec, marks, content } as SealedBlock;
}
