/** What a model says of one kelvin, to be held against what a warm-up taught. */
import type { BenchDescription } from '../description.ts';
import { compensate, type Found } from './compensate.ts';
import type { LearnedSlope, ModelSlope, SlopeDescription } from './description.ts';

type Bench = Pick<BenchDescription, 'measure' | 'fluid' | 'vessel' | 'circuit'>;

/**
 * mm/K around the temperature of `found`, by vessel and fluid where the bench knows both, else by the chart or slope that
 * it states; null where it is silent there.
 */
export function modelSlope(bench: Bench, found: Found): ModelSlope | null {
  const { compensation } = bench.measure;
  const stated: SlopeDescription | null = compensation.kind === 'learned' ? compensation.until : null;
  const known = bench.fluid !== null && bench.vessel !== null;
  const by = known ? ({ kind: 'vessel-and-fluid' } as const) : (stated ?? compensation);
  const oneK = { ...found, referenceC: found.temperatureC - 1 };
  const { mm, leans, inRange } = compensate({ ...bench, measure: { ...bench.measure, compensation: by } }, oneK);
  const there = compensate(
    { ...bench, measure: { ...bench.measure, compensation: by } },
    { ...oneK, temperatureC: oneK.referenceC },
  );
  if (!inRange || !there.inRange) return null;
  const variance = leans
    .filter(({ shared }) => shared !== 'tilt')
    .reduce((sum, { perUnit, u }) => sum + perUnit * u * (perUnit * u), 0);
  return { mmPerK: there.mm - mm, uMmPerK: Math.sqrt(variance) };
}

/** Whether the two differ by no more than twice the standard uncertainty of their difference. */
export function agrees(learned: LearnedSlope, model: ModelSlope): boolean {
  const u = Math.sqrt(learned.uMmPerK * learned.uMmPerK + model.uMmPerK * model.uMmPerK);
  return Math.abs(learned.mmPerK - model.mmPerK) <= 2 * u;
}
