import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { FluidDescription, SingleFluidDescription } from '../../../src/core/fluids/description.ts';
import { type Fluid, fluidFrom } from '../../../src/core/fluids/fluid.ts';
import type { Property } from '../../../src/core/fluids/property.ts';
import { speedFromEcho } from '../../../src/core/fluids/sound.ts';
import { TYPICAL_TRANSMISSION_OIL, TYPICAL_U_EXPANSION_PER_K } from '../../../src/core/fluids/starter-values.ts';
import { BY_TABLE, FLUIDS, MIXED, OIL, OTHER_OIL } from './oils.ts';
import { slopeOf } from './slope-of.ts';

const seed = Number(process.env.SEED ?? 8128);
const anyNumber = fc.double({ noNaN: true, noDefaultInfinity: true });

const PROPERTIES: readonly (readonly [name: string, of: (fluid: Fluid, tC: number) => Property])[] = [
  ['density', (fluid, tC) => fluid.density(tC)],
  ['expansion', (fluid, tC) => fluid.expansion(tC)],
  ['speed of sound', (fluid, tC) => fluid.speedOfSound(tC) as Property],
];

/** Temperatures between the knots of every table: a second derivative steps at a knot. */
const PLACES = [0.03, 0.12, 0.27, 0.41, 0.58, 0.66, 0.83, 0.97];

describe.each(FLUIDS)('$fluid.name', ({ fluid: description, lowC, highC }) => {
  const fluid = fluidFrom(description);

  test.each(PROPERTIES)('has a %s whose derivative agrees with differences', (_, of) => {
    for (const place of PLACES) {
      const tC = lowC + place * (highC - lowC);
      const { derivative, value } = of(fluid, tC);
      const numeric = slopeOf((t) => of(fluid, t).value, tC, 0.02);
      expect(Math.abs(derivative - numeric), `at ${tC} °C`).toBeLessThan(1e-10 * Math.abs(value) + 1e-12);
    }
  });

  test.each(PROPERTIES)('gives its %s with an uncertainty, a source and in range', (_, of) => {
    for (const place of PLACES) {
      const { u, source, inRange, constants } = of(fluid, lowC + place * (highC - lowC));
      expect(inRange).toBe(true);
      expect(u).toBeGreaterThan(0);
      expect(source.length).toBeGreaterThan(5);
      expect(u).toBeCloseTo(Math.hypot(...constants.map((c) => c.perUnit * c.u)), 10);
    }
  });

  test('expands as its density falls', () => {
    for (const place of PLACES) {
      const tC = lowC + place * (highC - lowC);
      const density = fluid.density(tC);
      expect(fluid.expansion(tC).value).toBeCloseTo(-density.derivative / density.value, 15);
    }
  });

  test.each(PROPERTIES)('names the constants of its %s alike at every temperature', (_, of) => {
    const names = (tC: number) => of(fluid, tC).constants.map((c) => `${c.name} ± ${c.u}`);
    for (const tC of [lowC, highC, lowC - 1000, highC + 1000]) expect(names(tC)).toEqual(names((lowC + highC) / 2));
  });

  test.each(PROPERTIES)(`gives finite numbers for any %s, flagged outside (seed ${seed})`, (_, of) => {
    fc.assert(
      fc.property(anyNumber, (tC) => {
        const property = of(fluid, tC);
        for (const number of [property.value, property.derivative, property.u])
          expect(Number.isFinite(number)).toBe(true);
        if (tC >= lowC && tC <= highC) expect(property.inRange).toBe(true);
        if (tC < -51 || tC > 151) expect(property.inRange).toBe(false);
      }),
      { seed },
    );
  });

  test.each(PROPERTIES)('holds its %s outside the range, and is less sure of it the farther away', (_, of) => {
    const edge = of(fluid, 1000);
    const farther = of(fluid, 2000);
    expect(farther.value).toBe(edge.value);
    expect(farther.derivative).toBe(0);
    expect(farther.u).toBeGreaterThan(edge.u);
    expect(edge.inRange || farther.inRange).toBe(false);
  });
});

test.each([OIL, OTHER_OIL, BY_TABLE, MIXED])(`the density of $name falls as it warms (seed ${seed})`, (description) => {
  const fluid = fluidFrom(description);
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 109, noNaN: true }),
      fc.double({ min: 1e-6, max: 1, noNaN: true }),
      (tC, dK) => {
        expect(fluid.density(tC + dK).value).toBeLessThan(fluid.density(tC).value);
      },
    ),
    { seed },
  );
});

