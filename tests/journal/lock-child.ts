/** Takes the lock of a journal and lets go of it, again and again; says when it was not alone. Arguments: path, times. */
import { closeSync, openSync, rmSync } from 'node:fs';
import { StillwellError } from '../../src/errors.ts';
import { takeLock } from '../../src/journal/lock.ts';

const [path, times] = process.argv.slice(2) as [string, string];
const owner = `${path}-owner`;
let held = 0;
let refused = 0;
while (held < Number(times)) {
  let lock: ReturnType<typeof takeLock>;
  try {
    lock = takeLock(path);
  } catch (error) {
    if (!(error instanceof StillwellError) || error.code !== 'journal-locked') throw error;
    refused += 1;
    continue;
  }
  // fails where another owner is inside
  closeSync(openSync(owner, 'wx'));
  rmSync(owner);
  lock.release();
  held += 1;
}
process.stdout.write(`${JSON.stringify({ held, refused })}\n`);
