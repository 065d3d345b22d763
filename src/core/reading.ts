/**
 * A reading: the mean of the calm window at the reference temperature, with an uncertainty budget combined after
 * JCGM 100:2008 (GUM), clauses 4 and 5 and annex G.
 */
import { byTemperature, influenceLines } from './budget.ts';
import { calibrationLines } from './calibration/budget-lines.ts';
import type { CalibrationComponent } from './calibration/components.ts';
import type { Compensated } from './compensation/compensate.ts';
import type { CompensationDescription } from './compensation/description.ts';
import type { Behind, Influence } from './context.ts';
import type { BenchDescription, ChannelDescription } from './description.ts';
import type { BudgetLine, Reading, ReadingCause } from './events.ts';
import type { Calm } from './steadiness.ts';
import { combine } from './uncertainty/combine.ts';
import { instrumentError, line, normal, rectangular, scatter } from './uncertainty/line.ts';
import { levelInWords } from './uncertainty/words.ts';
import { volumeAt } from './volume.ts';

export interface ReadingContext {
  readonly id: number;
  readonly cause: ReadingCause;
  readonly job: number | null;
  readonly bench: BenchDescription;
  /** The mean level, brought to the reference. */
  readonly at: Compensated;
  readonly referenceC: number;
  readonly machineState: string;
  /** Certificates that the values rest on. */
  readonly certificates: readonly string[];
  /** Speed of the fluid's temperature. */
  readonly fluidKPerS: number;
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
  const { bench, at, level, temperature } = context;
  const budget = budgetOf(calm, context);
  const { uMm, coverageFactor, U95Mm } = combine(budget);
  const volume = volumeAt(bench, calm.meanRawMm, calm.meanTemperatureC);
  const uVolumeL = volume && Math.sqrt(volume.perMm * volume.perMm * uMm * uMm + volume.uVesselL * volume.uVesselL);
  return {
    id: context.id,
    cause: context.cause,
    job: context.job,
    levelMm: at.mm - calm.meanAboveRestMm,
    referenceC: context.referenceC,
    U95Mm,
    coverageFactor,
    budget,
    words: levelInWords(at.mm - calm.meanAboveRestMm, U95Mm),
    basis: {
      levelChannel: level.channel.id,
      temperatureChannel: temperature.channel.id,
      compensation: compensationWords(bench.measure.compensation),
      calibrations: context.certificates,
    },
    rawLevelMm: calm.meanRawMm,
    temperatureC: calm.meanTemperatureC,
    volumeL: volume?.litres ?? null,
    volumeU95L: uVolumeL && coverageFactor * uVolumeL,
    machineState: context.machineState,
    used: calm.used,
    setAside: calm.setAside,
    firstSeq: calm.first.seq,
    lastSeq: calm.last.seq,
    fromUs: calm.first.tUs,
    toUs: calm.last.tUs,
  };
}

/** Every component once. The other ones of a reading (machine, calibration, way of compensation) are lines here too. */
function budgetOf(calm: Calm, context: ReadingContext): BudgetLine[] {
  const { bench, at, level, temperature } = context;
  const { channels } = bench;
  const { perLevel } = at;
  const { id: levelId, resolution: stepMm, standardUncertainty: uLevelMm } = level.channel;
  const { id: temperatureId, resolution: stepK, standardUncertainty: uTemperatureK } = temperature.channel;
  const degreesOfFreedom = Math.max(1, calm.effective - 2);
  const noiseMm = calm.noiseMm / Math.sqrt(calm.effective);
  // The temperature moves the level twice: through the compensation, and through the speed of sound or the density.
  const perK = at.perK + perLevel * byTemperature(level.influences, temperatureId);
  return [
    line('repeatability', scatter(noiseMm, 'mm', degreesOfFreedom), { sensitivity: perLevel }),
    // What was still to settle is taken off; how well that is known stays.
    line('settling', scatter(calm.uMeanAboveRestMm, 'mm', degreesOfFreedom)),
    line('level resolution', rectangular(stepMm / 2, 'mm'), { sensitivity: perLevel }),
    line('level instrument', normal(uLevelMm, 'mm'), { sensitivity: perLevel, shared: instrumentError(levelId) }),
    line('temperature resolution', rectangular(stepK / 2, 'K'), { sensitivity: perK }),
    line('temperature instrument', normal(uTemperatureK, 'K'), {
      sensitivity: perK,
      shared: instrumentError(temperatureId),
    }),
    line('lag of the probe', normal(bench.measure.probeLag.uS, 's'), {
      sensitivity: perK * context.fluidKPerS,
      shared: 'lag of the probe',
    }),
    ...(bench.measure.uStemK === undefined
      ? []
      : [
          line('stem of the probe', normal(bench.measure.uStemK, 'K'), {
            sensitivity: perK,
            shared: 'stem of the probe',
          }),
        ]),
    ...at.leans.map(({ name, u, unit, perUnit, shared }) =>
      line(name, normal(u, unit), { sensitivity: perUnit, shared }),
    ),
    ...circuitLines(context),
    ...influenceLines(level.channel, level.influences, perLevel, channels, temperatureId),
    ...influenceLines(temperature.channel, temperature.influences, perK, channels, temperatureId),
    ...calibratedLines(level, perLevel),
    ...calibratedLines(temperature, perK),
    ...(context.zeroDrift === null ? [] : [context.zeroDrift]),
  ];
}

/** The temperature of the circuit: its own channel's, or what it may differ from the fluid measured. */
function circuitLines({ bench, at }: ReadingContext): BudgetLine[] {
  const { circuit, channels, measure } = bench;
  if (circuit === null || measure.compensation.kind !== 'vessel-and-fluid') return [];
  const part = { sensitivity: at.perCircuitK };
  const own = channels.find(({ id }) => id === circuit.temperatureChannel);
  return [
    line('temperature of the circuit', normal(circuit.uTemperatureK, 'K'), { ...part, shared: 'circuit temperature' }),
    ...(own === undefined
      ? []
      : [
          line('thermometer of the circuit', normal(own.standardUncertainty, 'K'), {
            ...part,
            shared: instrumentError(own.id),
          }),
          line('resolution of the thermometer of the circuit', rectangular(own.resolution / 2, 'K'), part),
        ]),
  ];
}

function compensationWords(by: CompensationDescription): string {
  return by.kind === 'slope' ? `slope ${by.mmPerK} mm/K` : by.kind;
}

/** The calibration of a channel, and those of the channels that its law leans on. */
function calibratedLines({ channel, calibration, behind }: Measured, perUnit: number): BudgetLine[] {
  return [
    ...calibrationLines(channel, calibration, perUnit),
    ...behind.flatMap((one) => calibrationLines(one.channel, one.calibration, perUnit * one.perUnit)),
  ];
}