/** What the constants of a property say that a change of the description does, against doing it. */
function expectConstant(
  of: (fluid: Fluid) => Property,
  name: string,
  describe: (change: number) => FluidDescription,
  h: number,
) {
  const found = of(fluidFrom(describe(0))).constants.find((constant) => constant.name === name);
  const numeric = slopeOf((change) => of(fluidFrom(describe(change))).value, 0, h);
  expect(found, name).toBeDefined();
  expect(Math.abs((found?.perUnit as number) - numeric), name).toBeLessThan(1e-7 * Math.abs(numeric) + 1e-11);
}

const oilAt15 = (fluid: typeof OIL, change: number): SingleFluidDescription =>
  fluid.density.kind === 'lubricating-oil'
    ? { ...fluid, density: { ...fluid.density, at15KgPerM3: fluid.density.at15KgPerM3 + change } }
    : fluid;

describe('a constant', () => {
  test('of a lubricating oil moves density and expansion as it says', () => {
    for (const tC of [-20, 15, 40, 90]) {
      expectConstant(
        (f) => f.density(tC),
        'density at 15 °C',
        (change) => oilAt15(OIL, change),
        0.05,
      );
      expectConstant(
        (f) => f.expansion(tC),
        'density at 15 °C',
        (change) => oilAt15(OIL, change),
        0.05,
      );
    }
  });

  test('for the oil’s own expansion is the derivative of density × exp(−b (t − 15 °C))', () => {
    const fluid = fluidFrom(OIL);
    for (const tC of [-20, 15, 40, 90]) {
      const rho = fluid.density(tC);
      const by = (b: number) => rho.value * Math.exp(-b * (tC - 15));
      expect(rho.constants[1]?.perUnit).toBeCloseTo(slopeOf(by, 0, 1e-5), 4);
      expect(fluid.expansion(tC).constants[1]?.perUnit).toBeCloseTo(1, 10);
    }
  });

  test('of a table moves it as a whole, or tilts it', () => {
    const moved = (perPoint: (tC: number) => number): SingleFluidDescription =>
      BY_TABLE.density.kind === 'table'
        ? {
            ...BY_TABLE,
            density: {
              ...BY_TABLE.density,
              points: BY_TABLE.density.points.map((p) => ({ ...p, kgPerM3: p.kgPerM3 + perPoint(p.tC) })),
            },
          }
        : BY_TABLE;
    for (const tC of [5, 33, 95]) {
      expectConstant(
        (f) => f.density(tC),
        'level of the table',
        (change) => moved(() => change),
        0.01,
      );
      expectConstant(
        (f) => f.expansion(tC),
        'level of the table',
        (change) => moved(() => change),
        0.01,
      );
      // A straight tilt goes through the cubic nearly as a straight line.
      const tilted = fluidFrom(moved((t) => (0.01 * (t - 55)) / 55));
      const by = (tilted.density(tC).value - fluidFrom(BY_TABLE).density(tC).value) / 0.01;
      expect(fluidFrom(BY_TABLE).density(tC).constants[1]?.perUnit).toBeCloseTo(by, 1);
      const steeper = (tilted.expansion(tC).value - fluidFrom(BY_TABLE).expansion(tC).value) / 0.01;
      expect((fluidFrom(BY_TABLE).expansion(tC).constants[1]?.perUnit as number) / steeper).toBeCloseTo(1, 0);
    }
  });

  test('of a mixture moves its density, expansion and speed of sound as it says', () => {
    const mixed = (change: Partial<typeof MIXED>): FluidDescription => ({ ...MIXED, ...change }) as FluidDescription;
    const properties: ((f: Fluid) => Property)[] = [
      (f) => f.density(60),
      (f) => f.expansion(60),
      (f) => f.speedOfSound(60) as Property,
    ];
    for (const of of properties) {
      expectConstant(of, 'fresh: density at 15 °C', (d) => mixed({ fresh: oilAt15(OIL, d) }), 0.05);
      expectConstant(of, 'old: density at 15 °C', (d) => mixed({ old: oilAt15(OTHER_OIL, d) }), 0.05);
      expectConstant(of, 'share of the fresh fluid', (d) => mixed({ freshShare: 0.4 + d }), 1e-3);
    }
    const faster = (d: number) => ({ ...OIL, sound: { ...OIL.sound, mPerS: 1430 + d } }) as SingleFluidDescription;
    const steeper = (d: number) => ({ ...OIL, sound: { ...OIL.sound, perK: -3.5 + d } }) as SingleFluidDescription;
    const speed = (f: Fluid) => f.speedOfSound(60) as Property;
    expectConstant(speed, 'fresh: speed of sound', (d) => mixed({ fresh: faster(d) }), 0.5);
    expectConstant(
      speed,
      'fresh: temperature coefficient of the speed of sound',
      (d) => mixed({ fresh: steeper(d) }),
      0.01,
    );
  });

  test('of a calibration moves the speed as it says', () => {
    const speed = (f: Fluid) => f.speedOfSound(75) as Property;
    const by = (key: string, from: number) => (d: number) =>
      ({ ...OTHER_OIL, sound: { ...OTHER_OIL.sound, [key]: from + d } }) as SingleFluidDescription;
    expectConstant(speed, 'calibration length', by('lengthMm', 100), 0.01);
    expectConstant(speed, 'calibration echo time', by('echoUs', 138), 0.01);
    expectConstant(speed, 'calibration temperature', by('atC', 30), 0.01);
    expectConstant(speed, 'temperature coefficient of the speed of sound', by('perK', -3.2), 0.01);
  });
});

