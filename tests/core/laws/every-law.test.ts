/** What must hold for each law alike; a new kind of law cannot be added without a sample here. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Context, type ContextName, LAW_FLAGS, type Law, type Range } from '../../../src/core/laws/law.ts';
import { type LawDescription, lawOf } from '../../../src/core/laws/law-of.ts';
import { THERMOCOUPLE_TYPES, type ThermocoupleType } from '../../../src/core/laws/thermocouple-functions.ts';

const seed = Number(process.env.SEED ?? 3105);

interface Sample<D extends LawDescription> {
  readonly description: D;
  /** The physics the other way round, written here anew: which signal stands for a value. */
  readonly signal?: (value: number, context: Required<Context>) => number;
}
type Samples = { readonly [K in LawDescription['kind']]: readonly Sample<Extract<LawDescription, { kind: K }>>[] };

const validMm: Range = { low: 5, high: 250 };
const thermistor = {
  kind: 'ntc',
  curve: { form: 'beta', r0Ohm: 1e4, t0C: 25, betaK: 3950 },
  validC: { low: -40, high: 150 },
} as const;
const divider = {
  kind: 'divider',
  fixedOhm: 4700,
  fullScaleCounts: 65536,
  sensorTo: 'ground',
  guardCounts: 40,
} as const;
const below = { kind: 'echo-from-below', faceMm: -3, deadTimeUs: 6, validMm } as const;
const above = { kind: 'echo-from-above', mountMm: 450, deadTimeUs: 12, validMm } as const;
const points = [
  { signal: 10, value: 0 },
  { signal: 35, value: 22 },
  { signal: 90, value: 61 },
  { signal: 180, value: 140 },
] as const;
const millimetre = { signalUnit: 'mm', unit: 'mm' } as const;

