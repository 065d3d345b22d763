/** The reading that a bench would give next, before it has measured anything: what its description alone makes unsure. */
import { calibratedBench } from '../calibration/calibrated-bench.ts';
import type { AppliedCertificate } from '../calibration/certificate.ts';
import { certificateIds } from '../calibration/components.ts';
import { NOTHING_CARRIED } from '../carried.ts';
import { compensate } from '../compensation/compensate.ts';
import { surroundings } from '../context.ts';
import type { BenchDescription, ChannelDescription } from '../description.ts';
import type { Reading } from '../events.ts';
import { findRoot } from '../find-root.ts';
import { lawOf } from '../laws/law-of.ts';
import { machineOn, machineWords } from '../machine.ts';
import { measured } from '../measured.ts';
import { takeReading } from '../reading.ts';
import { type State, stateAtRunStart } from '../state.ts';
import type { Calm } from '../steadiness.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../version.ts';

/** Where it is read; null takes what is usual for the bench. */
export interface Place {
  readonly levelMm: number | null;
  readonly temperatureC: number | null;
}

export interface Expected {
  readonly reading: Reading;
  readonly levelMm: number;
  readonly temperatureC: number;
  /** As much as a reading waits for. */
  readonly noiseMm: number;
  readonly values: number;
  /** Values taken for what the laws lean on, besides level and temperature. */
  readonly others: readonly { readonly channel: string; readonly value: number; readonly unit: string }[];
}

/** A reading waits until its noise is below this share of the tolerance, for as long as that helps. */
const NOISE_SHARE = 0.06;
const VALUES = 30;

/** Ready at the reference temperature (or as near to it as the window lets), as noisy as a reading waits for. */
export function expectedReading(
  stated: BenchDescription,
  place: Place,
  calibrations: readonly AppliedCertificate[] = [],
): Expected {
  const bench = calibratedBench(stated, calibrations);
  const { measure, channels } = bench;
  const { window, steady, match } = measure;
  const level = channelOf(bench, measure.levelChannel);
  const temperature = channelOf(bench, measure.temperatureChannel);
  const temperatureC = place.temperatureC ?? Math.min(Math.max(measure.referenceC, window.lowC), window.highC);
  const levelMm = place.levelMm ?? match?.target?.levelMm ?? (level.range.low + level.range.high) / 2;

  const state = stateAtRunStart({
    kind: 'run-start',
    ...{ seq: 0, tUs: 0, run: 1, schema: SCHEMA_VERSION, algorithm: ALGORITHM_VERSION },
    ...{ software: '', bench: stated, drivers: {}, numerics: '', carried: NOTHING_CARRIED },
    calibrations,
  });
  const others = channels
    .filter((channel) => channel !== level && channel !== temperature)
    .map((channel) => ({ channel: channel.id, value: usual(channel), unit: UNITS[channel.quantity] }));
  for (const { channel, value } of others) know(state, channelOf(bench, channel), value);
  know(state, temperature, temperatureC);
  know(state, level, levelMm);

  const noiseMm = NOISE_SHARE * steady.toleranceMm * Math.sqrt(VALUES);
  const point = { seq: 0, tUs: 0, mm: levelMm, rawMm: levelMm, temperatureC };
  const calm: Calm = {
    spanUs: VALUES * level.intervalUs,
    used: VALUES,
    setAside: 0,
    driftMmPerMin: 0,
    uDriftMmPerMin: 0,
    meanMm: levelMm,
    meanRawMm: levelMm,
    meanTemperatureC: temperatureC,
    noiseMm,
    effective: VALUES,
    first: point,
    last: { ...point, tUs: VALUES * level.intervalUs },
    levelMm,
    restMm: 0,
    uRestMm: 0,
    boundMm: 0,
    resting: true,
    meanAboveRestMm: 0,
    uMeanAboveRestMm: 0,
    swingMm: 0,
    wildShare: 0,
    changedUs: null,
    settled: null,
  };
  const reading = takeReading(calm, {
    id: 1,
    cause: 'ready',
    job: null,
    bench,
    at: compensate(bench, {
      levelMm,
      temperatureC,
      referenceC: measure.referenceC,
      circuitC: null,
      circuitState: machineOn(bench, NOTHING_CARRIED.machine).circuit ?? 'none',
      learned: null,
    }),
    referenceC: measure.referenceC,
    machineState: machineWords(machineOn(bench, NOTHING_CARRIED.machine)),
    certificates: certificateIds(calibrations, [level.id, temperature.id]),
    zeroDrift: null,
    fluidKPerS: 0,
    level: measured(state, level, levelMm, temperature.id),
    temperature: measured(state, temperature, temperatureC, temperature.id),
  });
  return { reading, levelMm, temperatureC, noiseMm, values: VALUES, others };
}

const UNITS: Readonly<Record<ChannelDescription['quantity'], string>> = {
  temperature: '°C',
  length: 'mm',
  pressure: 'kPa',
  voltage: 'V',
  humidity: '',
  volume: 'L',
};

/** Air and supplies as they are in most shops; the middle of the range where nothing is usual. */
function usual({ quantity, range }: ChannelDescription): number {
  const { low, high } = range;
  const middle = (low + high) / 2;
  const common = { temperature: 20, pressure: 101.325, humidity: 0.5 } as Partial<Record<typeof quantity, number>>;
  const value = common[quantity] ?? middle;
  return value >= low && value <= high ? value : middle;
}

/** As if the channel had just measured `value`, with the signal that its law makes that value of. */
function know(state: State, description: ChannelDescription, value: number): void {
  const channel = state.channels[description.id];
  if (channel === undefined) return;
  const law = lawOf(description.law);
  const { values } = surroundings(state, description, null);
  const { low, high } = law.validSignal(values);
  const signal = findRoot(
    (one) => {
      const result = law.at(one, values);
      return { value: result.value - value, derivative: result.derivative };
    },
    low,
    high,
  );
  Object.assign(channel, { tUs: 0, goodUs: 0, value, good: value, signal, quality: 'good', stale: false });
}

function channelOf({ channels }: BenchDescription, id: string): ChannelDescription {
  const found = channels.find((channel) => channel.id === id);
  if (found === undefined) throw new Error(`channel ${id} is not on this bench`);
  return found;
}
