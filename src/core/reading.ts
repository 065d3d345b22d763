/**
 * A reading: the mean of the calm window at the reference temperature, with an uncertainty budget combined after
 * JCGM 100:2008 (GUM), clauses 4 and 5 and annex G.
 */
import { byTemperature, influenceLines, line } from './budget.ts';
import { calibrationLines } from './calibration/budget-lines.ts';
import type { CalibrationComponent } from './calibration/components.ts';
import { compensate } from './compensation.ts';
import type { Behind, Influence } from './context.ts';
import type { BenchDescription, ChannelDescription } from './description.ts';
import type { BudgetLine, Reading, ReadingCause } from './events.ts';
import type { Calm } from './steadiness.ts';
import { studentT95 } from './student.ts';
import { volumeAt } from './volume.ts';

const US_PER_MIN = 60e6;

export interface ReadingContext {
  readonly id: number;
  readonly cause: ReadingCause;
  readonly job: number | null;
  readonly bench: BenchDescription;
  readonly level: Measured;
  readonly temperature: Measured;
  /** What the zero has moved between its checks; null where it was not looked at. */
  readonly zeroDrift: BudgetLine | null;
}

/** A channel, and what its mean value leans on. */
export interface Measured {
  readonly channel: ChannelDescription;
  readonly influences: readonly Influence[];
  readonly calibration: readonly CalibrationComponent[];
  readonly behind: readonly Behind[];
}

export function takeReading(calm: Calm, context: ReadingContext): Reading {
  const { bench } = context;
  const { measure } = bench;
  const { channel: level } = context.level;
  const { channel: temperature } = context.temperature;
  const at = compensate(calm.meanRawMm, calm.meanTemperatureC, measure.referenceC, measure.compensation);
  const halfDriftMm = (Math.abs(calm.driftMmPerMin) * (calm.spanUs / US_PER_MIN)) / 2;
  // The temperature moves the level twice: through the compensation, and through the speed of sound or the density.
  const perK = at.perK + byTemperature(context.level.influences, temperature.id);
  const budget: BudgetLine[] = [
    line('repeatability', 'A', calm.noiseMm / Math.sqrt(calm.effective), 'mm', 1, Math.max(1, calm.effective - 2)),
    // Rectangular over the drift seen in the window: half-width / √3 (GUM 4.3.7).
    line('drift over the window', 'B', halfDriftMm / Math.sqrt(3), 'mm', 1, null),
    // One step wide: step / √12 (GUM F.2.2.1).
    line('level resolution', 'B', level.resolution / Math.sqrt(12), 'mm', 1, null),
    line('level instrument', 'B', level.standardUncertainty, 'mm', 1, null),
    line('temperature resolution', 'B', temperature.resolution / Math.sqrt(12), 'K', perK, null),
    line('temperature instrument', 'B', temperature.standardUncertainty, 'K', perK, null),
    line('compensation slope', 'B', measure.compensation.uMmPerK, 'mm/K', at.perSlope, null),
    ...influenceLines(level, context.level.influences, 1, bench.channels, temperature.id),
    ...influenceLines(temperature, context.temperature.influences, perK, bench.channels, temperature.id),
    ...calibratedLines(context.level, 1),
    ...calibratedLines(context.temperature, perK),
    ...(context.zeroDrift === null ? [] : [context.zeroDrift]),
  ];
  const variance = budget.reduce((sum, { contributionMm }) => sum + contributionMm * contributionMm, 0);
  const coverageFactor = studentT95(effectiveDegreesOfFreedom(budget, variance));
  const volume = volumeAt(bench, calm.meanRawMm, calm.meanTemperatureC);
  const uVolumeL = volume && Math.sqrt(volume.perMm * volume.perMm * variance + volume.uVesselL * volume.uVesselL);
  return {
    id: context.id,
    cause: context.cause,
    job: context.job,
    levelMm: at.mm,
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

/** The calibration of a channel, and those of the channels that its law leans on. */
function calibratedLines({ channel, calibration, behind }: Measured, perUnit: number): BudgetLine[] {
  return [
    ...calibrationLines(channel, calibration, perUnit),
    ...behind.flatMap((one) => calibrationLines(one.channel, one.calibration, perUnit * one.perUnit)),
  ];
}
