/** Everything that is scored on one bench, as plain data. */
import { generateBench, type SeededBench } from '../../../simulators/seeded-bench/generate.ts';
import type { BenchParameters } from '../../../simulators/seeded-bench/parameters.ts';
import type { Happening } from '../../../simulators/seeded-bench/script.ts';
import { GRID_S } from '../../../simulators/seeded-bench/world.ts';
import type { Reading } from '../../../src/core/events.ts';
import { staleAfterUs } from '../../../src/core/limits.ts';
import { oracleReady } from './oracle.ts';
import { type Played, play } from './play.ts';
import { type DetectorScore, scoreDetector, spellsOf } from './score.ts';
import { both, lengthOf } from './spans.ts';
import { holds, spreads } from './spread-hold.ts';
import { judgeTruth, trueLevelMm } from './truth.ts';

export interface SpreadHold {
  readonly holdS: number;
  readonly withMedian: boolean;
  /** In tolerances. */
  readonly limit: number;
}

/** The settings that stand in the table, and finer ones for the comparison at equal false share. */
export const LISTED_LIMITS: readonly number[] = [1, 2, 3];
const LIMITS: readonly number[] = [0.05, 0.1, 0.2, 0.3, 0.5, 0.7, ...LISTED_LIMITS];
export const SPREAD_HOLDS: readonly SpreadHold[] = [5, 10, 20].flatMap((holdS) =>
  [false, true].flatMap((withMedian) => LIMITS.map((limit) => ({ holdS, withMedian, limit }))),
);

export interface ReadingScore {
  readonly errorMm: number;
  readonly U95Mm: number;
  readonly toleranceMm: number;
  /** What the owner states of instruments, fluid and compensation leaves room for a third of the tolerance. */
  readonly sharpEnough: boolean;
}

export interface ForecastScore {
  readonly remainingS: number;
  readonly s: number;
  readonly covered: boolean;
  /** Load, engine or fluid changed between forecast and opening: no curve foretells that. */
  readonly disturbed: boolean;
}

export interface BenchScore {
  readonly seed: number;
  readonly p: BenchParameters;
  /** What happened, by kind. */
  readonly happened: readonly Happening['kind'][];
  readonly lastsS: number;
  readonly fitS: number;
  readonly hz: number;
  readonly unfitS: number;
  readonly oraclesS: readonly number[];
  readonly ours: DetectorScore;
  readonly oracle: DetectorScore;
  /** In the order of SPREAD_HOLDS. */
  readonly spreadHolds: readonly DetectorScore[];
  /** The first reading of the bench. */
  readonly reading: ReadingScore | null;
  readonly forecasts: readonly ForecastScore[];
  readonly untold: number;
}

export interface Evaluated {
  readonly bench: SeededBench;
  readonly played: Played;
  readonly truth: ReturnType<typeof judgeTruth>;
  readonly oracle: ReturnType<typeof oracleReady>;
  readonly score: BenchScore;
}

export async function evaluate(seed: number): Promise<Evaluated> {
  const bench = generateBench(seed);
  const played = await play(bench);
  const truth = judgeTruth(bench);
  const oracle = oracleReady(bench);
  const spells = spellsOf(truth, oracle);
  const samplesS = bench.rows.map(({ tS }) => tS);
  const { toleranceMm } = bench.p.declared;
  const forgetS = staleAfterUs(bench.p.gauge.intervalS * 1e6) / 1e6;
  const cache = new Map<string, ReturnType<typeof spreads>>();
  const spreadHolds = SPREAD_HOLDS.map(({ holdS, withMedian, limit }) => {
    const key = `${holdS} ${withMedian}`;
    const found = cache.get(key) ?? spreads(played.levels, holdS, withMedian, forgetS);
    cache.set(key, found);
    const ready = both(holds(found, limit * toleranceMm, truth.lastsS), played.window);
    return scoreDetector(ready, truth, spells, samplesS);
  });
  const score: BenchScore = {
    seed,
    p: bench.p,
    happened: bench.happenings.map(({ kind }) => kind),
    lastsS: truth.lastsS,
    fitS: lengthOf(truth.fit),
    hz: 1 / bench.p.gauge.intervalS,
    unfitS: lengthOf(truth.unfit.map(({ span }) => span)),
    oraclesS: spells.map(({ oracleS }) => oracleS),
    ours: scoreDetector(played.ready, truth, spells, samplesS),
    oracle: scoreDetector(oracle, truth, spells, samplesS),
    spreadHolds,
    reading: scoreReading(bench, played),
    forecasts: scoreForecasts(bench, played),
    untold: played.untold,
  };
  return { bench, played, truth, oracle, score };
}

/** Nothing but the first reading: the bench is left once it was taken. */
export async function evaluateReading(seed: number): Promise<ReadingScore | null> {
  const bench = generateBench(seed);
  return scoreReading(bench, await play(bench, true));
}

/** The first reading of a bench, against the level that it should give. */
export function scoreReading(bench: SeededBench, { readings }: Pick<Played, 'readings'>): ReadingScore | null {
  const first = readings[0];
  if (first === undefined) return null;
  const i = Math.min(Math.floor(first.tS / GRID_S), bench.world.levelMm.length - 1);
  const { toleranceMm } = bench.p.declared;
  return {
    errorMm: first.reading.levelMm - trueLevelMm(bench, i),
    U95Mm: first.reading.U95Mm,
    toleranceMm,
    sharpEnough: 1.96 * statedMm(first.reading) <= 0.8 * (toleranceMm / 3),
  };
}

/** Standard uncertainty from everything but the samples of the reading. */
function statedMm({ budget }: Reading): number {
  const stated = budget.filter(({ type, component }) => type === 'B' && !component.startsWith('drift'));
  return Math.sqrt(stated.reduce((sum, { contributionMm }) => sum + contributionMm * contributionMm, 0));
}

/** Nearer than this an error relative to the rest says nothing. */
const NEAREST_S = 5;
const DISTURBS = new Set(['load', 'engine-off', 'pour']);

/** Against the moment at which the gate of the window opened. */
export function scoreForecasts(
  { happenings }: Pick<SeededBench, 'happenings'>,
  { forecasts, openings }: Pick<Played, 'forecasts' | 'openings'>,
): ForecastScore[] {
  return forecasts.flatMap(({ tS, s, lowS, highS }) => {
    const opening = openings.find((at) => at > tS);
    if (opening === undefined || opening - tS < NEAREST_S) return [];
    const remainingS = opening - tS;
    return [
      {
        remainingS,
        s,
        covered: remainingS >= lowS && (highS === null || remainingS <= highS),
        disturbed: happenings.some(({ kind, atS }) => DISTURBS.has(kind) && atS > tS && atS < opening),
      },
    ];
  });
}
