/** `stillwell verify`: can this record be relied on? Two answers, for people; `stillwell replay` says the same for tests. */
import { readJournal } from '../journal/read-file.ts';
import { checkChain, recompute } from './check-record.ts';
import { counted, type Out } from './out.ts';
import { progressOn } from './progress.ts';

/** Exit codes: 0 both yes, 2 nothing to recompute, 3 the chain is broken, 4 recomputed otherwise or not at all, 5 both. */
export function verify(file: string, out: Out, terminal: Out | null): number {
  const journal = readJournal(file);
  const progress = progressOn(terminal);
  try {
    const chain = checkChain(journal, progress);
    const { answer, outcomes, readings, inputs, detail, remarks } = recompute(
      journal.entries(),
      journal.countInputs(),
      progress,
    );
    progress.end();
    if (journal.isCopy) out.write('note: the folder may not be written to, so a copy of the record was read\n');
    for (const remark of remarks) out.write(`note: ${remark}\n`);
    const extent = `${counted(chain.parts, 'part')}, ${counted(chain.entries, 'entry', 'entries')}`;
    out.write(`Chain intact: ${chain.ok ? `yes (${extent})` : `NO. After ${extent}: ${chain.fault}`}\n`);
    const equal = `${counted(readings, 'reading')} and ${counted(outcomes - readings, 'other outcome')} from ${counted(inputs, 'input')}`;
    const words = {
      equal: `yes (${equal})`,
      different: `NO. ${detail} Before it: ${equal} came out the same.`,
      nothing: `there is nothing to compare (${counted(inputs, 'input')})`,
      unreadable: `it cannot be told: ${detail}`,
    };
    out.write(`Recomputed equal from the frames: ${words[answer]}\n`);
    if (answer === 'nothing') return chain.ok ? 2 : 3;
    if (answer === 'equal') return chain.ok ? 0 : 3;
    return chain.ok ? 4 : 5;
  } finally {
    progress.end();
    journal.close();
  }
}
