/**
 * Straight lines: a scale through two points, and the current loop, which is one with failure signals outside its scale.
 */
import { checkedPositive, checkedRange, type Law, type LawFlag, lawFrom, type Range } from './law.ts';

/** A signal with the value that it stands for. */
export interface ScalePoint {
  readonly signal: number;
  readonly value: number;
}

/** value = gain × signal + offset: an instrument that speaks in units already. */
export interface LinearDescription {
  readonly kind: 'linear';
  readonly gain: number;
  readonly offset: number;
  readonly signalUnit: string;
  readonly unit: string;
  readonly validSignal: Range;
}

/** 0–10 V, or any other scale with a dead zero. */
export interface TwoPointDescription {
  readonly kind: 'two-point';
  readonly points: readonly [ScalePoint, ScalePoint];
  readonly signalUnit: string;
  readonly unit: string;
  /** May reach beyond the points, as noise at an empty vessel does. */
  readonly validSignal: Range;
}

/** 4–20 mA. */
export interface CurrentLoopDescription {
  readonly kind: 'current-loop';
  /** Values at 4 mA and at 20 mA. */
  readonly at4: number;
  readonly at20: number;
  readonly unit: string;
}

/** The scale as fractions of the supply, such as 0.1 to 0.9; signal in V. */
export interface RatiometricDescription {
  readonly kind: 'ratiometric';
  readonly points: readonly [ScalePoint, ScalePoint];
  readonly unit: string;
  /** Fractions that count. */
  readonly validRatio: Range;
  /** Supply voltages that the sensor is made for. */
  readonly validSupplyV: Range;
}

/**
 * NAMUR recommendation NE 43 (2003), in mA: 3.8 to 20.5 carries the measured value, 3.6 and less or 21 and more reports
 * a failure; what lies between is a value that ran out of its scale.
 */
const NE43 = { failureLow: 3.6, low: 3.8, high: 20.5, failureHigh: 21 } as const;

export function linear({ gain, offset, signalUnit, unit, validSignal }: LinearDescription): Law {
  return straight({ gain, offset }, validSignal, { signalUnit, unit, source: "the instrument's own scale" });
}

export function twoPoint({ points, signalUnit, unit, validSignal }: TwoPointDescription): Law {
  return straight(lineThrough(points), validSignal, { signalUnit, unit, source: "the instrument's two stated points" });
}

export function currentLoop({ at4, at20, unit }: CurrentLoopDescription): Law {
  const line = lineThrough([
    { signal: 4, value: at4 },
    { signal: 20, value: at20 },
  ]);
  const source = "the transmitter's stated scale; limits of NAMUR NE 43 (2003)";
  return straight(line, { low: NE43.low, high: NE43.high }, { signalUnit: 'mA', unit, source }, (mA) => {
    if (mA >= NE43.failureHigh) return 'failure-current';
    return mA > NE43.failureLow ? 'out-of-range' : 'broken-loop';
  });
}

export function ratiometric({ points, unit, validRatio, validSupplyV }: RatiometricDescription): Law {
  checkedRange('the valid fractions of the supply', validRatio);
  checkedPositive('the lowest supply voltage', validSupplyV.low);
  const { gain, offset } = lineThrough(points);
  return lawFrom({
    signalUnit: 'V',
    unit,
    source: "the sensor's two stated points",
    context: { supplyV: checkedRange('the supply voltages', validSupplyV) },
    validSignal: ({ supplyV }) => ({ low: validRatio.low * supplyV, high: validRatio.high * supplyV }),
    at: (volt, { supplyV }) => ({
      value: gain * (volt / supplyV) + offset,
      derivative: gain / supplyV,
      partials: { supplyV: (-gain * volt) / (supplyV * supplyV) },
    }),
  });
}

interface Line {
  readonly gain: number;
  readonly offset: number;
}

function lineThrough([first, second]: readonly [ScalePoint, ScalePoint]): Line {
  const gain = (second.value - first.value) / (second.signal - first.signal);
  if (!(Number.isFinite(gain) && gain !== 0))
    throw new RangeError('the two points of a scale must differ, in the signal and in the value');
  return { gain, offset: first.value - gain * first.signal };
}

function straight(
  { gain, offset }: Line,
  validSignal: Range,
  words: { readonly signalUnit: string; readonly unit: string; readonly source: string },
  outside: (signal: number) => LawFlag = () => 'out-of-range',
): Law {
  const valid = checkedRange('the valid signals', validSignal);
  for (const end of [valid.low, valid.high])
    if (!Number.isFinite(gain * end + offset)) throw new RangeError(`the scale gives no number at a signal of ${end}`);
  return lawFrom({
    ...words,
    context: {},
    validSignal: () => valid,
    at: (signal) => ({ value: gain * signal + offset, derivative: gain, partials: {} }),
    outside,
  });
}
