import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { polynomial } from '../../../src/core/laws/polynomial.ts';
import { thermocouple, thermocoupleEmf } from '../../../src/core/laws/thermocouple.ts';
import {
  REFERENCE_FUNCTIONS,
  THERMOCOUPLE_TYPES,
  type ThermocoupleType,
} from '../../../src/core/laws/thermocouple-functions.ts';
import { COLD_JUNCTION_EXAMPLE, EMF, INVERSE_POLYNOMIALS, JOINT_STEPS, RANGES } from '../../reference/thermocouples.ts';

const seed = Number(process.env.SEED ?? 3104);
const HALF_MICROVOLT = 0.0005;
const TIE = 1e-9;

const lawOf = (type: ThermocoupleType) => thermocouple({ kind: 'thermocouple', type });
const emf = (type: ThermocoupleType, tC: number) => thermocoupleEmf(type, tC).value;
const ends = (type: ThermocoupleType) => {
  const pieces = REFERENCE_FUNCTIONS[type];
  return {
    lowC: Math.min(...pieces.map(({ lowC }) => lowC)),
    highC: Math.max(...pieces.map(({ highC }) => highC)),
  };
};
/** Where type B has come back to the e.m.f. of 0 °C: found here by plain bisection. */
const typeBUnique = (() => {
  let [low, high] = [30, 60];
  for (let i = 0; i < 100; i++) {
    const middle = (low + high) / 2;
    if (emf('B', middle) < 0) low = middle;
    else high = middle;
  }
  return high;
})();

describe('ITS-90 as printed', () => {
  test('stands here with ten values or more of each type', () => {
    for (const type of THERMOCOUPLE_TYPES)
      expect(EMF.filter((row) => row.type === type).length, type).toBeGreaterThanOrEqual(10);
  });

  test.each(EMF)('$type at $tC °C gives $mV mV to the microvolt', ({ type, tC, mV, computedMv }) => {
    expect(Math.abs(emf(type, tC) - mV)).toBeLessThanOrEqual(HALF_MICROVOLT + TIE);
    // A wrong digit of a coefficient shows here; type T loses five digits by cancellation near −270 °C.
    expect(Math.abs(emf(type, tC) - computedMv)).toBeLessThan(5e-11);
  });

  test.each(THERMOCOUPLE_TYPES)('type %s covers its published range, and no more', (type) => {
    const [low, high] = RANGES[type];
    expect(ends(type)).toEqual({ lowC: low, highC: high });
    const valid = lawOf(type).validSignal({ coldJunctionC: 0 });
    expect(valid.low).toBeCloseTo(type === 'B' ? 0 : emf(type, low), 8);
    expect(valid.high).toBeCloseTo(emf(type, high), 8);
    expect(lawOf(type).at(valid.high, { coldJunctionC: 0 }).value).toBeCloseTo(high, 6);
  });

  test.each(JOINT_STEPS)('$type steps at $tC °C by no more than the published coefficients make it', (row) => {
    const lower = REFERENCE_FUNCTIONS[row.type].filter(({ highC }) => highC === row.tC);
    expect(lower).toHaveLength(1);
    for (const { coefficients } of lower)
      expect(emf(row.type, row.tC) - polynomial(coefficients, row.tC).value).toBeCloseTo(row.stepMv, 12);
  });

  test('leaves the exponential of type K out below 0 °C', () => {
    expect(Math.abs(emf('K', -40) - -1.527)).toBeLessThan(HALF_MICROVOLT);
    const [below] = REFERENCE_FUNCTIONS.K;
    const bump = REFERENCE_FUNCTIONS.K.map(({ exponential: e }) =>
      e === undefined ? 0 : e.a0 * Math.exp(e.a1 * (-40 - e.a2) * (-40 - e.a2)),
    );
    const withIt = polynomial(below?.coefficients ?? [], -40).value + Math.max(...bump);
    expect(Math.abs(withIt - -1.527)).toBeGreaterThan(0.004);
  });
});

