import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Fluid, fluidFrom } from '../../../src/core/fluids/fluid.ts';
import type { Property } from '../../../src/core/fluids/property.ts';
import { heldIn, NO_CIRCUIT } from '../../../src/core/vessels/circuit.ts';
import type { CircuitDescription, VesselDescription } from '../../../src/core/vessels/description.ts';
import { type Filling, type LevelState, levelAtReference } from '../../../src/core/vessels/level-at-reference.ts';
import { type Vessel, vesselFrom } from '../../../src/core/vessels/vessel.ts';
import { MIXED, OIL } from '../fluids/oils.ts';
import { slopeOf } from '../fluids/slope-of.ts';
import { BOX, CIRCUIT, LEANING_WALLS, LYING, STRAPPED, TAPERED, UPRIGHT, VESSELS } from './vessels.ts';

const seed = Number(process.env.SEED ?? 5050);
const oil = fluidFrom(OIL);

function filling(vessel: VesselDescription, fluid: Fluid = oil, circuit: CircuitDescription = CIRCUIT): Filling {
  return { vessel: vesselFrom(vessel), circuit, fluid };
}

function state(change: Partial<LevelState> = {}): LevelState {
  return {
    levelMm: 60,
    vesselC: 62,
    circuitC: 74,
    circuitState: 'cooler shut',
    referenceC: 30,
    referenceCircuitState: 'cooler shut',
    ...change,
  };
}

/** The same vessel with every volume `times` as large. */
function larger(vessel: Vessel, times: number): Vessel {
  return {
    ...vessel,
    litresAt: (mm, tC) => ({ ...vessel.litresAt(mm, tC), value: vessel.litresAt(mm, tC).value * times }),
    levelAt: (litres, tC) => vessel.levelAt(litres / times, tC),
  };
}

describe.each(VESSELS)('the level at the reference in a $name', (description) => {
  const of = filling(description);
  const mid = (of.vessel.lowMm + of.vessel.highMm) / 2;

  test('conserves mass, counted afresh at both ends', () => {
    const { value, massKg, inRange } = levelAtReference(of, state({ levelMm: mid }));
    expect(inRange).toBe(true);
    const kg = (levelMm: number, vesselC: number, circuitC: number) => {
      const inVessel = of.vessel.litresAt(levelMm, vesselC).value * oil.density(vesselC).value;
      return (inVessel + heldIn(CIRCUIT, 'cooler shut', circuitC).litres * oil.density(circuitC).value) / 1000;
    };
    expect(massKg).toBeCloseTo(kg(mid, 62, 74), 12);
    expect(kg(value, 30, 30)).toBeCloseTo(massKg, 10);
  });

  test('has derivatives by level and both temperatures that agree with differences', () => {
    const at = state({ levelMm: mid });
    const here = levelAtReference(of, at);
    const by = (key: 'levelMm' | 'vesselC' | 'circuitC', h: number) =>
      slopeOf((x) => levelAtReference(of, { ...at, [key]: x }).value, at[key], h);
    expect(Math.abs(here.perLevel - by('levelMm', 0.02))).toBeLessThan(1e-8);
    expect(Math.abs(here.perVesselC - by('vesselC', 0.2))).toBeLessThan(1e-9);
    expect(Math.abs(here.perCircuitC - by('circuitC', 0.2))).toBeLessThan(1e-9);
  });

  test('has derivatives by every constant of the density that agree with differences', () => {
    for (const fluid of [oil, fluidFrom(MIXED)]) {
      const at = state({ levelMm: mid });
      const here = levelAtReference({ ...of, fluid }, at);
      const named = fluid.density(62).constants;
      expect(named.length).toBeGreaterThanOrEqual(2);
      for (const [i, constant] of named.entries()) {
        // The density that the constant, changed by a small step, would give at each temperature.
        const moved = (step: number): Fluid => ({
          ...fluid,
          density(tC): Property {
            const rho = fluid.density(tC);
            return { ...rho, value: rho.value + step * (rho.constants[i]?.perUnit as number) };
          },
        });
        const h = 0.02 / Math.abs(constant.perUnit);
        const numeric = slopeOf((step) => levelAtReference({ ...of, fluid: moved(step) }, at).value, 0, h);
        const found = here.constants[i];
        expect(found?.name).toBe(constant.name);
        expect(found?.u).toBe(constant.u);
        const size = Math.abs(numeric) + 1e-7 / h;
        expect(Math.abs((found?.perUnit as number) - numeric), constant.name).toBeLessThan(1e-4 * size);
      }
    }
  });

  test('has derivatives by litres of the circuit and by the walls that agree with differences', () => {
    for (const [now, then] of [
      ['cooler shut', 'cooler shut'],
      ['cooler shut', 'cooler open'],
      ['cooler open', 'cooler shut'],
    ] as const) {
      const at = state({ levelMm: mid, circuitState: now, referenceCircuitState: then });
      const here = levelAtReference(of, at);
      const expectConstant = (name: string, changed: (d: number) => Filling, h: number) => {
        const found = here.constants.filter((constant) => constant.name === name);
        expect(found, name).toHaveLength(1);
        const numeric = slopeOf((d) => levelAtReference(changed(d), at).value, 0, h);
        expect(Math.abs((found[0]?.perUnit as number) - numeric), name).toBeLessThan(1e-6 * Math.abs(numeric) + 1e-8);
      };
      for (const id of new Set([now, then])) {
        const states = (d: number) => CIRCUIT.states.map((s) => (s.id === id ? { ...s, litres: s.litres + d } : s));
        expectConstant(
          `litres of the circuit, ${id}`,
          (d) => ({ ...of, circuit: { ...CIRCUIT, states: states(d) } }),
          0.01,
        );
      }
      expectConstant('volumes of the vessel', (d) => ({ ...of, vessel: larger(of.vessel, 1 + d) }), 1e-3);
      const pipes = CIRCUIT.wall as NonNullable<typeof CIRCUIT.wall>;
      expectConstant(
        'expansion of the circuit',
        (d) => ({ ...of, circuit: { ...CIRCUIT, wall: { ...pipes, linearPerK: pipes.linearPerK + d } } }),
        1e-6,
      );
      const { wall } = description;
      if (wall !== null)
        expectConstant(
          'expansion of the vessel',
          (d) => filling({ ...description, wall: { ...wall, linearPerK: wall.linearPerK + d } }),
          1e-6,
        );
    }
  });

  test('is the level itself where everything is at the reference already', () => {
    const here = levelAtReference(of, state({ levelMm: mid, vesselC: 30, circuitC: 30 }));
    expect(here.value).toBeCloseTo(mid, 9);
    expect(here.perLevel).toBeCloseTo(1, 9);
    for (const { name, perUnit, u } of here.constants) expect(Math.abs(perUnit * u), name).toBeLessThan(1e-9);
  });

  test(`stays in order: a higher level or a colder fluid ends higher (seed ${seed})`, () => {
    const part = fc.double({ min: 0.3, max: 0.7, noNaN: true });
    const warmth = fc.double({ min: 20, max: 80, noNaN: true });
    fc.assert(
      fc.property(part, warmth, warmth, (p, vesselC, circuitC) => {
        const levelMm = of.vessel.lowMm + p * (of.vessel.highMm - of.vessel.lowMm);
        const here = levelAtReference(of, state({ levelMm, vesselC, circuitC }));
        fc.pre(here.inRange);
        expect(here.perLevel).toBeGreaterThan(0);
        expect(here.perVesselC).toBeLessThan(0);
        expect(here.perCircuitC).toBeLessThan(0);
        const colder = levelAtReference(of, state({ levelMm, vesselC: vesselC - 5, circuitC }));
        if (colder.inRange) expect(colder.value).toBeGreaterThan(here.value);
      }),
      { seed },
    );
  });

  test(`gives finite numbers for any number (seed ${seed})`, () => {
    const any = fc.double({ noNaN: true, noDefaultInfinity: true });
    fc.assert(
      fc.property(any, any, any, any, (levelMm, vesselC, circuitC, referenceC) => {
        const here = levelAtReference(of, state({ levelMm, vesselC, circuitC, referenceC }));
        const numbers = [here.value, here.massKg, here.perLevel, here.perVesselC, here.perCircuitC];
        for (const number of [...numbers, ...here.constants.map(({ perUnit }) => perUnit)])
          expect(Number.isFinite(number)).toBe(true);
        for (const tC of [vesselC, circuitC, referenceC]) if (tC < -50 || tC > 150) expect(here.inRange).toBe(false);
      }),
      { seed },
    );
  });
});

