import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { VesselDescription } from '../../../src/core/vessels/description.ts';
import { levelled } from '../../../src/core/vessels/tilt.ts';
import { type Vessel, vesselFrom } from '../../../src/core/vessels/vessel.ts';
import { slopeOf } from '../fluids/slope-of.ts';
import { BOX, LEANING_WALLS, LYING, STRAPPED, TAPERED, UPRIGHT } from './vessels.ts';

const seed = Number(process.env.SEED ?? 2718);
const RAD = Math.PI / 180;
const LEVEL = { alongDeg: 0, acrossDeg: 0, uDeg: 0 };

/** Heights of the leaning surface above its middle: the plane normal to the vertical, in the vessel's own axes. */
function plane(alongDeg: number, acrossDeg: number) {
  const up = [Math.sin(alongDeg * RAD), Math.sin(acrossDeg * RAD)] as const;
  const rest = Math.sqrt(1 - up[0] * up[0] - up[1] * up[1]);
  return (x: number, y: number) => -(up[0] * x + up[1] * y) / rest;
}

/** Litres under the leaning surface, counted in thin columns over the plan at the rim: knows nothing of the correction. */
function countedLitres(
  description: VesselDescription,
  middleMm: number,
  over: (x: number, y: number) => number,
): number {
  const { shape, floorAtMm } = description;
  if (shape.kind !== 'tapered-pan' && shape.kind !== 'box' && shape.kind !== 'upright-cylinder') throw new Error('no');
  const pan = shape.kind === 'tapered-pan';
  const round = shape.kind === 'upright-cylinder';
  const floor = round
    ? ([shape.diameterMm, shape.diameterMm] as const)
    : pan
      ? ([shape.floorLengthMm, shape.floorWidthMm] as const)
      : ([shape.lengthMm, shape.widthMm] as const);
  const rim = pan ? ([shape.rimLengthMm, shape.rimWidthMm] as const) : floor;
  const reach = [Math.max(floor[0], rim[0]) / 2, Math.max(floor[1], rim[1]) / 2] as const;
  const n = 500;
  let mm3 = 0;
  for (let i = 0; i < n; i++) {
    const x = reach[0] * (((i + 0.5) * 2) / n - 1);
    const chord = round ? Math.sqrt(reach[0] * reach[0] - x * x) : reach[1];
    for (let j = 0; j < n; j++) {
      const y = chord * (((j + 0.5) * 2) / n - 1);
      // The column stands between the heights at which both pairs of walls leave room for it.
      let from = 0;
      let to = middleMm - floorAtMm + over(x, y);
      for (const [at, half, slope] of [
        [Math.abs(x), floor[0] / 2, (rim[0] - floor[0]) / (2 * shape.heightMm)],
        [Math.abs(y), floor[1] / 2, (rim[1] - floor[1]) / (2 * shape.heightMm)],
      ] as const) {
        if (slope > 0) from = Math.max(from, (at - half) / slope);
        else if (slope < 0) to = Math.min(to, (half - at) / -slope);
        else if (at > half) to = from;
      }
      if (to > from) mm3 += (to - from) * ((2 * reach[0]) / n) * ((2 * chord) / n);
    }
  }
  return mm3 * 1e-6;
}

/** What the sensor of a vessel that leans reads, with its surface `middleMm` high in the middle of the plan. */
function reading(description: VesselDescription, middleMm: number, over: (x: number, y: number) => number): number {
  const { sensor } = description;
  return sensor.kind === 'known' ? middleMm + over(sensor.alongMm, sensor.acrossMm) : middleMm;
}

