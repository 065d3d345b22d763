import { describe, expect, test } from 'vitest';
import { boardMillimetres } from '../../../src/core/laws/board-millimetres.ts';
import { echoFromAbove, echoFromBelow } from '../../../src/core/laws/echo.ts';
import { speedInDryAir, speedInHumidAir } from '../../../src/core/laws/sound-in-air.ts';
import { DRY_RULE, HUMID_AIR, IDEAL_GAS, PUBLISHED_DRY_AIR } from '../../reference/sound-in-air.ts';

const validMm = { low: 10, high: 200 };

describe('speed of sound in air', () => {
  test.each(HUMID_AIR)('is $mPerS m/s at $airC °C, humidity $relativeHumidity, $pa Pa', (row) => {
    const { mPerS } = speedInHumidAir(row.airC, row.relativeHumidity, row.pa / 1000, row.carbonDioxide);
    expect(Math.abs(mPerS - row.mPerS)).toBeLessThan(0.0001);
  });

  test('is the published one in dry air at 0 °C', () => {
    const { airC, pa, carbonDioxide, mPerS } = PUBLISHED_DRY_AIR;
    expect(Math.abs(speedInHumidAir(airC, 0, pa / 1000, carbonDioxide).mPerS - mPerS)).toBeLessThan(0.006);
  });

  test.each(IDEAL_GAS)('lies near that of an ideal gas at $airC °C', ({ airC, mPerS, withinMPerS }) => {
    expect(Math.abs(speedInHumidAir(airC, 0, 101.325, 0.000314).mPerS - mPerS)).toBeLessThan(withinMPerS);
  });

  test('counts carbon dioxide with the right sign: heavier gas, slower sound', () => {
    const at = (share: number) => speedInHumidAir(20, 0, 101.325, share).mPerS;
    expect(at(0.01) - at(0)).toBeCloseTo((-85.20931 - 0.228525 * 20 + 5.91e-5 * 400) * 0.01 + 29.179762e-4, 9);
  });

  test.each(DRY_RULE)('by the dry rule is $mPerS m/s at $airC °C', ({ airC, mPerS }) => {
    expect(Math.abs(speedInDryAir(airC).mPerS - mPerS)).toBeLessThanOrEqual(0.000501);
  });
});

describe('an echo through the fluid, from below', () => {
  const law = echoFromBelow({ kind: 'echo-from-below', faceMm: 5, deadTimeUs: 4, validMm });

  test('is half the way there and back, less the dead time', () => {
    const { value, derivative, partials, flag } = law.at(104, { soundMPerS: 1400 });
    expect(value).toBeCloseTo(75, 12);
    expect(derivative).toBeCloseTo(0.7, 12);
    expect(partials.soundMPerS).toBeCloseTo(0.05, 12);
    expect(flag).toBeNull();
  });

  test('sees nothing inside its blind zone or above the brim', () => {
    const at = (mm: number) => law.at(4 + (2 * (mm - 5)) / 1.4, { soundMPerS: 1400 });
    expect(at(9.9)).toMatchObject({ flag: 'out-of-range', derivative: 0, partials: { soundMPerS: 0 } });
    expect(at(9.9).value).toBeCloseTo(10, 12);
    expect(at(10.1).flag).toBeNull();
    expect(at(200.1).value).toBeCloseTo(200, 12);
    expect(at(200.1).flag).toBe('out-of-range');
  });

  test('refuses a speed that no such fluid has, and says when there is none', () => {
    expect(law.at(104, { soundMPerS: 343 }).flag).toBe('context-out-of-range');
    expect(law.at(104, {}).flag).toBe('context-missing');
  });
});

