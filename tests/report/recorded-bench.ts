/** A bench in virtual time that writes a real journal: jobs, runs and lines as a test wants them. Figures of our own. */
import { drivers } from '../../drivers/index.ts';
import type { AppliedCertificate } from '../../src/core/calibration/certificate.ts';
import type { BenchDescription } from '../../src/core/description.ts';
import type { ActionBody, Input, Outcome } from '../../src/core/events.ts';
import { numericsProbe } from '../../src/core/numerics.ts';
import { createPipeline } from '../../src/core/pipeline.ts';
import type { State } from '../../src/core/state.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../../src/core/version.ts';
import { stateBytes } from '../../src/journal/codec.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { type Direct, direct } from '../journal/direct.ts';
import { testBench } from '../support/bench.ts';
import { applied, certificate } from '../support/certificates.ts';
import { normals } from '../support/draws.ts';

type New = Input extends infer Each ? (Each extends Input ? Omit<Each, 'seq' | 'tUs'> : never) : never;

export const BENCH: BenchDescription = {
  ...testBench,
  name: 'Press hall, tank 2',
  machineStates: ['standing', 'idling'],
  measure: {
    ...testBench.measure,
    match: {
      toleranceMm: 1.5,
      rule: { by: 'probability', probability: 0.9 },
      refitMm: 0,
      refits: null,
      newFluidMm: 0,
      target: { levelMm: 62, uMm: 0.2 },
    },
  },
};

export const BEGAN_UTC_MS = Date.UTC(2031, 2, 4, 9, 0, 0);

export const CERTIFICATES: readonly AppliedCertificate[] = [
  applied(
    'level',
    certificate(
      {
        kind: 'correction',
        ...{ low: 20, high: 120, centre: 70, halfSpan: 50, coefficients: [0.12, 0.04] },
        ...{
          covariance: [
            [0.0004, 0],
            [0, 0.0004],
          ],
          degreesOfFreedom: 4,
          residualSd: 0.02,
        },
        ...{ scatterDegreesOfFreedom: 4, lackOfFit: null },
      },
      {
        id: 'lev-0007',
        channel: 'level',
        signal: 'level',
        unit: 'mm',
        identity: 'gauge 3',
        atUtcMs: BEGAN_UTC_MS - 60 * 86_400_000,
        dueUtcMs: BEGAN_UTC_MS + 305 * 86_400_000,
      },
    ),
  ),
];

export class RecordedBench {
  readonly #path: string;
  readonly #bench: BenchDescription;
  readonly #pipeline = createPipeline(drivers);
  readonly #normal = normals(41);
  #direct: Direct;
  #state: State | null = null;
  #pending: Entry[] = [];
  #wakeAtUs: number | null = null;
  #seq: number;
  #run: number;
  #actions = 0;
  #forgeByMm = 0;
  tUs = 0;

  constructor(path: string, bench: BenchDescription = BENCH) {
    this.#path = path;
    this.#bench = bench;
    this.#direct = direct(path, 1);
    this.#seq = this.#direct.writer.opened().lastSeq;
    this.#run = this.#direct.writer.opened().lastRun;
  }

  /** A process start at that wall clock. */
  startRun(utcMs: number): void {
    const { carried } = this.#direct.writer.opened();
    this.#run += 1;
    this.tUs = 0;
    this.#state = null;
    this.#admit({
      kind: 'run-start',
      ...{ run: this.#run, schema: SCHEMA_VERSION, algorithm: ALGORITHM_VERSION, software: 'stillwell test' },
      ...{ bench: this.#bench, drivers: { columns: 'c0ffee'.repeat(10), pattern: 'bead'.repeat(16) } },
      ...{ numerics: numericsProbe(), calibrations: CERTIFICATES, carried },
    });
    this.#admit({ kind: 'wall', utcMs, zone: 'Europe/Lisbon', offsetMin: 0, cause: 'start' });
    for (const instrument of ['probe', 'sonar'])
      this.#admit({ kind: 'link', instrument, state: 'open', reason: 'connected', connection: 1, detail: '' });
  }

  /** The wall clock was set. */
  tellTime(utcMs: number): void {
    this.#admit({ kind: 'wall', utcMs, zone: 'Europe/Lisbon', offsetMin: 0, cause: 'step' });
    this.flush();
  }

  act(body: ActionBody, actor = 'Ines'): void {
    this.#actions += 1;
    const actionId = `${this.#run}-${this.#actions}`;
    const expectedRevision = this.#state?.carried.revision ?? 0;
    this.#admit({ kind: 'action', actionId, actor, role: 'technician', expectedRevision, body });
    this.flush();
  }

