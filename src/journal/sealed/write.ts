/** Writes one closed job of a journal as a sealed file. */
import { createHash, sign } from 'node:crypto';
import type Database from 'better-sqlite3';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../../core/version.ts';
import type { Part } from '../blocks.ts';
import { DEFLATE_CODEC, pack } from '../codec.ts';
import { journalIdOf } from '../schema.ts';
import { packMarks } from '../seal.ts';
import { alarmsBefore, beginningOf, LONG_BEFORE_BYTES, partsOfJob } from './collect.ts';
import { writeWhole } from './durable-file.ts';
import { encodeBlock, encodeManifest, HEADER, type Manifest, type SealedBlock, type SealedJob } from './format.ts';
import type { SigningKey } from './signing-key.ts';

/** Parts are packed together up to this, unpacked: small ones hardly shrink alone. */
const BLOCK_BYTES = 512 * 1024;

export interface Sealing {
  readonly key: Pick<SigningKey, 'privateKey' | 'publicKey'>;
  readonly software: string;
  /** See LONG_BEFORE_BYTES. */
  readonly longBytes?: number;
}

/** The file is there as a whole when this returns. Throws where the journal cannot be read, or the disk refuses. */
export function writeSealed(db: Database.Database, job: SealedJob, target: string, sealing: Sealing): void {
  const { key, software, longBytes = LONG_BEFORE_BYTES } = sealing;
  const resume = beginningOf(db, job, longBytes);
  const manifest: Manifest = {
    journal: journalIdOf(db),
    job,
    sealedBy: { software, schema: SCHEMA_VERSION, algorithm: ALGORITHM_VERSION },
    publicKey: key.publicKey,
    resume,
    before: alarmsBefore(db, job),
  };
  writeWhole(target, (write) => {
    const hash = createHash('sha256');
    const covered = (bytes: Uint8Array | string) => {
      hash.update(bytes);
      write(bytes);
    };
    covered(HEADER);
    covered(encodeManifest(manifest));
    for (const block of blocksOf(partsOfJob(db, job, resume))) covered(encodeBlock(block));
    write(sign(null, hash.digest(), key.privateKey));
  });
}

type Follows = Part & { readonly before: Uint8Array | null };

/** By size alone, so that it does not matter how the journal has packed them meanwhile. */
function* blocksOf(parts: Iterable<Follows>): Generator<SealedBlock> {
  let group: Follows[] = [];
  let bytes = 0;
  for (const part of parts) {
    if (group.length > 0 && (part.before !== null || part.run !== group[0]?.run || bytes > BLOCK_BYTES)) {
      yield blockOf(group);
      group = [];
      bytes = 0;
    }
    group.push(part);
    bytes += part.content.length;
  }
  if (group.length > 0) yield blockOf(group);
}

function blockOf(parts: readonly Follows[]): SealedBlock {
  const first = parts[0] as Follows;
  return {
    chainBefore: first.before,
    firstPart: first.part,
    run: first.run,
    codec: DEFLATE_CODEC,
    marks: packMarks(parts),
    content: new Uint8Array(pack(Buffer.concat(parts.map(({ content }) => content)), DEFLATE_CODEC)),
  };
}
