import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { monotoneCubic } from '../../../src/core/monotone-cubic.ts';
import type { ShapeDescription, VesselDescription } from '../../../src/core/vessels/description.ts';
import { vesselFrom } from '../../../src/core/vessels/vessel.ts';
import {
  FILLED_FRACTIONS,
  LYING_CYLINDER,
  LYING_CYLINDER_LITRES,
  PAN,
  PAN_LITRES,
  UPRIGHT_CYLINDER,
} from '../../reference/vessels.ts';
import { slopeOf } from '../fluids/slope-of.ts';
import { BOX, LYING, STRAPPED, TAPERED, UPRIGHT, VESSELS } from './vessels.ts';

const seed = Number(process.env.SEED ?? 1618);
const anyNumber = fc.double({ noNaN: true, noDefaultInfinity: true });
const share = fc.double({ min: 0, max: 1, noNaN: true });
const wallC = fc.double({ min: -40, max: 160, noNaN: true });

function of(shape: ShapeDescription) {
  return vesselFrom({ ...BOX, shape, floorAtMm: 0, wall: null });
}

describe('published volumes', () => {
  const round = of({ kind: 'horizontal-cylinder', ...LYING_CYLINDER });
  const full = round.litresAt(LYING_CYLINDER.diameterMm, 20).value;

  test.each(FILLED_FRACTIONS)('a cylinder lying $depthOverDiameter full of its diameter holds $printed', (row) => {
    const fraction = round.litresAt(row.depthOverDiameter * LYING_CYLINDER.diameterMm, 20).value / full;
    expect(fraction.toFixed(4)).toBe(row.printed.toFixed(4));
    expect(Math.abs(fraction - row.exact)).toBeLessThan(1e-14);
  });

  test.each(LYING_CYLINDER_LITRES)('the lying cylinder holds $litres L at $mm mm', ({ mm, litres }) => {
    expect(Math.abs(round.litresAt(mm, 20).value - litres)).toBeLessThanOrEqual(1e-6);
  });

  test('a nearly empty lying cylinder loses no digits', () => {
    const { diameterMm, lengthMm } = LYING_CYLINDER;
    const closed = (u: number) => Math.acos(1 - 2 * u) - 2 * Math.sqrt(u * (1 - u)) * (1 - 2 * u);
    const litres = (u: number) => round.litresAt(u * diameterMm, 20).value;
    const unit = (lengthMm * diameterMm * diameterMm) / 4 / 1e6;
    for (const u of [0.004, 0.009, 0.0099, 0.00999, 0.011, 0.02])
      expect(Math.abs(litres(u) / (closed(u) * unit) - 1), `${u}`).toBeLessThan(1e-11);
    // A segment so flat is a parabola, and holds two thirds of chord times depth.
    for (const u of [1e-12, 1e-10, 1e-8]) {
      const chordMm = 2 * diameterMm * Math.sqrt(u * (1 - u));
      const parabola = (2 / 3) * chordMm * u * diameterMm * lengthMm * 1e-6;
      expect(Math.abs(litres(u) / parabola - 1), `${u}`).toBeLessThan(1e-14 + u);
    }
  });

  test.each(PAN_LITRES)('the tapered pan holds $litres L at $mm mm', ({ mm, litres }) => {
    expect(Math.abs(of({ kind: 'tapered-pan', ...PAN }).litresAt(mm, 20).value - litres)).toBeLessThanOrEqual(1e-6);
  });

  test('the upright cylinder holds what is published, and a box its product', () => {
    const { diameterMm, heightMm, litres } = UPRIGHT_CYLINDER;
    const upright = of({ kind: 'upright-cylinder', diameterMm, heightMm });
    expect(Math.abs(upright.litresAt(heightMm, 20).value - litres)).toBeLessThanOrEqual(1e-6);
    const box = of({ kind: 'box', lengthMm: 300, widthMm: 200, heightMm: 100 });
    expect(box.litresAt(50, 20).value).toBeCloseTo(3, 12);
  });

  test('a strapping table is the monotone cubic through its points', () => {
    const points = STRAPPED.shape.kind === 'strapping-table' ? STRAPPED.shape.points : [];
    const table = of(STRAPPED.shape);
    for (const { mm, litres } of points) expect(table.litresAt(mm, 20).value).toBeCloseTo(litres, 14);
    const cubic = monotoneCubic(
      points.map(({ mm }) => mm),
      points.map(({ litres }) => litres),
    );
    expect(table.litresAt(66.5, 20).value).toBe(cubic.at(66.5).value);
  });
});

