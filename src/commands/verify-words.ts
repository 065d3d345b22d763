/** What `stillwell verify` asks and says of journals and of sealed jobs alike. */
import type { Checks, Recomputed } from '../report/record.ts';
import { counted, type Out } from './out.ts';

export interface VerifyOptions {
  /** File of the public key that a sealed job is expected to be signed with. */
  readonly key?: string;
  /** The journal that a sealed job is expected to be of. */
  readonly journal?: string;
}

export function tellChain({ ok, parts, entries, fault }: Checks['chain'], out: Out): void {
  const extent = `${counted(parts, 'part')}, ${counted(entries, 'entry', 'entries')}`;
  out.write(`Chain intact: ${ok ? `yes (${extent})` : `NO. After ${extent}: ${fault}`}\n`);
}

export function tellRecomputed({ answer, outcomes, readings, inputs, detail }: Recomputed, out: Out): void {
  const equal = `${counted(readings, 'reading')} and ${counted(outcomes - readings, 'other outcome')} from ${counted(inputs, 'input')}`;
  const words = {
    equal: `yes (${equal})`,
    different: `NO. ${detail} Before it: ${equal} came out the same.`,
    nothing: `there is nothing to compare (${counted(inputs, 'input')})`,
    unreadable: `it cannot be told: ${detail}`,
  };
  out.write(`Recomputed equal from the frames: ${words[answer]}\n`);
}

export function exitCode(sound: boolean, answer: Recomputed['answer']): number {
  if (answer === 'nothing') return sound ? 2 : 3;
  if (answer === 'equal') return sound ? 0 : 3;
  return sound ? 4 : 5;
}
