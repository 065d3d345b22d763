/** `stillwell verify`: can this record be relied on? Each question has its own answer, for people. */
import { StillwellError } from '../errors.ts';
import { readJournal } from '../journal/read-file.ts';
import { isSealedFile } from '../journal/record-file.ts';
import { checkChain, recompute } from './check-record.ts';
import type { Out } from './out.ts';
import { progressOn } from './progress.ts';
import { verifySealed } from './verify-sealed.ts';
import { exitCode, tellChain, tellRecomputed, type VerifyOptions } from './verify-words.ts';

/** Exit codes: 0 all yes, 2 nothing to recompute, 3 chain or signature broken, 4 recomputed otherwise or not at all, 5 both. */
export function verify(file: string, options: VerifyOptions, out: Out, terminal: Out | null): number {
  if (isSealedFile(file)) return verifySealed(file, options, out, terminal);
  const only = [options.key && '--key', options.journal && '--journal'].filter(Boolean);
  if (only.length > 0)
    throw new StillwellError(
      'sealed-damaged',
      file,
      `it is no sealed job; ${only.join(' and ')} can be asked of those only`,
    );
  const journal = readJournal(file);
  const progress = progressOn(terminal);
  try {
    const chain = checkChain(journal, progress);
    const recomputed = recompute(journal.entries(), journal.countInputs(), progress);
    progress.end();
    if (journal.isCopy) out.write('note: the folder may not be written to, so a copy of the record was read\n');
    for (const remark of recomputed.remarks) out.write(`note: ${remark}\n`);
    tellChain(chain, out);
    tellRecomputed(recomputed, out);
    return exitCode(chain.ok, recomputed.answer);
  } finally {
    progress.end();
    journal.close();
  }
}
