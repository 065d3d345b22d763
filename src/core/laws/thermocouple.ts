/**
 * Thermocouples on ITS-90, with the reference ("cold") junction at any temperature:
 *   E(t) = measured e.m.f. + E(cold junction),   t from E by Newton's method on the reference function itself.
 * The published inverse polynomials err by up to 0.06 °C and are not used.
 */
import { findRoot, type Tangent } from '../find-root.ts';
import { type Law, lawFrom, type Range } from './law.ts';
import { polynomial } from './polynomial.ts';
import { REFERENCE_FUNCTIONS, type ReferenceFunction, type ThermocoupleType } from './thermocouple-functions.ts';

/** mV → °C, needs the cold junction's temperature. */
export interface ThermocoupleDescription {
  readonly kind: 'thermocouple';
  readonly type: ThermocoupleType;
}

/** Where terminals can be; type B has no reference function below 0 °C. */
const COLD_JUNCTION_C: Range = { low: -50, high: 150 };

/** Where the e.m.f. of type B turns (its slope is 0), and where it is back at that of 0 °C: only beyond is t unique. */
const TYPE_B_TURNS_C = findRoot((tC) => slopeOf('B', tC), 15, 30);
const TYPE_B_UNIQUE_C = findRoot((tC) => thermocoupleEmf('B', tC), 30, 60);

export function thermocouple({ type }: ThermocoupleDescription): Law {
  const pieces = REFERENCE_FUNCTIONS[type];
  const first = pieces[0] as ReferenceFunction;
  const lowC = type === 'B' ? TYPE_B_UNIQUE_C : first.lowC;
  const highC = (pieces.at(-1) as ReferenceFunction).highC;
  const low = thermocoupleEmf(type, lowC).value;
  const high = thermocoupleEmf(type, highC).value;
  return lawFrom({
    signalUnit: 'mV',
    unit: 'Cel',
    source: 'NIST Monograph 175 (1993) / IEC 60584-1:2013, reference functions on ITS-90',
    context: { coldJunctionC: { low: Math.max(first.lowC, COLD_JUNCTION_C.low), high: COLD_JUNCTION_C.high } },
    validSignal({ coldJunctionC }) {
      const cold = thermocoupleEmf(type, coldJunctionC).value;
      return { low: low - cold, high: high - cold };
    },
    at(mV, { coldJunctionC }) {
      const cold = thermocoupleEmf(type, coldJunctionC);
      const value = temperatureC(type, mV + cold.value, lowC);
      const derivative = 1 / thermocoupleEmf(type, value).derivative;
      return { value, derivative, partials: { coldJunctionC: cold.derivative * derivative } };
    },
    outside(mV, { coldJunctionC }) {
      if (type !== 'B') return 'out-of-range';
      const emf = mV + thermocoupleEmf(type, coldJunctionC).value;
      return emf >= thermocoupleEmf(type, TYPE_B_TURNS_C).value && emf <= low ? 'ambiguous' : 'out-of-range';
    },
  });
}

/** Reference function: e.m.f. in mV against 0 °C and its slope in mV/K; beyond the type's range the nearest piece goes on. */
export function thermocoupleEmf(type: ThermocoupleType, tC: number): Tangent {
  return emfOf(
    pieceAt(type, (piece) => piece.lowC <= tC),
    tC,
  );
}

function temperatureC(type: ThermocoupleType, mV: number, lowC: number): number {
  const piece = pieceAt(type, (candidate) => emfOf(candidate, candidate.lowC).value <= mV);
  const away = (tC: number) => {
    const { value, derivative } = emfOf(piece, tC);
    return { value: value - mV, derivative };
  };
  return findRoot(away, Math.max(piece.lowC, lowC), piece.highC);
}

/** The last piece for which `reached` holds; the first where none does. */
function pieceAt(type: ThermocoupleType, reached: (piece: ReferenceFunction) => boolean): ReferenceFunction {
  const pieces = REFERENCE_FUNCTIONS[type];
  return pieces.findLast(reached) ?? (pieces[0] as ReferenceFunction);
}

function emfOf({ coefficients, exponential }: ReferenceFunction, tC: number): Tangent {
  const { value, derivative } = polynomial(coefficients, tC);
  if (exponential === undefined) return { value, derivative };
  const { a0, a1, a2 } = exponential;
  const bump = a0 * Math.exp(a1 * (tC - a2) * (tC - a2));
  return { value: value + bump, derivative: derivative + 2 * a1 * (tC - a2) * bump };
}

/** dE/dt and d²E/dt², for finding where it vanishes. */
function slopeOf(type: 'B', tC: number): Tangent {
  const { coefficients } = REFERENCE_FUNCTIONS[type][0] as ReferenceFunction;
  return polynomial(
    coefficients.slice(1).map((c, i) => c * (i + 1)),
    tC,
  );
}
