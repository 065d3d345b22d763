/** A level alone, sample by sample, through steadiness and its two gates: what opens, shuts and when. */
import { emptyAir } from '../../src/core/air.ts';
import type { Gate } from '../../src/core/events.ts';
import { ALL_SHUT, type GateFacts } from '../../src/core/gates.ts';
import { calmGate, settledGate } from '../../src/core/gates-level.ts';
import type { SteadyDemand } from '../../src/core/settling.ts';
import { addPoint, type Calm, emptySteadiness, judge } from '../../src/core/steadiness.ts';
import { testBench } from './bench.ts';

/** Uniform numbers in (0, 1) (Park–Miller generator; published constants). */
export function uniform(seed: number): () => number {
  let state = seed % 2147483647;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

/** Standard normal numbers by the polar form of Box and Muller (1958). */
export function gaussian(seed: number): () => number {
  const next = uniform(seed);
  let spare: number | null = null;
  return () => {
    if (spare !== null) {
      const value = spare;
      spare = null;
      return value;
    }
    const size = Math.sqrt(-2 * Math.log(next()));
    const angle = 2 * Math.PI * next();
    spare = size * Math.sin(angle);
    return size * Math.cos(angle);
  };
}

/** First-order autoregressive noise of standard deviation 1. */
export function correlated(seed: number, tauS: number): (tS: number) => number {
  const random = gaussian(seed);
  let value = random();
  let lastS = 0;
  return (tS) => {
    const keep = Math.exp(-(tS - lastS) / tauS);
    lastS = tS;
    value = keep * value + Math.sqrt(1 - keep * keep) * random();
    return value;
  };
}

export interface Watched {
  readonly tS: number;
  readonly calm: Calm | null;
  readonly gates: readonly [calm: Gate, settled: Gate];
  readonly open: boolean;
}

export interface LevelOptions {
  readonly everyS?: number;
  readonly forS: number;
  readonly toleranceMm?: number;
  readonly resolutionMm?: number;
  readonly longestS?: number;
  /** Times at which nothing is sent. */
  readonly lost?: (tS: number) => boolean;
  /** Share of the interval by which a sample may be early or late. */
  readonly jitter?: number;
}

/** Level in mm as a function of time; tolerance 1 mm, 5 samples a second unless told otherwise. */
export function watch(mm: (tS: number) => number, options: LevelOptions): Watched[] {
  const { everyS = 0.2, forS, toleranceMm = 1, resolutionMm = 0.01, longestS = 120, jitter = 0 } = options;
  const demand: SteadyDemand = { toleranceMm, sigmas: 2.33, settlingS: 20, longestS, resolutionMm };
  const state = emptySteadiness();
  const random = uniform(99);
  const steady = { ...testBench.measure.steady, toleranceMm, wavesMm: 1.5 * toleranceMm };
  const seen: Watched[] = [];
  let before = ALL_SHUT;
  for (let i = 0; i * everyS <= forS; i++) {
    const tS = Math.max(0, (i + jitter * (2 * random() - 1)) * everyS);
    if (options.lost?.(tS) === true) continue;
    const tUs = Math.round(tS * 1e6);
    const level = Math.round(mm(tS) / resolutionMm) * resolutionMm;
    addPoint(state, { tUs, seq: i + 1, mm: level, rawMm: level, temperatureC: 50 }, demand);
    const calm = judge(state, tUs, demand, { lowC: 46, highC: 54 });
    const { waiting, suspicion } = state.screening;
    const first = state.waiting[0];
    const doubtful = {
      count: waiting,
      suspicion,
      forUs: first === undefined ? 0 : tUs - first.tUs,
      stepUs: everyS * 1e6,
      overdue: false,
    };
    const facts = {
      calm,
      changedUs: state.changedUs,
      tUs,
      doubtful,
      air: emptyAir(),
      measure: { ...testBench.measure, steady },
    } as GateFacts;
    const gates = [calmGate(facts, before.calm), settledGate(facts, before.settled)] as const;
    before = { ...ALL_SHUT, calm: gates[0].open, settled: gates[1].open };
    seen.push({ tS, calm, gates, open: gates.every(({ open }) => open) });
  }
  return seen;
}

/** When it was first open at or after `fromS`; Infinity for never. */
export function opens(seen: readonly Watched[], fromS = 0): number {
  return seen.find(({ tS, open }) => open && tS >= fromS)?.tS ?? Number.POSITIVE_INFINITY;
}

/** When it was first shut at or after `fromS`; Infinity for never. */
export function shuts(seen: readonly Watched[], fromS = 0): number {
  return seen.find(({ tS, open }) => !open && tS >= fromS)?.tS ?? Number.POSITIVE_INFINITY;
}

/** Share of the samples between two times at which it was open. */
export function openShare(seen: readonly Watched[], fromS: number, toS: number): number {
  const part = seen.filter(({ tS }) => tS >= fromS && tS < toS);
  return part.filter(({ open }) => open).length / part.length;
}