describe('a calibration in the fluid', () => {
  test('gives back the speed that the echo had', () => {
    const trueSpeed = 1437;
    const echoUs = (2 * 0.1 * 1e6) / trueSpeed;
    expect(speedFromEcho(100, echoUs)).toBeCloseTo(trueSpeed, 9);
    const sound = { ...OTHER_OIL.sound, echoUs } as typeof OTHER_OIL.sound;
    expect(fluidFrom({ ...OTHER_OIL, sound }).speedOfSound(30)?.value).toBeCloseTo(trueSpeed, 9);
  });

  test('refuses a length or a time that is none', () => {
    expect(() => speedFromEcho(0, 100)).toThrow('must be above 0');
    expect(() => speedFromEcho(100, 0)).toThrow('must be above 0');
  });
});

describe('a mixture', () => {
  test('is the old fluid at share 0 and the fresh one at share 1', () => {
    for (const [freshShare, pure] of [
      [0, OTHER_OIL],
      [1, OIL],
    ] as const) {
      const mixed = fluidFrom({ kind: 'mixture', name: 'm', old: OTHER_OIL, fresh: OIL, freshShare, uFreshShare: 0 });
      const one = fluidFrom(pure);
      for (const tC of [10, 50, 100]) {
        expect(mixed.density(tC).value).toBeCloseTo(one.density(tC).value, 9);
        expect(mixed.expansion(tC).value).toBeCloseTo(one.expansion(tC).value, 15);
        expect(mixed.speedOfSound(tC)?.value).toBeCloseTo(one.speedOfSound(tC)?.value as number, 9);
        expect(mixed.density(tC).u).toBeCloseTo(one.density(tC).u, 9);
        expect(mixed.speedOfSound(tC)?.u).toBeCloseTo(one.speedOfSound(tC)?.u as number, 6);
      }
    }
  });

  test('takes up the volumes of both parts', () => {
    const [old, fresh] = [fluidFrom(OTHER_OIL), fluidFrom(OIL)];
    const litres = 600 / old.density(50).value + 400 / fresh.density(50).value;
    expect(fluidFrom(MIXED).density(50).value).toBeCloseTo(1000 / litres, 9);
  });

  test('is as compressible as its parts by volume', () => {
    const [old, fresh] = [fluidFrom(OTHER_OIL), fluidFrom(OIL)];
    const part = (fluid: Fluid, kg: number) => {
      const rho = fluid.density(50).value;
      const c = fluid.speedOfSound(50)?.value as number;
      return { volume: kg / rho, yielded: kg / rho / (rho * c * c) };
    };
    const [a, b] = [part(old, 0.6), part(fresh, 0.4)];
    const volume = a.volume + b.volume;
    const c = Math.sqrt(volume / (a.yielded + b.yielded) / (1 / volume));
    expect(fluidFrom(MIXED).speedOfSound(50)?.value).toBeCloseTo(c, 9);
  });

  test('of two alike is that fluid, at any share', () => {
    const same = fluidFrom({ kind: 'mixture', name: 'm', old: OIL, fresh: OIL, freshShare: 0.3, uFreshShare: 0.1 });
    expect(same.density(70).value).toBeCloseTo(fluidFrom(OIL).density(70).value, 9);
    expect(same.speedOfSound(70)?.value).toBeCloseTo(fluidFrom(OIL).speedOfSound(70)?.value as number, 9);
  });

  test('can itself be mixed again', () => {
    const twice = fluidFrom({ kind: 'mixture', name: 'm', old: MIXED, fresh: OIL, freshShare: 0.5, uFreshShare: 0.01 });
    expect(twice.density(20).constants.map(({ name }) => name)).toContain('old: fresh: density at 15 °C');
    expect(twice.density(20).value).toBeLessThan(fluidFrom(MIXED).density(20).value);
    expect(twice.density(20).value).toBeGreaterThan(fluidFrom(OIL).density(20).value);
  });

  test('says where its figures come from and that they are mixed', () => {
    expect(fluidFrom(MIXED).speedOfSound(20)?.source).toBe('mixed by mass from calibrated in the fluid and invented');
  });

  test('has no speed of sound when one part has none', () => {
    const mute = { ...OIL, sound: null };
    expect(fluidFrom({ ...MIXED, fresh: mute } as FluidDescription).speedOfSound(20)).toBeNull();
    expect(fluidFrom({ ...MIXED, old: mute } as FluidDescription).speedOfSound(20)).toBeNull();
    expect(fluidFrom(mute).speedOfSound(20)).toBeNull();
  });

  test('knows its speed of sound only where the densities of both parts are known too', () => {
    const known = (fluid: FluidDescription, tC: number) => fluidFrom(fluid).speedOfSound(tC)?.inRange;
    const narrow = {
      ...OIL,
      density: {
        kind: 'table',
        source: 'x',
        uKgPerM3: 1,
        points: [
          { tC: 20, kgPerM3: 850 },
          { tC: 60, kgPerM3: 824 },
        ],
      },
    } as const;
    expect(known({ ...MIXED, fresh: narrow } as FluidDescription, 59)).toBe(true);
    expect(known({ ...MIXED, fresh: narrow } as FluidDescription, 61)).toBe(false);
  });

  test('trusts its rules least at equal shares, and fully at the ends', () => {
    const rule = (freshShare: number, of: (f: Fluid) => Property) => {
      const fluid = fluidFrom({ ...MIXED, freshShare } as FluidDescription);
      const found = of(fluid).constants.find(({ name }) => name === 'mixing rule');
      return Math.abs((found?.perUnit as number) * (found?.u as number)) / of(fluid).value;
    };
    for (const [of, most] of [
      [(f: Fluid) => f.density(40), 3e-4],
      [(f: Fluid) => f.speedOfSound(40) as Property, 2e-3],
    ] as const) {
      expect(rule(0.5, of)).toBeCloseTo(most, 9);
      expect(rule(0.25, of)).toBeCloseTo(0.75 * most, 9);
      expect(rule(0, of)).toBe(0);
      expect(rule(1, of)).toBe(0);
    }
  });

  test('refuses a share that is none, and parts without a temperature in common', () => {
    expect(() => fluidFrom({ ...MIXED, freshShare: 1.01 } as FluidDescription)).toThrow('from 0 to 1');
    const hot = {
      ...BY_TABLE,
      density: {
        kind: 'table',
        source: 'x',
        uKgPerM3: 1,
        points: [
          { tC: 160, kgPerM3: 800 },
          { tC: 200, kgPerM3: 780 },
        ],
      },
    } as SingleFluidDescription;
    expect(() => fluidFrom({ ...MIXED, old: hot } as FluidDescription)).toThrow('no temperature in common');
  });
});

