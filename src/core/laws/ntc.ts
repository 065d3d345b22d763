/**
 * NTC thermistor, 1/T with T in kelvin:
 *   Steinhart and Hart (1968), Deep-Sea Research 15, 497–503   1/T = a + b ln R + c (ln R)³
 *   IEC 60539-1, B-value                                       1/T = 1/T₀ + ln(R/R₀)/B
 * The second is the first with c = 0, so one equation does for both.
 */
import { findRoot } from '../find-root.ts';
import { checkedRange, type Law, lawFrom, type Range } from './law.ts';

/** Ω → °C. */
export interface NtcDescription {
  readonly kind: 'ntc';
  readonly curve: NtcCurve;
  /** Temperatures that the curve is good for: those of the maker's table, or of the calibration. */
  readonly validC: Range;
}

export type NtcCurve =
  /** R in Ω, coefficients in 1/K. */
  | ({ readonly form: 'steinhart-hart' } & SteinhartHart)
  | { readonly form: 'three-points'; readonly points: readonly [NtcPoint, NtcPoint, NtcPoint] }
  | { readonly form: 'beta'; readonly r0Ohm: number; readonly t0C: number; readonly betaK: number };

export interface SteinhartHart {
  readonly a: number;
  readonly b: number;
  readonly c: number;
}

export interface NtcPoint {
  readonly tC: number;
  readonly ohm: number;
}

const ZERO_C_K = 273.15;
/** A milliohm to a teraohm. */
const LN_R: Range = { low: Math.log(1e-3), high: Math.log(1e12) };

/** Throws a RangeError where the curve does not fall throughout `validC`. */
export function ntc({ curve, validC }: NtcDescription): Law {
  checkedRange('the valid temperatures', validC);
  const coefficients = steinhartHart(curve);
  if (curve.form === 'three-points') checkPoints(coefficients, curve.points);
  const valid = { low: resistanceOhm(coefficients, validC.high), high: resistanceOhm(coefficients, validC.low) };
  return lawFrom({
    signalUnit: 'Ohm',
    unit: 'Cel',
    source: curve.form === 'beta' ? 'IEC 60539-1, B-value' : 'Steinhart and Hart (1968), Deep-Sea Research 15, 497–503',
    context: {},
    validSignal: () => valid,
    at(ohm) {
      const { inverseK, slope } = inverseTemperature(coefficients, Math.log(ohm));
      return { value: 1 / inverseK - ZERO_C_K, derivative: -slope / (inverseK * inverseK * ohm), partials: {} };
    },
  });
}

/** The coefficients a, b, c in 1/K that the curve stands for. */
export function steinhartHart(curve: NtcCurve): SteinhartHart {
  switch (curve.form) {
    case 'steinhart-hart':
      return { a: curve.a, b: curve.b, c: curve.c };
    case 'three-points':
      return throughPoints(curve.points);
    case 'beta': {
      const b = 1 / curve.betaK;
      return { a: 1 / (curve.t0C + ZERO_C_K) - b * Math.log(curve.r0Ohm), b, c: 0 };
    }
  }
}

/** B in K from two points of a thermistor. */
export function betaFrom(first: NtcPoint, second: NtcPoint): number {
  return Math.log(first.ohm / second.ohm) / (1 / (first.tC + ZERO_C_K) - 1 / (second.tC + ZERO_C_K));
}

/** Newton's divided differences of 1/T over ln R, with the square left out. */
function throughPoints(points: readonly [NtcPoint, NtcPoint, NtcPoint]): SteinhartHart {
  const [first, second, third] = points.map(({ tC, ohm }) => ({ y: 1 / (tC + ZERO_C_K), l: Math.log(ohm) })) as [
    LogPoint,
    LogPoint,
    LogPoint,
  ];
  const near = (second.y - first.y) / (second.l - first.l);
  const far = (third.y - first.y) / (third.l - first.l);
  const c = (far - near) / (third.l - second.l) / (first.l + second.l + third.l);
  const b = near - c * (first.l * first.l + first.l * second.l + second.l * second.l);
  const a = first.y - first.l * (b + c * first.l * first.l);
  return { a, b, c };
}

/** A cubic can pass through points that do not fall; then they lie on a branch that is not the thermistor's. */
function checkPoints(coefficients: SteinhartHart, points: readonly NtcPoint[]): void {
  for (const { tC, ohm } of points)
    if (!(Math.abs(resistanceOhm(coefficients, tC) / ohm - 1) < 1e-6))
      throw new RangeError(`the resistances of a thermistor must fall as it warms: check the point at ${tC} °C`);
}

interface LogPoint {
  readonly y: number;
  readonly l: number;
}

function inverseTemperature({ a, b, c }: SteinhartHart, l: number): { inverseK: number; slope: number } {
  return { inverseK: a + l * (b + c * l * l), slope: b + 3 * c * l * l };
}

/** Resistance in Ω at `tC`, between a milliohm and a teraohm; throws a RangeError where the curve has none. */
export function resistanceOhm(coefficients: SteinhartHart, tC: number): number {
  const target = 1 / (tC + ZERO_C_K);
  const { low, high } = fallingPart(coefficients);
  const away = (l: number) => {
    const { inverseK, slope } = inverseTemperature(coefficients, l);
    return { value: inverseK - target, derivative: slope };
  };
  const l = findRoot(away, low, high);
  if (!(tC > -ZERO_C_K && Math.abs(away(l).value) < 1e-9 * target))
    throw new RangeError(`the thermistor's curve does not reach ${tC} °C: check its points and its valid temperatures`);
  return Math.exp(l);
}

/** The stretch of ln R on which a colder thermistor has more ohms: one branch of the cubic, so that R(t) is unique. */
function fallingPart({ b, c }: SteinhartHart): Range {
  const turn = Math.sqrt(-b / (3 * c));
  const low = b <= 0 ? turn : Math.max(LN_R.low, c < 0 ? -turn : LN_R.low);
  const high = c < 0 ? Math.min(LN_R.high, turn) : LN_R.high;
  if (!(low < high))
    throw new RangeError("the thermistor's resistance does not fall with temperature: check its points");
  return { low, high };
}