describe('what is outside', () => {
  const of = filling(STRAPPED);

  test('is flagged: a level beyond the table, a temperature beyond the fluid, a result beyond the vessel', () => {
    expect(levelAtReference(of, state()).inRange).toBe(true);
    expect(levelAtReference(of, state({ levelMm: 121 })).inRange).toBe(false);
    expect(levelAtReference(of, state({ vesselC: 151 })).inRange).toBe(false);
    expect(levelAtReference(of, state({ circuitC: -51 })).inRange).toBe(false);
    expect(levelAtReference(of, state({ referenceC: 160 })).inRange).toBe(false);
    expect(levelAtReference(of, state({ levelMm: 119, vesselC: 0, circuitC: 0, referenceC: 100 })).inRange).toBe(false);
    const open = state({ levelMm: 3, referenceCircuitState: 'cooler open' });
    expect(levelAtReference(of, open).inRange).toBe(false);
  });
});

describe('a circuit', () => {
  test('that opens takes its litres out of the vessel', () => {
    const of = filling({ ...BOX, wall: null }, oil, { ...CIRCUIT, wall: null });
    const at = state({ vesselC: 40, circuitC: 40, referenceC: 40 });
    const shut = levelAtReference(of, at);
    const open = levelAtReference(of, { ...at, referenceCircuitState: 'cooler open' });
    expect(shut.massKg).toBe(open.massKg);
    // 0.7 litres from a plan of 320 by 210 mm.
    expect(shut.value - open.value).toBeCloseTo(0.7 / (320 * 210 * 1e-6), 9);
  });

  test('that is hotter than the vessel holds less mass, so that the level at the reference is lower', () => {
    for (const vessel of [BOX, TAPERED, LEANING_WALLS, UPRIGHT, LYING, STRAPPED]) {
      const warm = levelAtReference(filling(vessel), state({ circuitC: 62 }));
      const hot = levelAtReference(filling(vessel), state({ circuitC: 92 }));
      expect(hot.value).toBeLessThan(warm.value);
    }
  });

  test('knows its states and no other', () => {
    expect(heldIn(CIRCUIT, 'cooler open', 20)).toMatchObject({ litres: 3.1, uStateLitres: 0.15, inRange: true });
    expect(() => heldIn(CIRCUIT, 'cooler ajar', 20)).toThrow(
      'the circuit has no state "cooler ajar"; it has "cooler shut", "cooler open"',
    );
    expect(heldIn(NO_CIRCUIT, 'none', 90).litres).toBe(0);
  });

  test('has derivatives that agree with differences', () => {
    const by = slopeOf((tC) => heldIn(CIRCUIT, 'cooler open', tC).litres, 85, 0.5);
    expect(Math.abs(heldIn(CIRCUIT, 'cooler open', 85).perK - by)).toBeLessThan(1e-12);
  });
});
