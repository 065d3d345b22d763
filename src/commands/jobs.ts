/** Jobs, over one journal or several: where they are, and those that fit. */
import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { Reading, Verdict } from '../core/events.ts';
import { StillwellError } from '../errors.ts';
import { openRecord, type RecordFile } from '../journal/record-file.ts';
import { SEALED } from '../journal/sealed/format.ts';

export interface FoundJob {
  readonly file: string;
  readonly id: number;
  readonly label: string;
  /** By its id and its title; empty without one. */
  readonly procedure: readonly string[];
  readonly machineType: string;
  /** Of customer and machine, by their ids. */
  readonly fields: Readonly<Record<string, string>>;
  /** The run that it began in. */
  readonly run: number;
  readonly startedEvent: number;
  readonly startedSeq: number;
  readonly startedUtcMs: number;
  readonly closed: { readonly event: number; readonly seq: number; readonly utcMs: number } | null;
  readonly readings: number;
  readonly lastReading: Pick<Reading, 'id' | 'words' | 'referenceC'> | null;
  readonly lastVerdict: Pick<Verdict, 'reading' | 'result' | 'accepted'> | null;
}

/** In the order in which they began. The newest may be open. */
export function* jobsOf(journal: RecordFile, file: string): Generator<FoundJob> {
  let open = null as FoundJob | null;
  for (const { utcMs, outcome } of journal.outcomes({ kinds: ['job', 'reading', 'verdict'] })) {
    if (outcome.kind === 'job') {
      const { event, seq, run, job, change } = outcome;
      if (change === 'closed' && open !== null) {
        yield { ...open, closed: { event, seq, utcMs } };
        open = null;
      } else if (change === 'started')
        open = {
          ...{ file, id: job.id, label: job.label, run },
          procedure: job.procedure == null ? [] : [job.procedure.id, job.procedure.title],
          ...{ machineType: job.machineType ?? '', fields: job.fields ?? {} },
          ...{ startedEvent: event, startedSeq: seq, startedUtcMs: utcMs, closed: null },
          ...{ readings: 0, lastReading: null, lastVerdict: null },
        };
    } else if (open === null) continue;
    else if (outcome.kind === 'reading' && outcome.reading.job === open.id) {
      const { id, words, referenceC } = outcome.reading;
      open = { ...open, readings: open.readings + 1, lastReading: { id, words, referenceC } };
    } else if (outcome.kind === 'verdict') {
      const { reading, result, accepted } = outcome.verdict;
      open = { ...open, lastVerdict: { reading, result, accepted } };
    }
  }
  if (open !== null) yield open;
}

/** Files as they are named, and of a folder all that end in .journal; its sealed jobs where there is no journal. */
export function journalsAt(places: readonly string[]): string[] {
  const files = (places.length === 0 ? ['.'] : places).flatMap((place) => {
    if (!statSync(place, { throwIfNoEntry: false })?.isDirectory()) return [place];
    const names = readdirSync(place).sort();
    const journals = names.filter((name) => name.endsWith('.journal'));
    return (journals.length > 0 ? journals : names.filter((name) => name.endsWith(SEALED))).map((name) =>
      place === '.' ? name : join(place, name),
    );
  });
  return [...new Set(files)];
}

/** Jobs of all journals. One that cannot be read is told of, and the others go on; where it is the only one, it fails. */
export function jobsIn(files: readonly string[], note: (words: string) => void): FoundJob[] {
  return files.flatMap((file) => {
    let journal: RecordFile;
    try {
      journal = openRecord(file);
    } catch (error) {
      if (files.length === 1 || !(error instanceof StillwellError)) throw error;
      note(`${existsSync(file) ? 'left out' : 'missing'}: ${error.message}`);
      return [];
    }
    try {
      return [...jobsOf(journal, file)];
    } finally {
      journal.close();
    }
  });
}