describe('an echo through the air, from above', () => {
  const description = { kind: 'echo-from-above', mountMm: 400, deadTimeUs: 10, validMm } as const;
  const humid = echoFromAbove({ ...description, air: { kind: 'humid', carbonDioxide: 0.0004 } });
  const dry = echoFromAbove({ ...description, air: { kind: 'dry-rule' } });

  test('is the mount less half the way', () => {
    const us = 10 + (2 * 300) / 0.3432;
    expect(dry.at(us, { airC: 20 }).value).toBeCloseTo(100, 9);
    expect(dry.at(us, { airC: 20 }).derivative).toBeCloseTo(-0.1716, 9);
  });

  test('reads lower in warmer air at the same time of flight, by about 0.17 % of the way per kelvin', () => {
    const us = 10 + (2 * 300) / 0.3432;
    const { partials } = dry.at(us, { airC: 20 });
    expect(partials.airC).toBeCloseTo(-300 / (2 * 293.15), 9);
  });

  test('knows what humidity does', () => {
    const us = 1760;
    const at = (relativeHumidity: number) => humid.at(us, { airC: 25, relativeHumidity, airPressureKPa: 101.3 }).value;
    expect(at(0) - at(1)).toBeGreaterThan(1);
    expect(at(0) - at(1)).toBeLessThan(2);
  });

  test('flags air that the equation was not made for', () => {
    const air = { airC: 20, relativeHumidity: 0.4, airPressureKPa: 100 };
    expect(humid.at(1760, air).flag).toBeNull();
    expect(humid.at(1760, { ...air, airC: 31 }).flag).toBe('context-out-of-range');
    expect(humid.at(1760, { ...air, airPressureKPa: 70 }).flag).toBe('context-out-of-range');
    expect(dry.at(1760, { airC: 45 }).flag).toBeNull();
    expect(dry.at(1760, { airC: 51 }).flag).toBe('context-out-of-range');
  });

  test('must hang above its highest level, in air that is air', () => {
    expect(() => echoFromAbove({ ...description, mountMm: 150, air: { kind: 'dry-rule' } })).toThrow(
      'the mount above it',
    );
    expect(() => echoFromAbove({ ...description, air: { kind: 'humid', carbonDioxide: 0.2 } })).toThrow(
      'carbon dioxide',
    );
  });
});

describe('millimetres that a board computed', () => {
  const echo = { kind: 'echo-from-below', faceMm: 0, deadTimeUs: 0, validMm } as const;
  const law = boardMillimetres({ kind: 'board-millimetres', assumedMPerS: 1480, offsetMm: 0, echo });

  test('are undone and redone with the true speed', () => {
    expect(law.at(80, { soundMPerS: 1480 }).value).toBeCloseTo(80, 12);
    expect(law.at(80, { soundMPerS: 1406 }).value).toBeCloseTo(76, 12);
  });

  test('account for what the board adds and for the dead time that it forgot', () => {
    const forgetful = boardMillimetres({
      kind: 'board-millimetres',
      assumedMPerS: 1500,
      offsetMm: -2,
      echo: { ...echo, faceMm: 6, deadTimeUs: 8 },
    });
    // 60 mm above the face at 1400 m/s: 85.714 µs, and 8 µs more at the receiver.
    const us = 120 / 1.4 + 8;
    expect(forgetful.at(-2 + 0.75 * us, { soundMPerS: 1400 }).value).toBeCloseTo(66, 10);
  });

  test('may be a distance, seen from above', () => {
    const above = boardMillimetres({
      kind: 'board-millimetres',
      assumedMPerS: 340,
      offsetMm: 0,
      echo: { kind: 'echo-from-above', mountMm: 400, deadTimeUs: 0, validMm, air: { kind: 'dry-rule' } },
    });
    expect(above.at((300 * 340) / 343.2, { airC: 20 }).value).toBeCloseTo(100, 9);
    expect(above.at(300, { airC: 20 }).derivative).toBeCloseTo(-343.2 / 340, 12);
  });

  test('are refused at a speed that no board assumes', () => {
    expect(() => boardMillimetres({ kind: 'board-millimetres', assumedMPerS: 0, offsetMm: 0, echo })).toThrow(
      "the board's speed of sound",
    );
  });
});

describe('sign and size of the error that heat makes', () => {
  const echo = { kind: 'echo-from-below', faceMm: 0, deadTimeUs: 0, validMm } as const;
  const trueMm = 75;
  const soundMPerS = (fluidC: number) => 1400 - 3.5 * (fluidC - 40);
  const us = (fluidC: number) => (2 * trueMm) / (1e-3 * soundMPerS(fluidC));

  test('a gauge with a fixed speed reads high when the oil is hot, by about 0.2 mm per kelvin at 75 mm', () => {
    const fixed = echoFromBelow(echo);
    const shown = (fluidC: number) => fixed.at(us(fluidC), { soundMPerS: soundMPerS(40) }).value;
    expect(shown(40)).toBeCloseTo(trueMm, 9);
    const perK = shown(41) - shown(40);
    expect(perK).toBeGreaterThan(0.18);
    expect(perK).toBeLessThan(0.2);
    expect((shown(80) - shown(40)) / 40).toBeGreaterThan(0.2);
  });

  test('the true speed takes it away altogether, whichever way the time comes in', () => {
    const direct = echoFromBelow(echo);
    const board = boardMillimetres({ kind: 'board-millimetres', assumedMPerS: 1480, offsetMm: 0, echo });
    for (const fluidC of [20, 40, 80]) {
      const context = { soundMPerS: soundMPerS(fluidC) };
      expect(direct.at(us(fluidC), context).value).toBeCloseTo(trueMm, 9);
      expect(board.at((1480e-3 * us(fluidC)) / 2, context).value).toBeCloseTo(trueMm, 9);
    }
  });
});
