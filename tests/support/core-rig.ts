/** Drives the core by hand in virtual time: feeds lines, fires the ticks that it asks for, collects what comes out. */
import { drivers } from '../../drivers/index.ts';
import type { AppliedCertificate } from '../../src/core/calibration/certificate.ts';
import { type Carried, NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { BenchDescription } from '../../src/core/description.ts';
import type { Gate, GateId, Input, Outcome, OutcomeOf, Output } from '../../src/core/events.ts';
import type { ProcedureDescription } from '../../src/core/job/procedure.ts';
import { numericsProbe } from '../../src/core/numerics.ts';
import { createPipeline } from '../../src/core/pipeline.ts';
import type { State } from '../../src/core/state.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../../src/core/version.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { testBench } from './bench.ts';

type New = Input extends infer Each ? (Each extends Input ? Omit<Each, 'seq' | 'tUs'> : never) : never;

export class CoreRig {
  readonly outputs: Output[] = [];
  readonly entries: Entry[] = [];
  state: State | null = null;
  seq = 0;
  tUs = 0;
  wakeAtUs: number | null = null;
  readonly pipeline;

  constructor(
    bench: BenchDescription = testBench,
    registry = drivers,
    carried: Carried = NOTHING_CARRIED,
    calibrations: readonly AppliedCertificate[] = [],
    procedures: readonly ProcedureDescription[] = [],
  ) {
    this.pipeline = createPipeline(registry);
    this.admit({
      kind: 'run-start',
      run: 1,
      schema: SCHEMA_VERSION,
      algorithm: ALGORITHM_VERSION,
      software: 'test',
      bench,
      drivers: {},
      numerics: numericsProbe(),
      calibrations,
      procedures,
      carried,
    });
  }

  admit(input: New): Output[] {
    const full = { ...input, seq: ++this.seq, tUs: this.tUs } as Input;
    this.entries.push({ kind: 'input', input: structuredClone(full) });
    const step = this.pipeline.step(this.state, full);
    this.state = step.state;
    this.wakeAtUs = step.wakeAtUs;
    this.outputs.push(...step.outputs);
    for (const output of step.outputs)
      if (output.kind === 'outcome') this.entries.push({ kind: 'outcome', outcome: structuredClone(output.outcome) });
    return [...step.outputs];
  }

  /** Moves time on, firing the ticks asked for on the way. */
  advanceTo(tUs: number): void {
    while (this.wakeAtUs !== null && this.wakeAtUs <= tUs) {
      this.tUs = Math.max(this.tUs, this.wakeAtUs);
      this.admit({ kind: 'tick' });
    }
    this.tUs = tUs;
  }

  open(instrument: string, connection = 1): void {
    this.admit({ kind: 'link', instrument, state: 'open', reason: 'connected', connection, detail: '' });
  }

  line(instrument: string, text: string | Uint8Array): Output[] {
    const bytes = typeof text === 'string' ? new TextEncoder().encode(text) : text;
    return this.admit({ kind: 'frame', instrument, connection: 1, bytes, request: 0 });
  }

  /** Both instruments talk for `seconds`: temperature at 2 Hz, level at 5 Hz, as functions of time in seconds. */
  run(seconds: number, temperatureC: (t: number) => number, levelMm: (t: number) => number): void {
    const startUs = this.tUs;
    for (let ms = 0; ms < seconds * 1000; ms += 100) {
      this.advanceTo(startUs + ms * 1000);
      const t = this.tUs / 1e6;
      if (ms % 500 === 0) this.line('probe', `T=${temperatureC(t).toFixed(2)} C ok`);
      if (ms % 200 === 0) this.line('sonar', `sonar;${levelMm(t).toFixed(2)};mm;q=80`);
    }
    this.advanceTo(startUs + seconds * 1e6);
  }

  outcomes<K extends Outcome['kind']>(kind: K): OutcomeOf<K>[] {
    return this.outputs.flatMap((output) =>
      output.kind === 'outcome' && output.outcome.kind === kind ? [output.outcome as OutcomeOf<K>] : [],
    );
  }

  gate(id: GateId): Gate {
    const status = this.outputs.findLast((output) => output.kind === 'status');
    const gate = status?.kind === 'status' ? status.gates.find((one) => one.id === id) : undefined;
    if (gate === undefined) throw new Error(`no status with gate ${id} yet`);
    return gate;
  }
}

/** Small deterministic noise in [-1, 1] (Park–Miller generator; published constants). */
export function noise(seed: number): () => number {
  let state = seed % 2147483647;
  return () => {
    state = (state * 48271) % 2147483647;
    return (state / 2147483647) * 2 - 1;
  };
}
