/** A sender whose values were measured point by point: float with a resistance track, or any monotone sensor. */
import { monotoneCubic } from '../monotone-cubic.ts';
import { type Law, lawFrom } from './law.ts';
import type { ScalePoint } from './two-point.ts';

/** For a resistive sender the signal is in Ω. */
export interface TableDescription {
  readonly kind: 'table';
  /** Signals rise; values rise throughout or fall throughout. */
  readonly points: readonly ScalePoint[];
  readonly signalUnit: string;
  readonly unit: string;
}

/** Throws a RangeError where the points are no monotone table. */
export function table({ points, signalUnit, unit }: TableDescription): Law {
  const signals = points.map(({ signal }) => signal);
  const curve = monotoneCubic(
    signals,
    points.map(({ value }) => value),
  );
  if (!curve.invertible) throw new RangeError('the values of a sender must rise throughout, or fall throughout');
  const valid = { low: signals[0] as number, high: signals.at(-1) as number };
  return lawFrom({
    signalUnit,
    unit,
    source: 'its points; monotone cubic between them, Fritsch and Butland (1984)',
    context: {},
    validSignal: () => valid,
    at: (signal) => ({ ...curve.at(signal), partials: {} }),
  });
}
