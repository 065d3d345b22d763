import { describe, expect, test } from 'vitest';
import { densityKgPerM3, soundMPerS } from '../../../simulators/fluid.ts';
import { volumeM3 } from '../../../simulators/pot.ts';
import { type BenchParameters, drawParameters, slopeMmPerK } from '../../../simulators/seeded-bench/parameters.ts';
import type { Happening } from '../../../simulators/seeded-bench/script.ts';
import { Waves } from '../../../simulators/seeded-bench/waves.ts';
import { between, followed, GRID_S, runWorld } from '../../../simulators/seeded-bench/world.ts';

const drawn = drawParameters(7);
const p: BenchParameters = { ...drawn, lastsS: 300, startC: 20, warmingS: 120, drainBackS: 10, circuitL: 3 };
const pour: Happening = { kind: 'pour', atS: 50, mm: 6, forS: 5, clingShare: 0.3, colderK: 0, kickMm: 2 };
const heat: Happening = { kind: 'load', atS: 0, endC: 80 };
const at = (array: Float64Array, tS: number) => array[Math.round(tS / GRID_S)] as number;

describe('mass', () => {
  const world = runWorld(p, [heat, pour, { kind: 'engine-off', atS: 150, share: 0.5, endC: 20 }]);

  test('vessel, circuit and walls together hold all there is, at every moment', () => {
    for (let i = 0; i < world.massKg.length; i++) {
      const parts = (world.vesselKg[i] as number) + (world.circuitKg[i] as number) + (world.clingingKg[i] as number);
      expect(Math.abs(parts - (world.massKg[i] as number))).toBeLessThan(1e-9);
    }
  });

  test('only the pour changes it, by the mass that makes the level so much higher at the reference temperature', () => {
    const rho = densityKgPerM3(p.fluid, p.declared.referenceC);
    const poured = rho * (volumeM3(p.pot, (p.startMm + 6) / 1000) - volumeM3(p.pot, p.startMm / 1000));
    expect(at(world.massKg, 49)).toBe(at(world.massKg, 0));
    expect(at(world.massKg, 60) - at(world.massKg, 49)).toBeCloseTo(poured, 9);
    expect(at(world.massKg, 299)).toBe(at(world.massKg, 60));
    expect(at(world.plateauMm, 140) - at(world.plateauMm, 40)).toBeCloseTo(6, 6);
  });

  test('the level is that of the mass in the vessel at its own density', () => {
    for (const tS of [10, 52, 100, 200]) {
      const volume = at(world.vesselKg, tS) / densityKgPerM3(p.fluid, at(world.temperatureC, tS));
      expect(volumeM3(p.pot, at(world.levelMm, tS) / 1000)).toBeCloseTo(volume, 12);
    }
  });

  test('what clings comes down exponentially, and the level to its plateau with it', () => {
    const from = 60;
    for (const after of [5, 10, 30]) {
      const share = Math.exp(-after / 10);
      expect(at(world.clingingKg, from + after) / at(world.clingingKg, from)).toBeCloseTo(share, 9);
      const left = at(world.plateauMm, from + after) - at(world.referenceMm, from + after);
      const before = at(world.plateauMm, from) - at(world.referenceMm, from);
      // The plan area changes a little over half a millimetre of a pot that widens.
      expect(left / before).toBeCloseTo(share, 2);
    }
  });

  test('the circuit gives its share back by way of the walls when the engine stops', () => {
    const gone = at(world.circuitKg, 149.9) - at(world.circuitKg, 150);
    expect(gone / at(world.circuitKg, 149.9)).toBeCloseTo(0.5, 2);
    expect(at(world.clingingKg, 150)).toBeCloseTo(gone, 3);
  });
});

test('fluid warms exponentially towards the end of its load', () => {
  const world = runWorld(p, [heat]);
  for (const tS of [10, 60, 250]) expect(at(world.temperatureC, tS)).toBeCloseTo(80 - 60 * Math.exp(-tS / 120), 6);
});

test('the level rises with temperature by the slope of vessel and circuit', () => {
  const c = p.declared.referenceC;
  const still: BenchParameters = { ...p, lastsS: 1 };
  const [low, high] = [c - 0.5, c + 0.5].map((startC) => {
    const world = runWorld({ ...still, startC }, []);
    return world.levelMm[0] as number;
  });
  expect((high as number) - (low as number)).toBeCloseTo(slopeMmPerK(p, c), 3);
  expect(slopeMmPerK(p, c)).toBeGreaterThan(slopeMmPerK({ ...p, circuitL: 0 }, c));
});

