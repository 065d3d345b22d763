/**
 * Runs the inputs of a journal through the core again and compares every outcome with the stored one, exactly, by
 * their canonical bytes. Nothing compared is a failure, not a success.
 */
import type { Decoders } from '../core/decoder.ts';
import type { Input, InputOf, Outcome, Output } from '../core/events.ts';
import { numericsProbe } from '../core/numerics.ts';
import { createPipeline } from '../core/pipeline.ts';
import type { State } from '../core/state.ts';
import { ALGORITHM_VERSION } from '../core/version.ts';
import { canonicalBytes } from '../journal/codec.ts';
import type { Entry } from '../journal/contract.ts';
import type { Resume } from '../journal/sealed/format.ts';
import { resumed } from './resume.ts';

export interface Comparison {
  readonly runs: number;
  readonly inputs: number;
  readonly compared: number;
  /** Those of them that are readings. */
  readonly readings: number;
  /** The first outcome that differs; either side is null where it is missing. */
  readonly difference: Difference | null;
  /** Circumstances that explain a difference without a fault in the record. */
  readonly remarks: readonly string[];
}

export interface Difference {
  readonly run: number;
  readonly seq: number;
  readonly stored: Outcome | null;
  readonly recomputed: Outcome | null;
}

/** Sees every step; with one, the inputs after a difference are gone through too. */
export type Watch = (run: number, input: Input, outputs: readonly Output[]) => void;

/**
 * @param resume entries up to its place are not gone through: they are in its state.
 * @throws Error where this software cannot go on from that state
 */
export function compareEntries(
  entries: Iterable<Entry>,
  decoders: Decoders,
  onProgress: (inputs: number) => void = () => {},
  watch: Watch | null = null,
  resume: Resume | null = null,
): Comparison {
  const pipeline = createPipeline(decoders);
  const remarks = new Set<string>();
  let state: State | null = null;
  let runs = 0;
  let inputs = 0;
  let compared = 0;
  let readings = 0;
  let difference: Difference | null = null;
  let run = 0;
  let start: InputOf<'run-start'> | null = null;
  let seq = 0;
  let expected: Outcome[] = [];
  const told = (): Comparison => ({ runs, inputs, compared, readings, difference, remarks: [...remarks] });
  for (const entry of entries) {
    if (entry.kind === 'outcome') {
      if (difference !== null || (resume !== null && entry.outcome.seq <= resume.seq)) continue;
      const recomputed = expected.shift() ?? null;
      if (recomputed === null || !sameBytes(entry.outcome, recomputed)) {
        difference = { run, seq, stored: entry.outcome, recomputed };
        if (watch === null) return told();
        continue;
      }
      compared++;
      if (recomputed.kind === 'reading') readings++;
      continue;
    }
    const { input } = entry;
    const missing = expected[0];
    // What the last input before a kill led to may be lost with it: it was never announced.
    if (difference === null && missing !== undefined && input.kind !== 'run-start') {
      difference = { run, seq, stored: null, recomputed: missing };
      if (watch === null) return told();
    }
    if (input.kind === 'run-start') {
      runs++;
      run = input.run;
      start = input;
      if (input.algorithm !== ALGORITHM_VERSION)
        remarks.add(`run ${run} was made with algorithm ${input.algorithm}, this is ${ALGORITHM_VERSION}`);
      if (input.numerics !== numericsProbe())
        remarks.add(`run ${run} was made where exp and log round differently (${input.numerics})`);
      if (state !== null && !sameBytes(state.carried, input.carried))
        remarks.add(`run ${run} does not begin where run ${run - 1} ends as recomputed`);
    }
    seq = input.seq;
    if (resume !== null && seq <= resume.seq) {
      watch?.(run, input, []);
      continue;
    }
    if (resume !== null && state === null) state = resumed(resume, start);
    const step = pipeline.step(state, input);
    state = step.state;
    expected = step.outputs.flatMap((output) => (output.kind === 'outcome' ? [output.outcome] : []));
    watch?.(run, input, step.outputs);
    inputs++;
    if (inputs % 4096 === 0) onProgress(inputs);
  }
  return told();
}

function sameBytes(a: unknown, b: unknown): boolean {
  const left = canonicalBytes(a);
  const right = canonicalBytes(b);
  return left.length === right.length && left.every((byte, index) => byte === right[index]);
}