describe('a description that cannot hold', () => {
  const sound = (change: object) => () => fluidFrom({ ...OIL, sound: { ...OIL.sound, ...change } as typeof OIL.sound });

  test('is refused with the value that is wrong', () => {
    expect(sound({ lowC: 50, highC: 50 })).toThrow('the lowest temperature must lie below the highest');
    expect(sound({ perK: -20 })).toThrow('must stay above 0 m/s from -20 to 120 °C');
    const points = [
      { tC: 0, kgPerM3: 1000 },
      { tC: 10, kgPerM3: -1 },
    ];
    const density = { kind: 'table', source: 'x', uKgPerM3: 1, points } as const;
    expect(() => fluidFrom({ ...OIL, density })).toThrow('every value of the table must be above 0');
  });
});

describe('a starter value', () => {
  const { value, advice, source } = TYPICAL_TRANSMISSION_OIL;
  const fluid = fluidFrom(value);

  test('says what it is and where it comes from', () => {
    for (const starter of [TYPICAL_TRANSMISSION_OIL, TYPICAL_U_EXPANSION_PER_K]) {
      expect(starter.advice).toBe('typical, check your fluid');
      expect(starter.source.length).toBeGreaterThan(40);
    }
    expect(advice).toBe('typical, check your fluid');
    expect(source).toMatch(/handbook/i);
    expect(value.name).toContain('typical, check your fluid');
    expect(fluid.speedOfSound(25)?.source).toContain('typical');
  });

  test('gives a measured oil’s speed of sound with its tens of metres per second', () => {
    for (const tC of [20, 25]) {
      const speed = fluid.speedOfSound(tC) as Property;
      expect(speed.value).toBeGreaterThan(1400);
      expect(speed.value).toBeLessThan(1480);
      expect(speed.u).toBeGreaterThanOrEqual(20);
    }
    expect(fluid.speedOfSound(100)?.u).toBeGreaterThan(fluid.speedOfSound(25)?.u as number);
  });

  test('is unsure of density and expansion by what handbooks spread over', () => {
    expect(fluid.density(15).u).toBeCloseTo(20, 6);
    const { value: beta, u } = fluid.expansion(40);
    expect(beta - 2 * u).toBeLessThan(6.3e-4);
    expect(beta + 2 * u).toBeGreaterThan(8e-4);
  });
});
