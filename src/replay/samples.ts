/** The samples of a record, made again from its frames: they are not kept, what they came from is. */
import type { Decoders } from '../core/decoder.ts';
import type { InputOf, Sample } from '../core/events.ts';
import { createPipeline } from '../core/pipeline.ts';
import type { State } from '../core/state.ts';
import { type Anchor, anchorOf, utcMsAt } from '../journal/calendar.ts';
import type { Entry } from '../journal/contract.ts';
import type { Resume } from '../journal/sealed/format.ts';
import { resumed } from './resume.ts';

export interface DatedSample {
  readonly run: number;
  /** Fractions of ms too; 0 where the run has no date. */
  readonly utcMs: number;
  readonly sample: Sample;
}

export interface SampleReader {
  /** Called with the number of inputs gone through, now and then. */
  readonly onProgress?: (inputs: number) => void;
  readonly onRun?: (start: InputOf<'run-start'>) => void;
  /** Wall clock at the first stamp of a run, 0 where it has none: dates what comes before its first anchor. */
  readonly runUtcMs: (run: number) => number;
  /** Entries up to its place are in its state. */
  readonly resume?: Resume | null;
}

/** One at a time, in the order of the record; nothing is gathered. */
export function* samplesOf(entries: Iterable<Entry>, decoders: Decoders, reader: SampleReader): Generator<DatedSample> {
  const pipeline = createPipeline(decoders);
  let state: State | null = null;
  let run = 0;
  let start: InputOf<'run-start'> | null = null;
  let anchor: Anchor | null = null;
  let inputs = 0;
  for (const entry of entries) {
    if (entry.kind === 'outcome') continue;
    const { input } = entry;
    if (input.kind === 'run-start') {
      run = input.run;
      start = input;
      const utcMs = reader.runUtcMs(run);
      anchor = utcMs === 0 ? null : { run, tUs: 0, utcMs };
      reader.onRun?.(input);
    } else if (input.kind === 'wall') anchor = anchorOf(run, input);
    const { resume = null } = reader;
    if (resume !== null && input.seq <= resume.seq) continue;
    if (resume !== null && state === null) state = resumed(resume, start);
    const step = pipeline.step(state, input);
    state = step.state;
    for (const output of step.outputs)
      if (output.kind === 'sample') yield { run, utcMs: preciselyAt(anchor, run, output.tUs), sample: output };
    inputs++;
    if (inputs % 4096 === 0) reader.onProgress?.(inputs);
  }
}

function preciselyAt(anchor: Anchor | null, run: number, tUs: number): number {
  const whole = utcMsAt(anchor, run, tUs);
  return anchor === null || whole === 0 ? 0 : anchor.utcMs + (tUs - anchor.tUs) / 1000;
}
