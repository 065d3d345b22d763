/** Sign and size of the two effects of heat on an ultrasonic gauge, from the physics of the house alone. */
import { describe, expect, test } from 'vitest';
import { fluidFrom } from '../../../src/core/fluids/fluid.ts';
import type { VesselDescription } from '../../../src/core/vessels/description.ts';
import { levelAtReference } from '../../../src/core/vessels/level-at-reference.ts';
import { vesselFrom } from '../../../src/core/vessels/vessel.ts';
import { OIL } from '../fluids/oils.ts';
import { slopeOf } from '../fluids/slope-of.ts';

const LEVEL_MM = 75;
const oil = fluidFrom(OIL);
const PAN: VesselDescription = {
  name: 'pan',
  shape: { kind: 'box', lengthMm: 300, widthMm: 200, heightMm: 140 },
  floorAtMm: 0,
  uVolumeShare: 0,
  wall: null,
  sensor: { kind: 'known', alongMm: 0, acrossMm: 0 },
  tilt: null,
};

const speed = (tC: number) => oil.speedOfSound(tC)?.value as number;

/** Millimetres that a board with one fixed speed shows over a surface `mm` high: it times the echo and knows no better. */
function shown(mm: number, tC: number, fixedMPerS: number): number {
  const echoUs = (2 * mm * 1000) / speed(tC);
  return (echoUs * fixedMPerS) / 2000;
}

/** Level to which the same mass rises when vessel and circuit warm together: the level whose reference is the old one. */
function risenTo(mm: number, fromC: number, tC: number, circuitLitres: number): number {
  const filling = {
    vessel: vesselFrom(PAN),
    fluid: oil,
    circuit: { states: [{ id: 'full', litres: circuitLitres, uLitres: 0 }], wall: null },
  };
  const states = { circuitState: 'full', referenceCircuitState: 'full' };
  return levelAtReference(filling, { levelMm: mm, vesselC: fromC, circuitC: fromC, referenceC: tC, ...states }).value;
}

describe('a gauge with a fixed speed of sound', () => {
  test('over a surface that does not move reads high when the oil is hot, about 0.2 mm per kelvin at 75 mm', () => {
    for (const tC of [25, 40, 60]) {
      const perK = slopeOf((t) => shown(LEVEL_MM, t, speed(tC)), tC, 0.1);
      expect(perK).toBeGreaterThan(0.15);
      expect(perK).toBeLessThan(0.25);
      // The same from the slope of the speed alone: level × 3.5/c.
      expect(perK).toBeCloseTo((LEVEL_MM * 3.5) / speed(tC), 6);
      // A quarter of a percent per kelvin.
      expect((perK / LEVEL_MM) * 100).toBeCloseTo(0.25, 1);
    }
    expect(shown(LEVEL_MM, 60, speed(25))).toBeGreaterThan(LEVEL_MM + 6);
    expect(shown(LEVEL_MM, 5, speed(25))).toBeLessThan(LEVEL_MM - 3);
  });

  test('reads true at the temperature whose speed it has', () => {
    expect(shown(LEVEL_MM, 25, speed(25))).toBeCloseTo(LEVEL_MM, 12);
  });
});

describe('true expansion', () => {
  test('raises the level by 0.05 to 0.11 mm per kelvin, with nothing outside the vessel or 4 litres beside 4.5', () => {
    expect(vesselFrom(PAN).litresAt(LEVEL_MM, 40).value).toBeCloseTo(4.5, 9);
    const alone = slopeOf((t) => risenTo(LEVEL_MM, 40, t, 0), 40, 1);
    const withCircuit = slopeOf((t) => risenTo(LEVEL_MM, 40, t, 4), 40, 1);
    expect(alone).toBeGreaterThan(0.05);
    expect(alone).toBeLessThan(0.06);
    expect(withCircuit).toBeGreaterThan(0.1);
    expect(withCircuit).toBeLessThan(0.11);
    expect(alone).toBeCloseTo(LEVEL_MM * oil.expansion(40).value, 6);
  });

  test('is smaller than the error of the fixed speed, and adds to it', () => {
    const both = slopeOf((t) => shown(risenTo(LEVEL_MM, 40, t, 3), t, speed(40)), 40, 0.5);
    const sound = slopeOf((t) => shown(LEVEL_MM, t, speed(40)), 40, 0.5);
    const rise = slopeOf((t) => risenTo(LEVEL_MM, 40, t, 3), 40, 0.5);
    expect(rise).toBeLessThan(sound);
    expect(both).toBeCloseTo(sound + rise, 6);
  });

  test('taken out by mass and sound by the speed at temperature, the cold level comes back', () => {
    const hotC = 78;
    const trueHot = risenTo(LEVEL_MM, 30, hotC, 3);
    const boardMm = shown(trueHot, hotC, 1430);
    expect(boardMm).toBeGreaterThan(LEVEL_MM + 10);
    const undone = (boardMm * speed(hotC)) / 1430;
    expect(risenTo(undone, hotC, 30, 3)).toBeCloseTo(LEVEL_MM, 9);
  });
});