describe.each(VESSELS)('$name', (description) => {
  const vessel = vesselFrom(description);
  const height = vessel.highMm - vessel.lowMm;

  test(`level to volume and back to 1e-9 of its height, at any wall temperature (seed ${seed})`, () => {
    fc.assert(
      fc.property(share, wallC, (part, tC) => {
        const level = vessel.lowMm + part * height * 0.99 + 0.005 * height;
        const there = vessel.litresAt(level, tC);
        const back = vessel.levelAt(there.value, tC);
        expect(there.inRange && back.inRange).toBe(true);
        expect(Math.abs(back.value - level)).toBeLessThanOrEqual(1e-9 * height);
        expect(Math.abs(vessel.litresAt(back.value, tC).value / there.value - 1)).toBeLessThanOrEqual(1e-9);
      }),
      { seed, numRuns: 300 },
    );
  });

  test('from empty to full and back', () => {
    for (const level of [vessel.lowMm, vessel.lowMm + 1e-6, vessel.highMm - 1e-6, vessel.highMm]) {
      const tC = description.wall?.atC ?? 20;
      const back = vessel.levelAt(vessel.litresAt(level, tC).value, tC);
      expect(Math.abs(back.value - level)).toBeLessThanOrEqual(1e-9 * height);
    }
  });

  test(`holds more the higher it stands (seed ${seed})`, () => {
    fc.assert(
      fc.property(share, share, wallC, (a, b, tC) => {
        fc.pre(Math.abs(a - b) > 1e-9);
        const [low, high] = [Math.min(a, b), Math.max(a, b)].map((s) => vessel.lowMm + (0.001 + 0.99 * s) * height);
        const less = vessel.litresAt(low as number, tC);
        expect(less.derivative).toBeGreaterThan(0);
        expect(vessel.litresAt(high as number, tC).value).toBeGreaterThan(less.value);
      }),
      { seed },
    );
  });

  test('has derivatives that agree with differences, both ways', () => {
    for (const part of [0.06, 0.2, 0.35, 0.6, 0.77, 0.93])
      for (const tC of [-10, 20, 85]) {
        const level = vessel.lowMm + part * height;
        const there = vessel.litresAt(level, tC);
        const byLevel = slopeOf((mm) => vessel.litresAt(mm, tC).value, level, 1e-2);
        expect(Math.abs(there.derivative / byLevel - 1), `${part} at ${tC} °C`).toBeLessThan(1e-8);
        const byWall = slopeOf((t) => vessel.litresAt(level, t).value, tC, 0.5);
        expect(Math.abs(there.perK - byWall)).toBeLessThan(1e-11);
        const back = vessel.levelAt(there.value, tC);
        const byLitres = slopeOf((litres) => vessel.levelAt(litres, tC).value, there.value, 1e-4);
        expect(Math.abs(back.derivative / byLitres - 1)).toBeLessThan(1e-8);
        expect(back.derivative).toBeCloseTo(1 / there.derivative, 9);
        const backByWall = slopeOf((t) => vessel.levelAt(there.value, t).value, tC, 0.5);
        expect(Math.abs(back.perK - backByWall)).toBeLessThan(1e-10);
      }
  });

  test(`gives finite numbers for any number, flagged where it does not reach (seed ${seed})`, () => {
    fc.assert(
      fc.property(anyNumber, anyNumber, (x, tC) => {
        for (const found of [
          vessel.litresAt(x, 20),
          vessel.levelAt(x, 20),
          vessel.litresAt(x, tC),
          vessel.levelAt(x, tC),
        ])
          for (const number of [found.value, found.derivative, found.perK, found.perLinear])
            expect(Number.isFinite(number)).toBe(true);
        if (x < vessel.lowMm - 1 || x > vessel.highMm + 1) expect(vessel.litresAt(x, 20).inRange).toBe(false);
        if (tC < -100 || tC > 400) expect(vessel.litresAt(vessel.lowMm + height / 2, tC).inRange).toBe(false);
      }),
      { seed },
    );
  });

  test('holds the end value outside, with no slope', () => {
    const tC = description.wall?.atC ?? 20;
    const brim = vessel.litresAt(vessel.highMm, tC);
    const over = vessel.litresAt(vessel.highMm + 5, tC);
    expect(brim.inRange).toBe(true);
    expect(over).toMatchObject({ value: brim.value, derivative: 0, inRange: false });
    expect(vessel.levelAt(brim.value + 1, tC)).toMatchObject({ value: vessel.highMm, derivative: 0, inRange: false });
    expect(vessel.litresAt(vessel.lowMm - 5, tC).inRange).toBe(false);
  });
});

