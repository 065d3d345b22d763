/**
 * Industrial platinum resistance thermometer, IEC 60751:2008 (unchanged in 2022), any R0:
 *   t ≥ 0 °C   R = R0 (1 + A t + B t²)
 *   t < 0 °C   R = R0 (1 + A t + B t² + C (t − 100 °C) t³)
 */
import { findRoot, type Tangent } from '../find-root.ts';
import { checkedPositive, type Law, lawFrom, type Range } from './law.ts';
import { polynomial } from './polynomial.ts';

/** Ω → °C. */
export interface PlatinumRtdDescription {
  readonly kind: 'platinum-rtd';
  /** Resistance at 0 °C: 100 for a Pt100, 1000 for a Pt1000. */
  readonly r0Ohm: number;
}

const A = 3.9083e-3;
const B = -5.775e-7;
const C = -4.183e-12;
const ABOVE = [1, A, B];
const BELOW = [1, A, B, -100 * C, C];
const VALID_C: Range = { low: -200, high: 850 };

export function platinumRtd({ r0Ohm }: PlatinumRtdDescription): Law {
  checkedPositive('the resistance at 0 °C', r0Ohm);
  const valid = { low: r0Ohm * ratio(VALID_C.low).value, high: r0Ohm * ratio(VALID_C.high).value };
  return lawFrom({
    signalUnit: 'Ohm',
    unit: 'Cel',
    source: 'IEC 60751:2008, 4.2',
    context: {},
    validSignal: () => valid,
    at(ohm) {
      const value = temperatureC(ohm / r0Ohm);
      return { value, derivative: 1 / (r0Ohm * ratio(value).derivative), partials: {} };
    },
  });
}

/** Resistance in Ω and its slope in Ω/K, for −200 to 850 °C. */
export function platinumResistance(r0Ohm: number, tC: number): Tangent {
  const { value, derivative } = ratio(tC);
  return { value: r0Ohm * value, derivative: r0Ohm * derivative };
}

/** R/R0. */
function ratio(tC: number): Tangent {
  return polynomial(tC >= 0 ? ABOVE : BELOW, tC);
}

function temperatureC(w: number): number {
  // The root of the quadratic, written so that nothing cancels near 0 °C.
  if (w >= 1) return (2 * (w - 1)) / (A + Math.sqrt(A * A + 4 * B * (w - 1)));
  const away = (tC: number) => {
    const { value, derivative } = polynomial(BELOW, tC);
    return { value: value - w, derivative };
  };
  return findRoot(away, VALID_C.low, 0);
}
