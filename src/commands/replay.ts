/** `stillwell replay`: the same inputs through the same code; are the outcomes the same? And is the seal intact? */
import { drivers } from '../../drivers/index.ts';
import { StillwellError } from '../errors.ts';
import { openRecord } from '../journal/record-file.ts';
import { compareEntries, type Difference } from '../replay/compare.ts';
import { counted } from './out.ts';

/**
 * Exit codes: 0 all equal and sealed, 2 nothing to compare, 3 equal but the seal is broken, 4 a difference, 5 both. (1 is
 * any other failure, such as a file that cannot be read.)
 */
export async function replay(
  file: string,
  out: NodeJS.WritableStream,
  progress: NodeJS.WritableStream | null,
): Promise<number> {
  const journal = openRecord(file);
  try {
    if (journal.isCopy) out.write('note: the folder may not be written to, so a copy of the record is read\n');
    const total = journal.countInputs();
    const show = (inputs: number) => progress?.write(`\r  ${inputs} of ${total} inputs`);
    const chain = journal.verifySeal();
    const fault = journal.signature?.fault ?? chain.firstFault;
    const seal = { ...chain, ok: fault === null, firstFault: fault };
    const comparison = compareEntries(journal.entries(), drivers, show, null, journal.resume);
    progress?.write('\r\x1b[K');
    for (const remark of comparison.remarks) out.write(`note: ${remark}\n`);
    out.write(
      seal.ok
        ? `seal: intact (${counted(seal.parts, 'part')}, ${counted(seal.entries, 'entry', 'entries')})\n`
        : `seal: BROKEN: ${seal.firstFault}\n`,
    );
    const { runs, inputs, compared, difference } = comparison;
    if (difference !== null) {
      out.write(
        `replay: DIFFERENT at run ${difference.run}, input ${difference.seq}, after ${counted(compared, 'equal outcome')}\n`,
      );
      out.write(sides(difference));
      return seal.ok ? 4 : 5;
    }
    if (compared === 0) {
      out.write(
        `replay: nothing to compare: ${counted(inputs, 'input')} in ${counted(runs, 'run')} led to no outcome\n`,
      );
      return 2;
    }
    out.write(
      `replay: equal: ${counted(compared, 'outcome')} from ${counted(inputs, 'input')} in ${counted(runs, 'run')}\n`,
    );
    return seal.ok ? 0 : 3;
  } catch (error) {
    if (error instanceof StillwellError) throw error;
    throw new StillwellError('journal-damaged', file, (error as Error).message);
  } finally {
    journal.close();
  }
}

function sides({ stored, recomputed }: Difference): string {
  const text = (side: unknown) => (side === null ? 'nothing' : JSON.stringify(side));
  return `  stored:     ${text(stored)}\n  recomputed: ${text(recomputed)}\n`;
}