describe('walls that expand', () => {
  test('hold more at the same level, and the level of the same volume falls', () => {
    for (const description of [TAPERED, UPRIGHT, STRAPPED]) {
      const vessel = vesselFrom(description);
      const level = (vessel.lowMm + vessel.highMm) / 2;
      const cold = vessel.litresAt(level, 20).value;
      expect(vessel.litresAt(level, 80).value).toBeGreaterThan(cold);
      expect(vessel.levelAt(cold, 80).value).toBeLessThan(vessel.levelAt(cold, 20).value);
    }
  });

  test('of a straight cylinder add twice their linear expansion to its plan', () => {
    const vessel = vesselFrom(UPRIGHT);
    const ratio = vessel.litresAt(150, 120).value / vessel.litresAt(150, 20).value;
    expect(ratio).toBeCloseTo((1 + 23e-4) * (1 + 23e-4), 12);
  });

  test('have a derivative by their coefficient that agrees with differences', () => {
    for (const description of [TAPERED, UPRIGHT, STRAPPED]) {
      const wall = description.wall as NonNullable<VesselDescription['wall']>;
      const vessel = vesselFrom(description);
      const level = vessel.lowMm + 0.4 * (vessel.highMm - vessel.lowMm);
      const litres = vessel.litresAt(level, 20).value;
      const changed = (d: number) => vesselFrom({ ...description, wall: { ...wall, linearPerK: wall.linearPerK + d } });
      const byVolume = slopeOf((d) => changed(d).litresAt(level, 90).value, 0, 1e-6);
      expect(Math.abs(vessel.litresAt(level, 90).perLinear / byVolume - 1)).toBeLessThan(1e-7);
      const byLevel = slopeOf((d) => changed(d).levelAt(litres, 90).value, 0, 1e-6);
      expect(Math.abs(vessel.levelAt(litres, 90).perLinear / byLevel - 1)).toBeLessThan(1e-7);
    }
  });
});

describe('a level measured from another zero', () => {
  test('moves the level and leaves the volume', () => {
    const [low, high] = [vesselFrom({ ...LYING, floorAtMm: 0 }), vesselFrom({ ...LYING, floorAtMm: 25 })];
    expect(high.litresAt(125, 20).value).toBe(low.litresAt(100, 20).value);
    expect(high.levelAt(30, 20).value).toBeCloseTo(low.levelAt(30, 20).value + 25, 10);
  });
});

describe('a shape that cannot be', () => {
  test('is refused with the length that is wrong', () => {
    expect(() => of({ kind: 'box', lengthMm: 300, widthMm: 0, heightMm: 100 })).toThrow(
      'widthMm of the box must be a length above 0 mm',
    );
    expect(() => of({ kind: 'horizontal-cylinder', diameterMm: Number.NaN, lengthMm: 1 })).toThrow('diameterMm');
    const table = (litres: number[]) => () =>
      of({ kind: 'strapping-table', points: litres.map((l, i) => ({ mm: 10 * i, litres: l })) });
    expect(table([0, 1, 1, 2])).toThrow('must rise from each point to the next');
    expect(table([3, 2, 1])).toThrow('must rise from each point to the next');
    expect(table([-1, 2, 3])).toThrow('from 0 or above');
    expect(table([1])).toThrow('two points');
  });
});