const SAMPLES: Samples = {
  linear: [
    {
      description: { kind: 'linear', gain: -0.25, offset: 12, ...millimetre, validSignal: { low: -50, high: 900 } },
      signal: (value) => (12 - value) * 4,
    },
  ],
  'two-point': [
    {
      description: {
        kind: 'two-point',
        points: [
          { signal: 0, value: -50 },
          { signal: 10, value: 250 },
        ],
        signalUnit: 'V',
        unit: 'Cel',
        validSignal: { low: -0.1, high: 10.1 },
      },
      signal: (value) => (value + 50) / 30,
    },
  ],
  'current-loop': [
    {
      description: { kind: 'current-loop', at4: -20, at20: 140, unit: 'Cel' },
      signal: (value) => 4 + (value + 20) / 10,
    },
  ],
  ratiometric: [
    {
      description: {
        kind: 'ratiometric',
        points: [
          { signal: 0.1, value: 0 },
          { signal: 0.9, value: 16 },
        ],
        unit: 'kPa',
        validRatio: { low: 0.06, high: 0.94 },
        validSupplyV: { low: 4.75, high: 5.25 },
      },
      signal: (value, { supplyV }) => supplyV * (0.1 + value / 20),
    },
  ],
  divider: [
    { description: divider, signal: (ohm) => (65536 * ohm) / (ohm + 4700) },
    { description: { ...divider, sensorTo: 'supply' }, signal: (ohm) => (65536 * 4700) / (ohm + 4700) },
  ],
  chain: [
    {
      description: { kind: 'chain', first: divider, second: thermistor },
      signal: (tC) => {
        const ohm = 1e4 * Math.exp(3950 * (1 / (tC + 273.15) - 1 / 298.15));
        return (65536 * ohm) / (ohm + 4700);
      },
    },
    {
      description: {
        kind: 'chain',
        first: {
          kind: 'ratiometric',
          points: [
            { signal: 0.1, value: 0 },
            { signal: 0.9, value: 4 },
          ],
          unit: 'kPa',
          validRatio: { low: 0.05, high: 0.95 },
          validSupplyV: { low: 4.5, high: 5.5 },
        },
        second: { kind: 'hydrostatic', sensorMm: 4, airDensityKgPerM3: 1.2, validMm: { low: 4, high: 150 } },
      },
      signal: (mm, { supplyV, densityKgPerM3, gravityMPerS2 }) =>
        supplyV * (0.1 + 0.2 * ((mm - 4) / 1e6) * (densityKgPerM3 - 1.2) * gravityMPerS2),
    },
  ],
  'platinum-rtd': [100, 500, 1000].map((r0Ohm) => ({
    description: { kind: 'platinum-rtd', r0Ohm },
    signal: (t) => {
      const cold = t < 0 ? -4.183e-12 * (t - 100) * t * t * t : 0;
      return r0Ohm * (1 + 3.9083e-3 * t - 5.775e-7 * t * t + cold);
    },
  })),
  ntc: [
    {
      description: thermistor,
      signal: (tC) => 1e4 * Math.exp(3950 * (1 / (tC + 273.15) - 1 / 298.15)),
    },
    {
      description: {
        kind: 'ntc',
        curve: { form: 'steinhart-hart', a: 1.129241e-3, b: 2.341077e-4, c: 8.775468e-8 },
        validC: { low: -40, high: 125 },
      },
      // Closed form of the cubic (Cardano).
      signal: (tC) => {
        const [a, b, c] = [1.129241e-3, 2.341077e-4, 8.775468e-8];
        const half = (a - 1 / (tC + 273.15)) / (2 * c);
        const root = Math.sqrt((b / (3 * c)) ** 3 + half * half);
        return Math.exp(Math.cbrt(root - half) - Math.cbrt(root + half));
      },
    },
    {
      description: {
        kind: 'ntc',
        curve: {
          form: 'three-points',
          points: [
            { tC: 5, ohm: 25000 },
            { tC: 25, ohm: 10000 },
            { tC: 45, ohm: 4000 },
          ],
        },
        validC: { low: 0, high: 60 },
      },
    },
  ],
  table: [
    { description: { kind: 'table', points, signalUnit: 'Ohm', unit: 'mm' } },
    {
      description: {
        kind: 'table',
        points: points.map(({ signal, value }) => ({ signal, value: 150 - value })),
        signalUnit: 'Ohm',
        unit: 'mm',
      },
    },
  ],
  thermocouple: THERMOCOUPLE_TYPES.map((type: ThermocoupleType) => ({ description: { kind: 'thermocouple', type } })),
  'echo-from-below': [{ description: below, signal: (mm, { soundMPerS }) => 6 + (2000 * (mm + 3)) / soundMPerS }],
  'echo-from-above': [
    { description: { ...above, air: { kind: 'humid', carbonDioxide: 0.0004 } } },
    {
      description: { ...above, air: { kind: 'dry-rule' } },
      signal: (mm, { airC }) => 12 + (2000 * (450 - mm)) / (343.2 * Math.sqrt((airC + 273.15) / 293.15)),
    },
  ],
  'board-millimetres': [
    {
      description: { kind: 'board-millimetres', assumedMPerS: 1480, offsetMm: 1.5, echo: below },
      signal: (mm, { soundMPerS }) => 1.5 + 0.74 * (6 + (2000 * (mm + 3)) / soundMPerS),
    },
    {
      description: {
        kind: 'board-millimetres',
        assumedMPerS: 340,
        offsetMm: 0,
        echo: { ...above, air: { kind: 'humid', carbonDioxide: 0.0004 } },
      },
    },
  ],
  hydrostatic: [
    {
      description: { kind: 'hydrostatic', sensorMm: -8, airDensityKgPerM3: 1.2, validMm },
      signal: (mm, { densityKgPerM3, gravityMPerS2 }) => ((mm + 8) / 1e6) * (densityKgPerM3 - 1.2) * gravityMPerS2,
    },
  ],
  'flow-pulses': [
    { description: { kind: 'flow-pulses', pulsesPerLitre: 431.5, maxLitres: 80 }, signal: (litres) => litres * 431.5 },
  ],
  mass: [
    {
      description: { kind: 'mass', airDensityKgPerM3: 1.2, maxLitres: 80 },
      signal: (litres, { densityKgPerM3 }) => ((litres / 1000) * (densityKgPerM3 - 1.2)) / (1 - 1.2 / 8000),
    },
  ],
};