  /** Both instruments talk; without a function one is mute. `t` counts from here, s. */
  talk(seconds: number, temperatureC: ((t: number) => number) | null, levelMm: ((t: number) => number) | null): void {
    const startUs = this.tUs;
    for (let ms = 0; ms < seconds * 1000; ms += 100) {
      this.#advanceTo(startUs + ms * 1000);
      if (ms % 500 === 0 && temperatureC !== null)
        this.#line('probe', `T=${(temperatureC(ms / 1000) + 0.03 * this.#normal()).toFixed(2)} C ok`);
      if (ms % 200 === 0 && levelMm !== null)
        this.#line('sonar', `sonar;${(levelMm(ms / 1000) + 0.08 * this.#normal()).toFixed(2)};mm;q=80`);
      if (ms % 5000 === 0) this.flush();
    }
    this.#advanceTo(startUs + seconds * 1e6);
    this.flush();
  }

  /** The next reading goes into the record with another level than the one that was measured. */
  forgeNextReading(byMm: number): void {
    this.#forgeByMm = byMm;
  }

  /** As the bench does it when a job has started. */
  saveState(): void {
    this.flush();
    const state = new Uint8Array(stateBytes(structuredClone(this.#state)));
    this.#direct.writer.checkpoint({ run: this.#run, seq: this.#seq, why: 'job-start', state });
  }

  flush(): void {
    if (this.#pending.length > 0) this.#direct.append({ run: this.#run, entries: this.#pending, points: [] });
    this.#pending = [];
    this.#direct.writer.flush();
  }

  /** The process ends; `again` opens the same journal. */
  stop(again = false): void {
    this.flush();
    this.#direct.close();
    if (again) this.#direct = direct(this.#path, 1);
  }

  #line(instrument: string, text: string): void {
    this.#admit({ kind: 'frame', instrument, connection: 1, bytes: new TextEncoder().encode(text), request: 0 });
  }

  #advanceTo(tUs: number): void {
    while (this.#wakeAtUs !== null && this.#wakeAtUs <= tUs) {
      this.tUs = Math.max(this.tUs, this.#wakeAtUs);
      this.#admit({ kind: 'tick' });
    }
    this.tUs = tUs;
  }

  #admit(input: New): void {
    const full = { ...input, seq: ++this.#seq, tUs: this.tUs } as Input;
    this.#pending.push({ kind: 'input', input: structuredClone(full) });
    const step = this.#pipeline.step(this.#state, full);
    this.#state = step.state;
    this.#wakeAtUs = step.wakeAtUs;
    for (const output of step.outputs)
      if (output.kind === 'outcome')
        this.#pending.push({ kind: 'outcome', outcome: this.#forged(structuredClone(output.outcome)) });
  }

  #forged(outcome: Outcome): Outcome {
    if (outcome.kind !== 'reading' || this.#forgeByMm === 0) return outcome;
    const levelMm = outcome.reading.levelMm + this.#forgeByMm;
    this.#forgeByMm = 0;
    return { ...outcome, reading: { ...outcome.reading, levelMm } };
  }
}

/**
 * Job 1 through two runs: warm-up, a first reading, a silent thermometer, a note that a spreadsheet and a browser might
 * take for theirs, a restart, a last reading; then job 2, which stays open.
 */
export function writeJobs(path: string, label = 'Press 4 <b>&, leak at "B"'): void {
  const bench = new RecordedBench(path);
  bench.startRun(BEGAN_UTC_MS);
  bench.act({ type: 'start-job', label });
  bench.act({ type: 'state-machine', state: 'idling' });
  const warming = (t: number) => 40 + 0.1 * t;
  bench.talk(90, warming, (t) => 58 + 0.25 * (warming(t) - 50));
  bench.act({ type: 'note', text: '=SUM(A1:A9)</td><script>alert(1)</script>, gasket "old"\nsecond line' });
  bench.talk(8, null, () => 58);
  bench.talk(
    30,
    () => 49.6,
    () => 57.9,
  );
  bench.act({ type: 'take-reading' });
  bench.stop(true);
  bench.startRun(BEGAN_UTC_MS + 300_000);
  bench.talk(
    25,
    () => 50.2,
    () => 61.8,
  );
  bench.act({ type: 'close-job' });
  bench.act({ type: 'start-job', label: 'Press 5' });
  bench.talk(
    2,
    () => 50.2,
    () => 61.8,
  );
  bench.stop();
}
