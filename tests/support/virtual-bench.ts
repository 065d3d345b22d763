/**
 * Benches whose truth is known: every error that the description declares is drawn once for the bench (instruments, slope,
 * speed of sound) or once for the reading (noise, steps, fitting), and the signals go through the core as text.
 */
import { drivers } from '../../drivers/index.ts';
import { NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { BenchDescription, ChannelDescription } from '../../src/core/description.ts';
import type { Input, Reading } from '../../src/core/events.ts';
import { createPipeline } from '../../src/core/pipeline.ts';
import type { State } from '../../src/core/state.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../../src/core/version.ts';
import { testBench } from './bench.ts';
import { normalsFrom, uniforms } from './draws.ts';

const [temperature, level] = testBench.channels as [ChannelDescription, ChannelDescription];

/** Figures of our own. */
export const SOUND = { atC: 20, mPerS: 1440, uMPerS: 4, perK: -3.5, uPerK: 0.1 } as const;

/** Millimetres from the board, steps of 0.05 mm. */
export const plainBench: BenchDescription = {
  ...testBench,
  channels: [temperature, { ...level, resolution: 0.05 }],
};

/** Times of an echo through the oil, steps of 0.02 µs. */
export const echoBench: BenchDescription = {
  ...testBench,
  channels: [
    temperature,
    {
      ...level,
      resolution: 0.015,
      law: { kind: 'echo-from-below', faceMm: 3, deadTimeUs: 2, validMm: { low: 5, high: 200 } },
      context: { soundMPerS: { kind: 'fluid', property: 'sound', temperatureChannel: 'temperature' } },
    },
  ],
  measure: { ...testBench.measure, compensation: { kind: 'slope', mmPerK: 0.05, uMmPerK: 0.01 } },
  fluid: {
    kind: 'single',
    name: 'oil',
    density: { kind: 'lubricating-oil', at15KgPerM3: 870, uKgPerM3: 2, uExpansionPerK: 7.5e-5 },
    sound: { kind: 'linear', ...SOUND, lowC: 0, highC: 100, source: 'test' },
  },
};

export interface Truth {
  /** Level at the reference temperature. */
  readonly levelMm: number;
  readonly temperatureC: number;
}

const NOISE_MM = 0.1;
const NOISE_K = 0.05;

/** Long enough for the slowest settling that the bench believes in. */
const WATCHED_MS = 30_000;
/** Where it was not ready just then. */
const AGAIN_MS = 2000;
const MOST_TRIES = 10;

export class VirtualBench {
  readonly #bench: BenchDescription;
  readonly #pipeline = createPipeline(drivers);
  readonly #normal: () => number;
  /** Errors of this bench, the same in all its readings. */
  readonly #own: {
    readonly levelMm: number;
    readonly temperatureK: number;
    readonly slope: number;
    readonly c0: number;
    readonly c1: number;
  };
  #state: State | null = null;
  #seq = 0;
  #tUs = 0;
  #wakeAtUs: number | null = null;
  #readings: Reading[] = [];
  #revision = 0;

  constructor(bench: BenchDescription, seed: number) {
    this.#bench = bench;
    const normal = normalsFrom(uniforms(seed));
    this.#normal = normal;
    this.#own = {
      levelMm: level.standardUncertainty * normal(),
      temperatureK: temperature.standardUncertainty * normal(),
      slope: slopeOf(bench).uMmPerK * normal(),
      c0: SOUND.uMPerS * normal(),
      c1: SOUND.uPerK * normal(),
    };
    this.#admit({
      kind: 'run-start',
      ...{ run: 1, schema: SCHEMA_VERSION, algorithm: ALGORITHM_VERSION, software: 'test', bench, drivers: {} },
      ...{ numerics: '', carried: NOTHING_CARRIED },
    });
    for (const instrument of ['probe', 'sonar'])
      this.#admit({ kind: 'link', instrument, state: 'open', reason: 'connected', connection: 1, detail: '' });
  }

  /**
   * Watches a level that stands still, and asks for a reading when nothing is left to settle: what may still be to come is
   * not among the things drawn. `fittingMm` is how this fitting of the sensor is off.
   */
  read(truth: Truth, fittingMm = 0): Reading {
    // What was before is not joined to what comes.
    this.#admit({ kind: 'gap', cause: 'clock-jump', lostUs: 1e6, lostFrames: 0, ongoing: false });
    this.#watch(WATCHED_MS, truth, fittingMm);
    for (let tries = 0; tries < MOST_TRIES; tries++) {
      if (this.#ask()) return this.#readings.at(-1) as Reading;
      // Noise shut a gate just then.
      this.#watch(AGAIN_MS, truth, fittingMm);
    }
    throw new Error('the level was never read');
  }

  #watch(forMs: number, truth: Truth, fittingMm: number): void {
    for (let ms = 0; ms < forMs; ms += 100) {
      this.#advance();
      if (ms % 500 === 0) {
        const shown = truth.temperatureC + this.#own.temperatureK + NOISE_K * this.#normal();
        this.#line('probe', `T=${shown.toFixed(2)} C`);
      }
      if (ms % 200 === 0) this.#line('sonar', `sonar;${this.#signal(truth, fittingMm)};x;q=80`);
      this.#tUs += 100_000;
    }
  }

  #ask(): boolean {
    const before = this.#readings.length;
    this.#admit({
      kind: 'action',
      actionId: `read-${this.#seq}-now`,
      actor: 'Ada',
      role: 'technician',
      expectedRevision: this.#revision,
      body: { type: 'take-reading' },
    });
    const read = this.#readings.length > before;
    if (read) this.#revision++;
    return read;
  }

  /** What the board sends of the true level. */
  #signal({ levelMm, temperatureC }: Truth, fittingMm: number): string {
    const { referenceC } = this.#bench.measure;
    const slope = slopeOf(this.#bench).mmPerK + this.#own.slope;
    const noise = NOISE_MM * this.#normal();
    const hot = levelMm + slope * (temperatureC - referenceC);
    const seen = hot + this.#own.levelMm + fittingMm + noise;
    if (this.#bench.fluid === null) return (Math.round(seen / 0.05) * 0.05).toFixed(2);
    const c = SOUND.mPerS + this.#own.c0 + (SOUND.perK + this.#own.c1) * (temperatureC - SOUND.atC);
    const us = 2 + (2000 * (seen - 3)) / c;
    return (Math.round(us / 0.02) * 0.02).toFixed(2);
  }

  #line(instrument: string, text: string): void {
    this.#admit({ kind: 'frame', instrument, connection: 1, bytes: new TextEncoder().encode(text), request: 0 });
  }

  #advance(): void {
    const untilUs = this.#tUs;
    while (this.#wakeAtUs !== null && this.#wakeAtUs <= untilUs) {
      this.#tUs = Math.min(this.#wakeAtUs, untilUs);
      this.#admit({ kind: 'tick' });
    }
    this.#tUs = untilUs;
  }

  #admit(input: object): void {
    const step = this.#pipeline.step(this.#state, { ...input, seq: ++this.#seq, tUs: this.#tUs } as Input);
    this.#state = step.state;
    this.#wakeAtUs = step.wakeAtUs;
    for (const output of step.outputs)
      if (output.kind === 'outcome' && output.outcome.kind === 'reading') this.#readings.push(output.outcome.reading);
  }
}

function slopeOf({ measure }: BenchDescription) {
  if (measure.compensation.kind !== 'slope') throw new Error('this bench compensates in another way');
  return measure.compensation;
}
