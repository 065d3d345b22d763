/**
 * Does a sample cost more when the past is longer? The whole core with windows of 10 s and of 10 min, fed the same calm
 * level by turns in one process: CPU time per sample, its ratio, and how many blocks each keeps. A ratio is a claim, a
 * time is not.
 */

import { drivers } from '../../../drivers/index.ts';
import { Random } from '../../../simulators/random.ts';
import { NOTHING_CARRIED } from '../../../src/core/carried.ts';
import type { BenchDescription } from '../../../src/core/description.ts';
import { numericsProbe } from '../../../src/core/numerics.ts';
import { createPipeline, type Pipeline } from '../../../src/core/pipeline.ts';
import type { State } from '../../../src/core/state.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../../../src/core/version.ts';
import { testBench } from '../../support/bench.ts';
import { median, range } from '../figures.ts';

const SHORT_S = 10;
const LONG_S = 600;
const RATES_HZ: readonly number[] = [5, 20, 100];
const PAIRS = 9;
/** Samples that one turn takes. */
const TURN = 3000;
const ENCODER = new TextEncoder();

/** One core with its own past. */
class Core {
  readonly #pipeline: Pipeline = createPipeline(drivers);
  readonly #random = Random.of(1, 'window cost');
  readonly #hz: number;
  #state: State | null = null;
  #seq = 0;
  #tUs = 0;

  constructor(longestS: number, hz: number) {
    this.#hz = hz;
    this.#admit({
      kind: 'run-start',
      ...{ run: 1, schema: SCHEMA_VERSION, algorithm: ALGORITHM_VERSION, software: 'cost', drivers: {} },
      ...{ bench: benchWith(longestS, hz), numerics: numericsProbe(), calibrations: [], carried: NOTHING_CARRIED },
    });
    for (const instrument of ['probe', 'sonar'])
      this.#admit({ kind: 'link', instrument, state: 'open', reason: 'connected', connection: 1, detail: '' });
  }

  #admit(input: object): void {
    const full = { ...input, seq: ++this.#seq, tUs: this.#tUs } as Parameters<Pipeline['step']>[1];
    this.#state = this.#pipeline.step(this.#state, full).state;
  }

  #line(instrument: string, text: string): void {
    this.#admit({ kind: 'frame', instrument, connection: 1, bytes: ENCODER.encode(text), request: 0 });
  }

  take(samples: number): void {
    const every = Math.max(1, Math.round(this.#hz / 2));
    for (let i = 0; i < samples; i++) {
      this.#tUs += Math.round(1e6 / this.#hz);
      if (i % every === 0) this.#line('probe', 'T=50.00 C ok');
      this.#line('sonar', `sonar;${(62 + this.#random.normal(0, 0.1)).toFixed(2)};mm;q=80`);
    }
  }

  get blocks(): number {
    return (this.#state as State).steadiness.series.levels.reduce((sum, level) => sum + level.length, 0);
  }
}

function benchWith(longestS: number, hz: number): BenchDescription {
  const faster = (one: { readonly id: string; readonly intervalUs: number }) =>
    one.id === 'sonar' || one.id === 'level' ? 1e6 / hz : one.intervalUs;
  return {
    ...testBench,
    instruments: testBench.instruments.map((one) => ({ ...one, intervalUs: faster(one) })),
    channels: testBench.channels.map((one) => ({ ...one, intervalUs: faster(one) })),
    measure: { ...testBench.measure, steady: { ...testBench.measure.steady, longestUs: longestS * 1e6 } },
  };
}

function cpuUs(work: () => void): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return user + system;
}

export function windowCost(say: (text: string) => void): void {
  say(
    `CPU time of the core per sample, µs, windows of ${SHORT_S} s and ${LONG_S} s by turns (${PAIRS} pairs of ${TURN} samples):\n\n` +
      '| samples a second | blocks kept | short | long | ratio (median of pairs) | smallest to largest |\n|---|---|---|---|---|---|\n',
  );
  for (const hz of RATES_HZ) {
    const [short, long] = [new Core(SHORT_S, hz), new Core(LONG_S, hz)];
    for (const core of [short, long]) core.take(Math.ceil((LONG_S + 60) * hz));
    const pairs = Array.from({ length: PAIRS }, () =>
      [short, long].map((core) => cpuUs(() => core.take(TURN)) / TURN),
    ) as [number, number][];
    const [a, b] = [0, 1].map((i) => median(pairs.map((pair) => pair[i as 0 | 1])).toFixed(0));
    say(`| ${hz} | ${short.blocks}, ${long.blocks} | ${a} | ${b} | ${range(pairs.map(([s, l]) => l / s))} |\n`);
  }
}