describe.each([BOX, TAPERED, LEANING_WALLS, UPRIGHT])(
  'a leaning $name with its sensor at a known place',
  (description) => {
    const vessel: Vessel = vesselFrom({ ...description, wall: null });

    test('reads the level that the same volume has when it stands level', () => {
      for (const [along, across] of [
        [2, 0],
        [0, -2],
        [-3, 1.5],
        [5, 4],
      ] as const) {
        const over = plane(along, across);
        const middle = vessel.lowMm + 0.5 * (vessel.highMm - vessel.lowMm);
        const litres = countedLitres(description, middle, over);
        const found = levelled(reading(description, middle, over), vessel, {
          alongDeg: along,
          acrossDeg: across,
          uDeg: 0,
        });
        expect(found.corrected && found.inRange, `${along}° and ${across}°`).toBe(true);
        const truth = vessel.levelAt(litres, 20).value;
        expect(Math.abs(found.value - truth), `${along}° and ${across}°`).toBeLessThan(0.005);
        // What would be wrong without: several millimetres where the sensor sits away from the middle.
        if (description === BOX) expect(Math.abs(reading(description, middle, over) - truth)).toBeGreaterThan(1);
      }
    });

    test('does not move a reading taken level', () => {
      const middle = (vessel.lowMm + vessel.highMm) / 2;
      expect(levelled(middle, vessel, LEVEL)).toMatchObject({ value: middle, perReading: 1, u: 0, inRange: true });
    });

    test('has derivatives that agree with differences', () => {
      const middle = (vessel.lowMm + vessel.highMm) / 2;
      for (const [alongDeg, acrossDeg] of [
        [0, 0],
        [1.2, -0.7],
        [-6, 9],
      ] as const) {
        const tilt = { alongDeg, acrossDeg, uDeg: 0.1 };
        const here = levelled(middle, vessel, tilt);
        const along = slopeOf((deg) => levelled(middle, vessel, { ...tilt, alongDeg: deg }).value, alongDeg, 0.05);
        const across = slopeOf((deg) => levelled(middle, vessel, { ...tilt, acrossDeg: deg }).value, acrossDeg, 0.05);
        const byReading = slopeOf((mm) => levelled(mm, vessel, tilt).value, middle, 0.1);
        expect(Math.abs(here.perAlongDeg - along)).toBeLessThan(1e-8);
        expect(Math.abs(here.perAcrossDeg - across)).toBeLessThan(1e-8);
        expect(Math.abs(here.perReading - byReading)).toBeLessThan(1e-10);
        expect(here.u).toBeCloseTo(0.1 * Math.hypot(along, across), 7);
      }
    });

    test('is flagged when the surface meets the floor or the rim, or it leans more than 20°', () => {
      const tilt = { alongDeg: 5, acrossDeg: 0, uDeg: 0.1 };
      const { sensor } = description;
      const seen = (middle: number) =>
        levelled(middle + plane(5, 0)(sensor.kind === 'known' ? sensor.alongMm : 0, 0), vessel, tilt);
      expect(seen(vessel.lowMm + 2).inRange).toBe(false);
      expect(seen(vessel.highMm - 2).inRange).toBe(false);
      expect(seen((vessel.lowMm + vessel.highMm) / 2).inRange).toBe(true);
      const steep = levelled((vessel.lowMm + vessel.highMm) / 2, vessel, { ...tilt, alongDeg: 20.1 });
      expect(steep.inRange).toBe(false);
    });

    test(`gives finite numbers for any number (seed ${seed})`, () => {
      const any = fc.double({ noNaN: true, min: -1e9, max: 1e9 });
      fc.assert(
        fc.property(any, any, any, (mm, alongDeg, acrossDeg) => {
          const found = levelled(mm, vessel, { alongDeg, acrossDeg, uDeg: 0.2 });
          for (const number of [found.value, found.perReading, found.perAlongDeg, found.perAcrossDeg, found.u])
            expect(Number.isFinite(number)).toBe(true);
          if (Math.abs(alongDeg) > 20 || Math.abs(acrossDeg) > 20) expect(found.inRange).toBe(false);
        }),
        { seed },
      );
    });
  },
);

test('raising the end where the sensor sits lowers its reading; the correction puts it back', () => {
  const vessel = vesselFrom(BOX);
  const found = levelled(50, vessel, { alongDeg: 1, acrossDeg: 0, uDeg: 0 });
  expect(found.value).toBeCloseTo(50 + 90 * Math.tan(RAD), 9);
});

describe.each([LYING, STRAPPED, { ...BOX, name: 'box with its sensor who knows where', sensor: LYING.sensor }])(
  'a leaning $name',
  (description) => {
    const vessel = vesselFrom(description);
    const within = description.sensor.kind === 'unknown' ? description.sensor.withinMm : 0;

    test('keeps its reading and takes tilt times distance for an uncertainty', () => {
      const tilt = { alongDeg: 1.5, acrossDeg: 0, uDeg: 0 };
      const found = levelled(60, vessel, tilt);
      expect(found).toMatchObject({ value: 60, perReading: 1, corrected: false, inRange: true });
      expect(found.u).toBeCloseTo((within * Math.tan(1.5 * RAD)) / Math.sqrt(3), 9);
      expect(levelled(60, vessel, { ...tilt, alongDeg: 0, uDeg: 0.5 }).u).toBeCloseTo(within * 0.5 * RAD, 9);
      expect(levelled(60, vessel, LEVEL).u).toBe(0);
    });
  },
);

test('a vessel of unknown plan takes the distance of its known sensor from the middle', () => {
  const vessel = vesselFrom({ ...STRAPPED, sensor: { kind: 'known', alongMm: 30, acrossMm: 40 } });
  const found = levelled(60, vessel, { alongDeg: 0, acrossDeg: 2, uDeg: 0 });
  expect(found.corrected).toBe(false);
  expect(found.u).toBeCloseTo((50 * Math.tan(2 * RAD)) / Math.sqrt(3), 9);
});
