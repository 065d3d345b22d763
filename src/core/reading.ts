/**
 * A reading: the mean of the calm window at the reference temperature, with an uncertainty budget combined after
 * JCGM 100:2008 (GUM), clauses 4 and 5 and annex G.
 */
import { byTemperature, influenceLines, line } from './budget.ts';
import { compensate } from './compensation.ts';
import type { Influence } from './context.ts';
import type { BenchDescription, ChannelDescription } from './description.ts';
import type { BudgetLine, Reading, ReadingCause } from './events.ts';
import type { Calm } from './steadiness.ts';
import { studentT95 } from './student.ts';
import { volumeAt } from './volume.ts';

export interface ReadingContext {
  readonly id: number;
  readonly cause: ReadingCause;
  readonly job: number | null;
  readonly bench: BenchDescription;
  /** Speed of the fluid's temperature. */
  readonly fluidKPerS: number;
  readonly level: Measured;
  readonly temperature: Measured;
}

/** A channel, and what its mean value leans on. */
export interface Measured {
  readonly channel: ChannelDescription;
  readonly influences: readonly Influence[];
}

export function takeReading(calm: Calm, context: ReadingContext): Reading {
  const { bench } = context;
  const { measure } = bench;
  const { channel: level } = context.level;
  const { channel: temperature } = context.temperature;
  const at = compensate(calm.meanRawMm, calm.meanTemperatureC, measure.referenceC, measure.compensation);
  // The temperature moves the level twice: through the compensation, and through the speed of sound or the density.
  const perK = at.perK + byTemperature(context.level.influences, temperature.id);
  const budget: BudgetLine[] = [
    line('repeatability', 'A', calm.noiseMm / Math.sqrt(calm.effective), 'mm', 1, Math.max(1, calm.effective - 2)),
    // What was still to settle is taken off; how well that is known stays.
    line('settling', 'A', calm.uMeanAboveRestMm, 'mm', 1, Math.max(1, calm.effective - 2)),
    // One step wide: step / √12 (GUM F.2.2.1).
    line('level resolution', 'B', level.resolution / Math.sqrt(12), 'mm', 1, null),
    line('level instrument', 'B', level.standardUncertainty, 'mm', 1, null),
    line('temperature resolution', 'B', temperature.resolution / Math.sqrt(12), 'K', perK, null),
    line('temperature instrument', 'B', temperature.standardUncertainty, 'K', perK, null),
    line('lag of the probe', 'B', measure.probeLag.uS, 's', perK * context.fluidKPerS, null),
    line('compensation slope', 'B', measure.compensation.uMmPerK, 'mm/K', at.perSlope, null),
    ...influenceLines(level, context.level.influences, 1, bench.channels, temperature.id),
    ...influenceLines(temperature, context.temperature.influences, perK, bench.channels, temperature.id),
  ];
  const variance = budget.reduce((sum, { contributionMm }) => sum + contributionMm * contributionMm, 0);
  const coverageFactor = studentT95(effectiveDegreesOfFreedom(budget, variance));
  const volume = volumeAt(bench, calm.meanRawMm, calm.meanTemperatureC);
  const uVolumeL = volume && Math.sqrt(volume.perMm * volume.perMm * variance + volume.uVesselL * volume.uVesselL);
  return {
    id: context.id,
    cause: context.cause,
    job: context.job,
    levelMm: at.mm - calm.meanAboveRestMm,
    referenceC: measure.referenceC,
    U95Mm: coverageFactor * Math.sqrt(variance),
    coverageFactor,
    budget,
    rawLevelMm: calm.meanRawMm,
    temperatureC: calm.meanTemperatureC,
    volumeL: volume?.litres ?? null,
    volumeU95L: uVolumeL && coverageFactor * uVolumeL,
    machineState: 'not stated',
    used: calm.used,
    setAside: calm.setAside,
    firstSeq: calm.first.seq,
    lastSeq: calm.last.seq,
    fromUs: calm.first.tUs,
    toUs: calm.last.tUs,
  };
}

/** Welch–Satterthwaite (GUM G.2b), for independent components. */
export function effectiveDegreesOfFreedom(budget: readonly BudgetLine[], variance: number): number {
  let sum = 0;
  for (const { contributionMm, degreesOfFreedom } of budget) {
    const square = contributionMm * contributionMm;
    if (degreesOfFreedom !== null) sum += (square * square) / degreesOfFreedom;
  }
  return sum > 0 ? (variance * variance) / sum : Number.POSITIVE_INFINITY;
}