test('hot fluid carries sound more slowly', () => {
  expect(soundMPerS(p.fluid, 60) - soundMPerS(p.fluid, 50)).toBeCloseTo(-35, 9);
});

describe('first-order lag', () => {
  test('a step is followed as 1 − exp(−t/τ)', () => {
    let value = 0;
    for (let i = 0; i < 100; i++) value = followed(value, 1, 1, 4);
    expect(value).toBeCloseTo(1 - Math.exp((-100 * GRID_S) / 4), 9);
  });

  test('behind a ramp it stays slope × τ back', () => {
    let value = 0;
    for (let i = 0; i < 2000; i++) value = followed(value, i * GRID_S * 0.05, (i + 1) * GRID_S * 0.05, 6);
    expect(2000 * GRID_S * 0.05 - value).toBeCloseTo(0.05 * 6, 6);
  });

  test('the probe of a bench has its own', () => {
    const { temperatureC, probeC } = runWorld({ ...p, probe: { ...p.probe, lagS: 15 } }, [heat]);
    // Both exponentials in closed form: T_end − ΔT (τ e^(−t/τ) − λ e^(−t/λ))/(τ − λ).
    const tS = 40;
    const probe = 80 - (60 * (120 * Math.exp(-tS / 120) - 15 * Math.exp(-tS / 15))) / (120 - 15);
    expect(between(probeC, tS)).toBeCloseTo(probe, 4);
    expect(between(probeC, tS)).toBeLessThan(between(temperatureC, tS) - 3);
  });
});

describe('slosh', () => {
  const waves = new Waves(1.25, 3);
  waves.kick({ atS: 10, mm: 5 });

  test('swings at its frequency and decays to 1/e in its time', () => {
    expect(waves.heightMm(9.9)).toBe(0);
    expect(waves.heightMm(10.2)).toBeCloseTo(5 * Math.exp(-0.2 / 3), 9);
    expect(waves.heightMm(10.4)).toBeCloseTo(0, 9);
    expect(waves.amplitudeMm(13)).toBeCloseTo(5 / Math.E, 9);
  });

  test('two kicks add as waves do', () => {
    const opposed = new Waves(1, 1e9);
    opposed.kick({ atS: 0, mm: 2 });
    opposed.kick({ atS: 0.5, mm: 2 });
    expect(opposed.amplitudeMm(1)).toBeCloseTo(0, 6);
    expect(opposed.amplitudeMm(0.2)).toBeCloseTo(2, 6);
  });
});

test('air lifts the level and creeps out', () => {
  const world = runWorld(p, [{ kind: 'air', atS: 20, mm: 4, decayS: 30 }]);
  expect(at(world.airMm, 50)).toBeCloseTo(4 * Math.exp(-1), 4);
  expect(at(world.referenceMm, 50) - at(world.plateauMm, 50)).toBeCloseTo(4 * Math.exp(-1), 4);
});

test('before a pour is through, the plateau that it left counts until the level is a tolerance away', () => {
  const tolerance = p.declared.toleranceMm;
  const world = runWorld(p, [{ ...pour, mm: 5 * tolerance, forS: 10 }]);
  expect(at(world.leftMm, 50.1)).toBeCloseTo(p.startMm, 6);
  const away = (tS: number) => at(world.referenceMm, tS) - p.startMm;
  const until = world.leftMm.findLastIndex((left) => !Number.isNaN(left)) * GRID_S;
  expect(away(until)).toBeLessThanOrEqual(tolerance);
  expect(away(until + GRID_S)).toBeGreaterThan(tolerance);
  expect(at(world.plateauMm, 50.1)).toBeCloseTo(p.startMm + 5 * tolerance, 6);
});

test('a pour of less than a tolerance is through when it ends: only its own plateau counts then', () => {
  const world = runWorld(p, [{ ...pour, mm: 0.8 * p.declared.toleranceMm, forS: 10 }]);
  expect(at(world.leftMm, 59.9)).toBeCloseTo(p.startMm, 6);
  expect(at(world.leftMm, 60.1)).toBeNaN();
});