describe('from e.m.f. to temperature', () => {
  test.each(INVERSE_POLYNOMIALS)(
    'agrees with the published inverse of $type, $lowC to $highC °C, to its error',
    (row) => {
      const law = lawOf(row.type);
      const [low, high] = row.errorC;
      for (let i = 0; i <= 200; i++) {
        const tC = row.lowC + ((row.highC - row.lowC) * i) / 200;
        const mV = emf(row.type, tC);
        const apart = polynomial(row.coefficients, mV).value - law.at(mV, { coldJunctionC: 0 }).value;
        // The published limits are rounded to one digit.
        expect(apart, `${tC} °C`).toBeGreaterThan(low * 1.25 - 1e-4);
        expect(apart, `${tC} °C`).toBeLessThan(high * 1.25 + 1e-4);
      }
    },
  );

  test.each(THERMOCOUPLE_TYPES.map((type) => ({ type })))(
    `type $type comes back to 1e-6 °C over its whole range, with any cold junction (seed ${seed})`,
    ({ type }) => {
      const law = lawOf(type);
      const { lowC, highC } = ends(type);
      const from = type === 'B' ? typeBUnique : lowC;
      const joints = REFERENCE_FUNCTIONS[type].map((piece) => piece.lowC).slice(1);
      const tC = fc.oneof(
        fc.double({ min: from, max: highC, noNaN: true }),
        fc.constantFrom(from, highC, ...joints, ...joints.map((joint) => joint - 1e-7)),
      );
      fc.assert(
        fc.property(tC, fc.double({ min: Math.max(lowC, -40), max: 80, noNaN: true }), (hotC, coldJunctionC) => {
          const { value, flag } = law.at(emf(type, hotC) - emf(type, coldJunctionC), { coldJunctionC });
          expect(Math.abs(value - hotC)).toBeLessThan(1e-6);
          if (hotC > from + 1e-6 && hotC < highC - 1e-6) expect(flag).toBeNull();
        }),
        { seed, numRuns: 2000 },
      );
    },
  );

  test('gives the worked example with a cold junction', () => {
    const { type, mV, measuringC, coldJunctionC } = COLD_JUNCTION_EXAMPLE;
    expect(lawOf(type).at(mV, { coldJunctionC }).value).toBeCloseTo(measuringC, 4);
    // Adding temperatures instead of voltages is the classic mistake; it is off by kelvins.
    const wrong = lawOf(type).at(mV, { coldJunctionC: 0 }).value + coldJunctionC;
    expect(Math.abs(wrong - measuringC)).toBeGreaterThan(0.5);
  });

  test('gives the temperature of the cold junction when both junctions are equally warm', () => {
    for (const type of THERMOCOUPLE_TYPES.filter((each) => each !== 'B'))
      expect(lawOf(type).at(0, { coldJunctionC: 23.4 }).value).toBeCloseTo(23.4, 9);
  });
});

describe('type B near its beginning', () => {
  const law = lawOf('B');
  const at = (tC: number) => law.at(emf('B', tC), { coldJunctionC: 0 });

  test('turns at 21 °C and is back at its start at 42 °C', () => {
    expect(typeBUnique).toBeCloseTo(42.132, 3);
    expect(emf('B', 21.02)).toBeLessThan(Math.min(emf('B', 20.9), emf('B', 21.14)));
  });

  test('is flagged as ambiguous wherever two temperatures give the same e.m.f.', () => {
    for (const tC of [0.5, 10, 21, 22, 35, 42]) {
      expect(at(tC).flag, `${tC} °C`).toBe('ambiguous');
      expect(at(tC).value).toBeCloseTo(typeBUnique, 9);
    }
    expect(at(42.2).flag).toBeNull();
  });

  test('is out of range below the lowest e.m.f. there is', () => {
    expect(law.at(-0.0026, { coldJunctionC: 0 }).flag).toBe('out-of-range');
  });
});
