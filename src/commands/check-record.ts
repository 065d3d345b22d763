/** The two questions about a record, each with its own answer: is the chain intact; do the outcomes come out the same? */
import { drivers } from '../../drivers/index.ts';
import { StillwellError } from '../errors.ts';
import type { Entry } from '../journal/contract.ts';
import type { RecordFile } from '../journal/record-file.ts';
import type { Resume } from '../journal/sealed/format.ts';
import { compareEntries, type Difference, type Watch } from '../replay/compare.ts';
import type { Checks, Recomputed } from '../report/record.ts';
import type { Progress } from './progress.ts';

export function checkChain(journal: Pick<RecordFile, 'verifySeal'>, progress: Progress): Checks['chain'] {
  const { ok, parts, entries, firstFault } = journal.verifySeal((part, of) => progress.at(part, of, 'chain'));
  return { ok, parts, entries, fault: firstFault };
}

/**
 * @param entries of whole runs: a run start is where anything can be recomputed from; or a saved state.
 */
export function recompute(
  entries: Iterable<Entry>,
  totalInputs: number,
  progress: Progress,
  watch: Watch | null = null,
  resume: Resume | null = null,
): Recomputed {
  const none = { outcomes: 0, readings: 0, inputs: 0, remarks: [] };
  try {
    const show = (inputs: number) => progress.at(inputs, totalInputs, 'recomputing');
    const { compared, readings, inputs, difference, remarks } = compareEntries(entries, drivers, show, watch, resume);
    const told = { outcomes: compared, readings, inputs, remarks };
    if (difference !== null) return { ...told, answer: 'different', detail: differenceWords(difference) };
    return { ...told, answer: compared === 0 ? 'nothing' : 'equal', detail: '' };
  } catch (error) {
    // Frames that cannot be read are an answer of their own; so is an input that no run can have led to.
    const detail = error instanceof StillwellError ? error.detail : (error as Error).message;
    return { ...none, answer: 'unreadable', detail };
  }
}

function differenceWords({ run, seq, stored, recomputed }: Difference): string {
  const where = `At input ${seq} of run ${run}`;
  if (stored?.kind === 'reading' && recomputed?.kind === 'reading') {
    const [kept, anew] = [stored.reading, recomputed.reading];
    if (kept.levelMm !== anew.levelMm || kept.U95Mm !== anew.U95Mm)
      return `${where} the record says reading ${kept.id} is ${kept.levelMm} ± ${kept.U95Mm} mm; its frames give ${anew.levelMm} ± ${anew.U95Mm} mm.`;
  }
  const told = (side: Difference['stored']) => (side === null ? 'nothing' : `${side.kind} (event ${side.event})`);
  return `${where} the record says ${told(stored)}, the frames give ${told(recomputed)}, and the two are not the same.`;
}
