/**
 * A reading: the mean of the calm window at the reference temperature, with an uncertainty budget combined after
 * JCGM 100:2008 (GUM), clauses 4 and 5 and annex G.
 */
import { byTemperature, influenceLines } from './budget.ts';
import { type Compensated, compensate } from './compensation.ts';
import type { Influence } from './context.ts';
import type { BenchDescription, ChannelDescription, CompensationDescription } from './description.ts';
import type { BudgetLine, Reading, ReadingCause } from './events.ts';
import type { Calm } from './steadiness.ts';
import { combine } from './uncertainty/combine.ts';
import { COMPENSATION_SLOPE, instrumentError, line, normal, rectangular, scatter } from './uncertainty/line.ts';
import { levelInWords } from './uncertainty/words.ts';
import { volumeAt } from './volume.ts';

const US_PER_MIN = 60e6;

export interface ReadingContext {
  readonly id: number;
  readonly cause: ReadingCause;
  readonly job: number | null;
  readonly bench: BenchDescription;
  readonly level: Measured;
  readonly temperature: Measured;
}

/** A channel, and what its mean value leans on. */
export interface Measured {
  readonly channel: ChannelDescription;
  readonly influences: readonly Influence[];
}

export function takeReading(calm: Calm, context: ReadingContext): Reading {
  const { bench, level, temperature } = context;
  const { referenceC, compensation } = bench.measure;
  const at = compensate(calm.meanRawMm, calm.meanTemperatureC, referenceC, compensation);
  const budget = budgetOf(calm, at, context);
  const { uMm, coverageFactor, U95Mm } = combine(budget);
  const volume = volumeAt(bench, calm.meanRawMm, calm.meanTemperatureC);
  const uVolumeL = volume && Math.sqrt(volume.perMm * volume.perMm * uMm * uMm + volume.uVesselL * volume.uVesselL);
  return {
    id: context.id,
    cause: context.cause,
    job: context.job,
    levelMm: at.mm,
    referenceC,
    U95Mm,
    coverageFactor,
    budget,
    words: levelInWords(at.mm, U95Mm),
    basis: {
      levelChannel: level.channel.id,
      temperatureChannel: temperature.channel.id,
      compensation: compensationWords(compensation),
      calibrations: [],
    },
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

/** Every component once. The other ones of a reading (machine, calibration, way of compensation) are lines here too. */
function budgetOf(calm: Calm, at: Compensated, { bench, level, temperature }: ReadingContext): BudgetLine[] {
  const { channels, measure } = bench;
  const { id: levelId, resolution: stepMm, standardUncertainty: uLevelMm } = level.channel;
  const { id: temperatureId, resolution: stepK, standardUncertainty: uTemperatureK } = temperature.channel;
  const halfDriftMm = (Math.abs(calm.driftMmPerMin) * (calm.spanUs / US_PER_MIN)) / 2;
  const noiseMm = calm.noiseMm / Math.sqrt(calm.effective);
  // The temperature moves the level twice: through the compensation, and through the speed of sound or the density.
  const perK = at.perK + byTemperature(level.influences, temperatureId);
  return [
    line('repeatability', scatter(noiseMm, 'mm', Math.max(1, calm.effective - 2))),
    line('drift over the window', rectangular(halfDriftMm, 'mm')),
    line('level resolution', rectangular(stepMm / 2, 'mm')),
    line('level instrument', normal(uLevelMm, 'mm'), { shared: instrumentError(levelId) }),
    line('temperature resolution', rectangular(stepK / 2, 'K'), { sensitivity: perK }),
    line('temperature instrument', normal(uTemperatureK, 'K'), {
      sensitivity: perK,
      shared: instrumentError(temperatureId),
    }),
    line('compensation slope', normal(measure.compensation.uMmPerK, 'mm/K'), {
      sensitivity: at.perSlope,
      shared: COMPENSATION_SLOPE,
    }),
    ...influenceLines(level.channel, level.influences, 1, channels, temperatureId),
    ...influenceLines(temperature.channel, temperature.influences, perK, channels, temperatureId),
  ];
}

function compensationWords({ kind, mmPerK }: CompensationDescription): string {
  return `${kind} ${mmPerK} mm/K`;
}
