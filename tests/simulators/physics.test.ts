import { describe, expect, test } from 'vitest';
import { densityKgPerM3, expansionPerK, GEAR_OIL, soundMPerS } from '../../simulators/fluid.ts';
import { levelM, radiusM, sloshHz, volumeM3 } from '../../simulators/pot.ts';
import { Slosh } from '../../simulators/slosh.ts';

describe('the fluid', () => {
  test('expands as the volume correction for lubricating oils says, by hand', () => {
    // α = 0.627804 / 870 = 7.21614e-4; x = 35 α = 0.0252565; exp(−x (1 + 0.8 x)) = 0.974562
    expect(expansionPerK(GEAR_OIL)).toBeCloseTo(7.21614e-4, 9);
    expect(densityKgPerM3(GEAR_OIL, 15)).toBe(870);
    expect(densityKgPerM3(GEAR_OIL, 50)).toBeCloseTo(870 * 0.974562, 2);
    expect(densityKgPerM3(GEAR_OIL, 5)).toBeGreaterThan(870);
  });

  test('carries sound about a quarter of a percent slower for each kelvin', () => {
    expect(soundMPerS(GEAR_OIL, 20)).toBe(1440);
    expect(soundMPerS(GEAR_OIL, 50)).toBe(1335);
    const perK = (soundMPerS(GEAR_OIL, 51) - soundMPerS(GEAR_OIL, 50)) / soundMPerS(GEAR_OIL, 50);
    expect(perK).toBeCloseTo(-0.0026, 4);
  });
});

describe('the pot', () => {
  const tapered = { footRadiusM: 0.1, taper: 0.2 };
  const straight = { footRadiusM: 0.11, taper: 0 };

  test('holds the volume of a frustum, by hand', () => {
    // radii 0.10 and 0.12 m, height 0.1 m: π 0.1 (0.01 + 0.012 + 0.0144) / 3
    expect(radiusM(tapered, 0.1)).toBeCloseTo(0.12, 12);
    expect(volumeM3(tapered, 0.1)).toBeCloseTo(0.0038118, 8);
  });

  test.each([tapered, straight])('gives the level back from the volume (taper $taper)', (pot) => {
    for (const level of [0, 0.01, 0.058, 0.3]) expect(levelM(pot, volumeM3(pot, level))).toBeCloseTo(level, 12);
  });

  test('sloshes at the frequency of the lowest sideways mode, by hand', () => {
    // k = 1.8412 / 0.11 = 16.738; tanh(1.00429) = 0.76328; ω² = 9.80665 · 16.738 · 0.76328; f = 1.7815 Hz
    expect(sloshHz(straight, 0.06)).toBeCloseTo(1.7815, 3);
  });
});

describe('sloshing', () => {
  test('after a knock is a damped sine of the size that the knock gives', () => {
    const slosh = new Slosh(4);
    slosh.kick(50);
    const t = 0.37;
    slosh.advance(t, 1.5);
    const omega = 2 * Math.PI * 1.5;
    expect(slosh.heightMm).toBeCloseTo((50 / omega) * Math.exp(-t / 4) * Math.sin(omega * t), 10);
  });

  test('falls to 1/e in its decay time, and its speed is the change of its height', () => {
    const slosh = new Slosh(3);
    slosh.kick(20);
    slosh.advance(0.25, 1); // a quarter of a period: the crest
    const crest = slosh.heightMm;
    slosh.advance(3, 1);
    expect(slosh.heightMm / crest).toBeCloseTo(Math.exp(-1), 10);
    slosh.advance(0.1, 1);
    const before = slosh.heightMm;
    const speed = slosh.speedMmPerS;
    slosh.advance(1e-6, 1);
    expect((slosh.heightMm - before) / 1e-6).toBeCloseTo(speed, 3);
  });

  test('does not depend on the size of the steps', () => {
    const [one, many] = [new Slosh(4), new Slosh(4)];
    one.kick(30);
    many.kick(30);
    one.advance(2, 1.7);
    for (let i = 0; i < 200; i += 1) many.advance(0.01, 1.7);
    expect(many.heightMm).toBeCloseTo(one.heightMm, 9);
    expect(many.speedMmPerS).toBeCloseTo(one.speedMmPerS, 8);
  });

  test('in an empty pot comes to rest', () => {
    const slosh = new Slosh(1);
    slosh.kick(10);
    slosh.advance(1, 0);
    expect(slosh.speedMmPerS).toBeCloseTo(10 / Math.E, 10);
    expect(slosh.heightMm).toBe(0);
  });
});
