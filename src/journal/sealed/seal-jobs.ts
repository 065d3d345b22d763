/** Seals every closed job of a journal that has no sealed file yet. */
import { existsSync, mkdirSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { StillwellError } from '../../errors.ts';
import { connectReader } from '../connect.ts';
import { truePath } from '../open-file.ts';
import { journalIdOf } from '../schema.ts';
import { closedJobs, sealedName } from './closed-jobs.ts';
import type { FromSealer } from './sealer.ts';
import { fingerprint, KEY_FILE, PUBLIC_KEY_FILE, type SigningKey, signingKey } from './signing-key.ts';
import { writeSealed } from './write.ts';

/** Beside the journal. */
export const SEALED_FOLDER = 'sealed';

export interface SealOptions {
  readonly software: string;
  /** Asked before each job. */
  readonly stopped?: () => boolean;
  /** From how much of its run before the job the saved state is begun with; for tests. */
  readonly longBytes?: number;
}

/** Goes on with the next job where one cannot be sealed; what fails is told, and tried again the next time. */
export function sealJobs(path: string, tell: (message: FromSealer) => void, options: SealOptions): void {
  const journal = truePath(path);
  const folder = dirname(journal);
  const key = keyOf(folder, tell);
  if (key === null) return;
  const db = connectReader(journal);
  try {
    const id = journalIdOf(db);
    for (const job of closedJobs(db)) {
      if (options.stopped?.() === true) return;
      const file = join(folder, SEALED_FOLDER, sealedName(basename(journal), id, job.id));
      if (existsSync(file)) continue;
      try {
        mkdirSync(dirname(file), { recursive: true });
        writeSealed(db, job, file, { key, ...options });
        tell({ say: 'sealed', file, job: job.id });
      } catch (error) {
        tell(failed(new StillwellError('sealing-failed', file, (error as Error).message)));
      }
    }
  } finally {
    db.close();
  }
}

function keyOf(folder: string, tell: (message: FromSealer) => void): SigningKey | null {
  try {
    const key = signingKey(folder);
    if (key.made)
      tell({
        say: 'made-key',
        file: join(folder, KEY_FILE),
        publicFile: join(folder, PUBLIC_KEY_FILE),
        fingerprint: fingerprint(key.publicKey),
      });
    return key;
  } catch (error) {
    if (error instanceof StillwellError) tell(failed(error));
    else tell(failed(new StillwellError('signing-key', join(folder, KEY_FILE), (error as Error).message)));
    return null;
  }
}

function failed({ code, message }: StillwellError): FromSealer {
  return { say: 'failed', code, words: message };
}