const CASES = Object.entries(SAMPLES).flatMap(([kind, samples]) =>
  samples.map((sample: Sample<LawDescription>, i) => ({
    name: `${kind} ${'type' in sample.description ? sample.description.type : i + 1}`,
    ...sample,
    law: lawOf(sample.description),
  })),
);

const share = fc.double({ min: 0, max: 1, noNaN: true });
const inner = fc.double({ min: 1e-4, max: 1 - 1e-4, noNaN: true });
const between = ({ low, high }: Range, s: number) => low + s * (high - low);
/** Any context inside the law's ranges. */
const contextOf = (law: Law, s: fc.Arbitrary<number> = share): fc.Arbitrary<Context> =>
  fc.record(
    Object.fromEntries(law.needs.map((name) => [name, s.map((at) => between(law.validContext[name] as Range, at))])),
  );
/** Numbers of every size, and what is no number. */
const anything = fc.oneof(
  fc.double(),
  fc.double({ min: -1e4, max: 1e4, noNaN: true }),
  fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0, -0, 1.7e308, -1.7e308, 5e-324),
);
const numbersOf = (law: Law, signal: number, context: Context): number[] => {
  const { value, derivative, partials } = law.at(signal, context);
  return [value, derivative, ...law.needs.map((name) => partials[name] as number)];
};

test('every law says its units, its source and what it needs', () => {
  for (const { name, law } of CASES) {
    expect(law.unit, name).not.toBe('');
    expect(law.signalUnit, name).not.toBe('');
    expect(law.source.length, name).toBeGreaterThan(5);
    expect(Object.keys(law.validContext), name).toEqual([...law.needs]);
  }
});

describe.each(CASES)(`$name (seed ${seed})`, ({ law, description }) => {
  test('has the derivative of its own values', () => {
    fc.assert(
      fc.property(inner, contextOf(law, inner), (s, context) => {
        const valid = law.validSignal(context);
        const at = between(valid, s);
        const h = 1e-7 * (valid.high - valid.low);
        const numeric = (law.at(at + h, context).value - law.at(at - h, context).value) / (2 * h);
        const { derivative, flag } = law.at(at, context);
        expect(flag).toBeNull();
        expect(Math.abs(numeric / derivative - 1)).toBeLessThan(1e-5);
      }),
      { seed, numRuns: 150 },
    );
  });

  test('gives finite numbers for anything that comes in', () => {
    fc.assert(
      fc.property(
        anything,
        fc.dictionary(fc.constantFrom<ContextName>(...law.needs, 'airC'), anything),
        (signal, some) => {
          for (const number of numbersOf(law, signal, some as Context)) expect(number).toSatisfy(Number.isFinite);
        },
      ),
      { seed, numRuns: 300 },
    );
  });

  test('flags every signal outside its range, holds the end, and moves no further', () => {
    fc.assert(
      fc.property(anything, contextOf(law), (signal, context) => {
        const { low, high } = law.validSignal(context);
        const room = 1e-9 * (high - low);
        fc.pre(!(signal > low - room && signal < high + room));
        const { value, derivative, partials, flag } = law.at(signal, context);
        expect(flag).not.toBeNull();
        expect(LAW_FLAGS).toContain(flag);
        expect(derivative).toBe(0);
        const end = law.at(signal >= high ? high - room : low + room, context);
        expect(Math.abs(value - end.value)).toBeLessThan(1e-5 * Math.abs(end.value) + 1e-3);
        // What was held inside a chain may still move with the second law's context; nothing else does.
        if (description.kind !== 'chain') for (const name of law.needs) expect(partials[name]).toBe(0);
      }),
      { seed, numRuns: 150 },
    );
  });

  test('flags no signal inside its range', () => {
    fc.assert(
      fc.property(inner, contextOf(law), (s, context) => {
        expect(law.at(between(law.validSignal(context), s), context).flag).toBeNull();
      }),
      { seed, numRuns: 150 },
    );
  });

  test('is monotone over its range', () => {
    fc.assert(
      fc.property(share, share, contextOf(law), (s, t, context) => {
        fc.pre(Math.abs(s - t) > 1e-7);
        const valid = law.validSignal(context);
        const sign = Math.sign(law.at(between(valid, 0.5), context).derivative);
        const lower = law.at(between(valid, Math.min(s, t)), context).value;
        const upper = law.at(between(valid, Math.max(s, t)), context).value;
        expect(sign * (upper - lower)).toBeGreaterThan(0);
      }),
      { seed, numRuns: 150 },
    );
  });

  test('is plain data: written down and read again it gives the same numbers', () => {
    const again = lawOf(JSON.parse(JSON.stringify(description)));
    fc.assert(
      fc.property(share, contextOf(law), (s, context) => {
        const at = between(law.validSignal(context), s);
        expect(again.at(at, context)).toEqual(law.at(at, context));
      }),
      { seed, numRuns: 20 },
    );
  });
});

