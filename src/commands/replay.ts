/** `stillwell replay`: the same inputs through the same code; are the outcomes the same? And is the seal intact? */
import { drivers } from '../../drivers/index.ts';
import { readJournal } from '../journal/read-file.ts';
import { compareEntries, type Difference } from '../replay/compare.ts';

/** Exit codes: 0 all equal, 1 a difference, 2 nothing to compare, 3 the seal is broken. */
export async function replay(
  file: string,
  out: NodeJS.WritableStream,
  progress: NodeJS.WritableStream | null,
): Promise<number> {
  const journal = readJournal(file);
  try {
    const total = journal.countInputs();
    const show = (inputs: number) => progress?.write(`\r  ${inputs} of ${total} inputs`);
    const seal = journal.verifySeal();
    const comparison = compareEntries(journal.entries(), drivers, show);
    progress?.write('\r\x1b[K');
    for (const remark of comparison.remarks) out.write(`note: ${remark}\n`);
    out.write(
      seal.ok ? `seal: intact (${seal.parts} parts, ${seal.entries} entries)\n` : `seal: BROKEN: ${seal.firstFault}\n`,
    );
    const { runs, inputs, compared, difference } = comparison;
    if (difference !== null) {
      out.write(
        `replay: DIFFERENT at run ${difference.run}, input ${difference.seq}, after ${compared} equal outcomes\n`,
      );
      out.write(sides(difference));
      return 1;
    }
    if (compared === 0) {
      out.write(`replay: nothing to compare: ${inputs} inputs in ${runs} runs led to no outcome\n`);
      return 2;
    }
    out.write(`replay: equal: ${compared} outcomes from ${inputs} inputs in ${runs} runs\n`);
    return seal.ok ? 0 : 3;
  } finally {
    journal.close();
  }
}

function sides({ stored, recomputed }: Difference): string {
  const text = (side: unknown) => (side === null ? 'nothing' : JSON.stringify(side));
  return `  stored:     ${text(stored)}\n  recomputed: ${text(recomputed)}\n`;
}
