/** From many benches to the figures of the table. */
import { type BenchScore, type ReadingScore, SPREAD_HOLDS, type SpreadHold } from './one-bench.ts';
import type { DetectorScore } from './score.ts';

export interface Figures {
  /** Share of unfit time with ready shown. */
  readonly falseShare: number;
  readonly knowableFalseShare: number;
  readonly missed: number;
  readonly spells: number;
  /** A spell that was missed counts as later than any. */
  readonly medianS: number;
  readonly p90S: number;
  readonly onsetsPerSpell: number;
}

export function figuresOf(benches: readonly BenchScore[], pick: (bench: BenchScore) => DetectorScore): Figures {
  const unfitS = sum(benches.map((bench) => bench.unfitS));
  const scores = benches.map(pick);
  const delays = scores.flatMap(({ delaysS }) => delaysS.map((delay) => delay ?? Number.POSITIVE_INFINITY));
  return {
    falseShare: sum(scores.map(({ falseS }) => falseS)) / unfitS,
    knowableFalseShare: sum(scores.map(({ knowableFalseS }) => knowableFalseS)) / unfitS,
    missed: delays.filter((delay) => delay === Number.POSITIVE_INFINITY).length,
    spells: delays.length,
    medianS: quantile(delays, 0.5),
    p90S: quantile(delays, 0.9),
    onsetsPerSpell: sum(scores.map(({ onsets }) => onsets)) / delays.length,
  };
}

/** Nearest rank; NaN of nothing. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(share * sorted.length) - 1))] ?? Number.NaN;
}

export function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}

export interface SpreadHoldFigures extends SpreadHold, Figures {}

export function spreadHoldFigures(benches: readonly BenchScore[]): SpreadHoldFigures[] {
  return SPREAD_HOLDS.map((setting, i) => ({
    ...setting,
    ...figuresOf(benches, ({ spreadHolds }) => spreadHolds[i] as DetectorScore),
  }));
}

/** As good or better on all three of false, missed and late. */
export function asGood(other: Figures, ours: Figures): boolean {
  return other.falseShare <= ours.falseShare && other.missed <= ours.missed && other.medianS <= ours.medianS;
}

/**
 * At equal false share: of each hold, with and without median, the widest limit whose false share is no larger than
 * ours; where even the narrowest is falser, that.
 */
export function atEqualFalse(
  all: readonly SpreadHoldFigures[],
  ours: Figures,
): readonly { readonly holdS: number; readonly withMedian: boolean; readonly best: SpreadHoldFigures }[] {
  const kinds = new Map(all.map((one) => [`${one.holdS} ${one.withMedian}`, one]));
  return [...kinds.values()].map(({ holdS, withMedian }) => {
    const same = all
      .filter((one) => one.holdS === holdS && one.withMedian === withMedian)
      .sort((a, b) => b.limit - a.limit);
    const best = same.find((one) => one.falseShare <= ours.falseShare) ?? (same.at(-1) as SpreadHoldFigures);
    return { holdS, withMedian, best };
  });
}

export interface ReadingFigures {
  readonly count: number;
  readonly coverage: number;
  /** U95 relative to the tolerance, over the benches whose stated uncertainties leave room. */
  readonly medianU: number;
  readonly sharp: number;
}

export function readingFigures(readings: readonly ReadingScore[]): ReadingFigures {
  const sharp = readings.filter(({ sharpEnough }) => sharpEnough);
  return {
    count: readings.length,
    coverage: readings.filter(({ errorMm, U95Mm }) => Math.abs(errorMm) <= U95Mm).length / readings.length,
    medianU: quantile(
      sharp.map(({ U95Mm, toleranceMm }) => U95Mm / toleranceMm),
      0.5,
    ),
    sharp: sharp.length,
  };
}

export interface ForecastFigures {
  readonly count: number;
  readonly coverage: number;
  readonly medianError: number;
}

export function forecastFigures(benches: readonly BenchScore[], withDisturbed: boolean): ForecastFigures {
  const forecasts = benches.flatMap(({ forecasts }) => forecasts).filter((one) => withDisturbed || !one.disturbed);
  return {
    count: forecasts.length,
    coverage: forecasts.filter(({ covered }) => covered).length / forecasts.length,
    medianError: quantile(
      forecasts.map(({ s, remainingS }) => Math.abs(s - remainingS) / remainingS),
      0.5,
    ),
  };
}
