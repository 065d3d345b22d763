import { expect, test } from 'vitest';
import { densityKgPerM3 } from '../../../simulators/fluid.ts';
import { type Gauge, kgPerUnit, litresPerUnit } from '../../../src/core/dosing/amounts.ts';
import { type Counted, summed } from '../../../src/core/dosing/counted.ts';
import { refillPlan, startFill } from '../../../src/core/dosing/refill.ts';
import { fluidFrom } from '../../../src/core/fluids/fluid.ts';
import { vesselFrom } from '../../../src/core/vessels/vessel.ts';
import { TOLD_OIL } from './oil.ts';
import { Machine, OIL, type Pan } from './world.ts';

const VOLUME: Gauge = { kind: 'volume' };
const SCALE: Gauge = { kind: 'mass', airDensityKgPerM3: 1.2 };
const jug = { gauge: VOLUME, step: 0.05, uShare: 0.01, uEach: 0.02 };

function counted(amount: number, tC: number, more: Partial<Counted> = {}): Counted {
  return { amount, tC, uTemperatureK: 2, fluid: TOLD_OIL, measure: jug, measureId: 'jug', ...more };
}

test('litres keep their mass from one temperature to another, by the formula of the simulated world', () => {
  for (const [from, to] of [
    [62, 20],
    [-10, 95],
    [20, 20],
  ] as const) {
    const { value } = litresPerUnit(TOLD_OIL, VOLUME, from, to);
    // The standard's own shift of scales is left out there: a few parts in a million.
    expect(value).toBeCloseTo(densityKgPerM3(OIL, from) / densityKgPerM3(OIL, to), 5);
    expect(value * litresPerUnit(TOLD_OIL, VOLUME, to, from).value).toBeCloseTo(1, 12);
  }
});

test('a scale in air shows too little: a kilogram shown is m = W (1 − ρa/8000)/(1 − ρa/ρ), OIML D 28', () => {
  const rho = TOLD_OIL.density(55).value;
  const { value } = kgPerUnit(TOLD_OIL, SCALE, 55);
  expect(value).toBeCloseTo((1 - 1.2 / 8000) / (1 - 1.2 / rho), 12);
  expect(value).toBeGreaterThan(1.001);
  expect(litresPerUnit(TOLD_OIL, SCALE, 55, 55).value).toBeCloseTo((1000 * value) / rho, 12);
});

test.each([
  ['volume', VOLUME],
  ['mass', SCALE],
] as const)('derivatives of %s are those of differences', (_name, gauge) => {
  const h = 1e-3;
  const at = (from: number, to: number) => litresPerUnit(TOLD_OIL, gauge, from, to);
  const { perFromC, perToC, constants } = at(60, 22);
  expect(perFromC).toBeCloseTo((at(60 + h, 22).value - at(60 - h, 22).value) / (2 * h), 8);
  expect(perToC).toBeCloseTo((at(60, 22 + h).value - at(60, 22 - h).value) / (2 * h), 8);
  const denser = (by: number) =>
    fluidFrom({
      ...{ kind: 'single', name: 'oil', sound: null },
      density: { kind: 'lubricating-oil', at15KgPerM3: OIL.density15 + by, uKgPerM3: 2, uExpansionPerK: 7.5e-5 },
    });
  const [first] = constants;
  const off = (litresPerUnit(denser(1), gauge, 60, 22).value - litresPerUnit(denser(-1), gauge, 60, 22).value) / 2;
  expect(first?.perUnit).toBeCloseTo(off, 8);
});

test('the share of a measure is one error in all that it counted: in a difference of equal amounts it goes out', () => {
  const exact = { uTemperatureK: 0, measure: { ...jug, uEach: 0 } };
  const both = (measureId: string) =>
    summed(
      [
        { sign: 1, one: counted(3, 40, exact) },
        { sign: -1, one: counted(3, 40, { ...exact, measureId }) },
      ],
      40,
    );
  expect(both('jug')).toEqual({ litres: 0, uLitres: 0, inRange: true });
  expect(both('another').uLitres).toBeCloseTo(Math.SQRT2 * 0.03, 10);
});

test('what the refill plan says brings the simulated machine back to its level', () => {
  const pan: Pan = { planDm2: (z) => 8 + 0.01 * z, heightMm: 150 };
  const machine = new Machine(pan, 50, 90);
  machine.pour(-4.2, 71);
  expect(machine.levelMm).toBeLessThan(50);
  const plan = refillPlan([counted(4.2, 71)], [], { fresh: TOLD_OIL, levelC: 50, pourC: 15, uPouredK: 2 });
  machine.pour(plan.litres, 15);
  expect(machine.levelMm).toBeCloseTo(90, 2);
  const more = refillPlan([counted(4.2, 71)], [{ what: 'filter', litres: 0.3, uLitres: 0.04 }], {
    ...{ fresh: TOLD_OIL, levelC: 50, pourC: 15, uPouredK: 2 },
  });
  expect(more.litres - plan.litres).toBeCloseTo(0.3, 12);
  expect(more.uLitres).toBeCloseTo(Math.hypot(plan.uLitres, 0.04), 12);
});

test('another fluid fills the space of the old one, not its mass', () => {
  const heavier = fluidFrom({
    ...{ kind: 'single', name: 'other', sound: null },
    density: { kind: 'lubricating-oil', at15KgPerM3: 910, uKgPerM3: 2, uExpansionPerK: 7.5e-5 },
  });
  const plan = refillPlan([counted(4, 50)], [], { fresh: heavier, levelC: 50, pourC: 50, uPouredK: 0 });
  expect(plan.litres).toBeCloseTo(4, 12);
  const cold = refillPlan([counted(4, 50)], [], { fresh: heavier, levelC: 50, pourC: 20, uPouredK: 0 });
  expect(cold.litres).toBeCloseTo((4 * heavier.density(50).value) / heavier.density(20).value, 12);
});

test('before the start so much must be in that the level stays above the pick-up when the machine has taken its share', () => {
  const box = vesselFrom({
    ...{ name: 'box', floorAtMm: 0, uVolumeShare: 0, wall: null, tilt: null },
    shape: { kind: 'box', lengthMm: 400, widthMm: 250, heightMm: 200 },
    sensor: { kind: 'known', alongMm: 0, acrossMm: 0 },
  });
  // 0.1 L per mm: 20 mm kept are 2 L, and 1.5 L go into the machine.
  const start = { pickUpMm: 15, marginMm: 5, takesL: 1.5, uTakesL: 0 };
  expect(startFill(box, 30, 50, start)).toMatchObject({ enough: false, inRange: true });
  expect(startFill(box, 30, 50, start).lackingL).toBeCloseTo(0.5, 10);
  expect(startFill(box, 30, 50, start).leastMm).toBeCloseTo(35, 10);
  expect(startFill(box, 35.01, 50, start)).toMatchObject({ enough: true, lackingL: 0 });
  expect(startFill(box, 40, 50, start).afterStartMm).toBeCloseTo(25, 10);
  expect(startFill(box, 35.01, 50, { ...start, uTakesL: 0.1 }).enough).toBe(false);
});