describe.each(CASES.filter(({ law }) => law.needs.length > 0))(`$name with what it needs (seed ${seed})`, ({ law }) => {
  test('has the partial derivatives of its own values', () => {
    fc.assert(
      fc.property(inner, contextOf(law, inner), (s, context) => {
        const at = between(law.validSignal(context), s);
        const { partials } = law.at(at, context);
        for (const name of law.needs) {
          const { low, high } = law.validContext[name] as Range;
          const h = 1e-6 * (high - low);
          const moved = (by: number) => law.at(at, { ...context, [name]: (context[name] as number) + by });
          fc.pre(moved(h).flag === null && moved(-h).flag === null);
          const numeric = (moved(h).value - moved(-h).value) / (2 * h);
          const scale = Math.abs(numeric) + Math.abs(moved(0).value / (high - low)) * 1e-3;
          expect(Math.abs(numeric - (partials[name] as number)), name).toBeLessThan(1e-5 * scale);
        }
      }),
      { seed, numRuns: 150 },
    );
  });

  test('flags a context that is missing, or outside its range', () => {
    fc.assert(
      fc.property(
        inner,
        contextOf(law, inner),
        fc.constantFrom(...law.needs),
        fc.boolean(),
        (s, context, name, over) => {
          const { low, high } = law.validContext[name] as Range;
          const outside = { ...context, [name]: over ? high + (high - low) : low - (high - low) };
          const held = { ...context, [name]: over ? high : low };
          const at = between(law.validSignal(held), s);
          expect(law.at(at, outside)).toMatchObject({ flag: 'context-out-of-range', partials: { [name]: 0 } });
          expect(law.at(at, outside).value).toBe(law.at(at, held).value);
          const { [name]: _, ...without } = context;
          const low2 = { ...context, [name]: low };
          expect(law.at(between(law.validSignal(low2), s), without).flag).toBe('context-missing');
        },
      ),
      { seed, numRuns: 100 },
    );
  });
});

const BOTH_WAYS = CASES.flatMap(({ name, law, signal }) => (signal === undefined ? [] : [{ name, law, signal }]));

describe.each(BOTH_WAYS)(`$name (seed ${seed})`, ({ law, signal }) => {
  test('comes back from the physics the other way round', () => {
    fc.assert(
      fc.property(share, contextOf(law), (s, context) => {
        const { low, high } = law.validSignal(context);
        const [from, to] = [law.at(low, context).value, law.at(high, context).value];
        const value = from + s * (to - from);
        const back = law.at(signal(value, context as Required<Context>), context).value;
        expect(Math.abs(back - value)).toBeLessThan(1e-9 * (1 + Math.abs(value)));
      }),
      { seed, numRuns: 150 },
    );
  });
});
