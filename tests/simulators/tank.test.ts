import { expect, test } from 'vitest';
import { expansionPerK, GEAR_OIL } from '../../simulators/fluid.ts';
import { radiusM, volumeM3 } from '../../simulators/pot.ts';
import { Random } from '../../simulators/random.ts';
import { Tank, type TankOptions } from '../../simulators/tank.ts';

const POT = { footRadiusM: 0.1, taper: 0.1 };

function tank(changes: Partial<TankOptions> = {}): Tank {
  return new Tank({
    fluid: GEAR_OIL,
    pot: POT,
    massKg: 2,
    startC: 20,
    ambientC: 15,
    lossWPerK: 5,
    metalJPerK: 300,
    clingShare: 0.2,
    drainBackS: 6,
    sloshDecayS: 4,
    kickMmPerSPerRootKg: 200,
    probeLagS: 3,
    random: Random.of(5, 'tank'),
    ...changes,
  });
}

/** 2 kg of oil and the metal. */
const CAPACITY_J_PER_K = 2 * 1950 + 300;

test('heating follows the analytic first-order curve', () => {
  const heated = tank();
  heated.heaterW = 600;
  // final 15 + 600/5 = 135 °C, time constant 4200/5 = 840 s
  for (const seconds of [1, 29, 170, 640]) heated.advance(seconds);
  expect(heated.temperatureC).toBeCloseTo(135 - 115 * Math.exp(-840 / (CAPACITY_J_PER_K / 5)), 6);
});

test('without a heater it cools towards the room and never below', () => {
  const cooling = tank({ startC: 60 });
  cooling.advance(840);
  expect(cooling.temperatureC).toBeCloseTo(15 + 45 / Math.E, 6);
  cooling.advance(20_000);
  expect(cooling.temperatureC).toBeCloseTo(15, 6);
});

test('the probe answers a sudden change to 1 − 1/e in its lag, and trails a ramp by rate × lag', () => {
  const still = { lossWPerK: 1e-9, clingShare: 0, ambientC: 20 };
  const stepped = tank(still);
  stepped.add(2, 60);
  const jump = stepped.temperatureC - 20;
  stepped.advance(3);
  expect((stepped.probeC - 20) / jump).toBeCloseTo(1 - 1 / Math.E, 6);

  const ramped = tank(still);
  ramped.heaterW = 840; // 0.2 K/s
  ramped.advance(60);
  expect(ramped.temperatureC - ramped.probeC).toBeCloseTo(0.2 * 3, 4);
});

test('mass is conserved while fluid is added, clings, comes down and is drained', () => {
  const poured = tank();
  let expected = 2;
  for (const kg of [0.05, 0.001, 0.3]) {
    poured.add(kg, 20);
    expected += kg;
    poured.advance(1.234);
    expect(poured.massKg).toBeCloseTo(expected, 12);
  }
  expected -= poured.drain(0.5);
  poured.advance(300);
  expect(poured.massKg).toBeCloseTo(expected, 12);
  expect(poured.clingingKg).toBeCloseTo(0, 12);
  const left = poured.massKg;
  expect(poured.drain(99)).toBeCloseTo(left, 12);
  poured.advance(1);
  expect(poured.massKg).toBeCloseTo(0, 12);
  expect(poured.levelMm).toBeCloseTo(0, 9);
});

test('clinging fluid comes down with its time constant and lifts the level as it does', () => {
  const poured = tank({ lossWPerK: 1e-9 });
  poured.add(0.1, 20);
  expect(poured.clingingKg).toBeCloseTo(0.02, 12);
  const early = poured.levelMm;
  poured.advance(6);
  expect(poured.clingingKg).toBeCloseTo(0.02 / Math.E, 9);
  expect(poured.levelMm).toBeGreaterThan(early);
  expect(poured.levelMm).toBeLessThan(poured.settledLevelAtMm(poured.temperatureC));
});

test('mixing conserves heat: cold fluid into warm oil and metal, by hand', () => {
  const mixed = tank({ startC: 50, clingShare: 0 });
  mixed.add(0.5, 10);
  // (4200 · 50 + 975 · 10) / 5175
  expect(mixed.temperatureC).toBeCloseTo(219_750 / 5175, 9);
});

test('the level is that of mass, density and pot, and rises by α V / A for each kelvin', () => {
  const warm = tank();
  const at40 = warm.levelAtMm(40);
  const volume = volumeM3(POT, at40 / 1000);
  // 870 exp(−x (1 + 0.8 x)), x = 7.21614e-4 · 25
  expect(2 / volume).toBeCloseTo(854.22, 1);
  const area = Math.PI * radiusM(POT, at40 / 1000) ** 2;
  const perK = warm.levelAtMm(40.5) - warm.levelAtMm(39.5);
  // the correction's second-order term adds 1.6 α Δt
  const alpha = expansionPerK(GEAR_OIL) * (1 + 1.6 * expansionPerK(GEAR_OIL) * 25);
  expect(perK).toBeCloseTo((1000 * alpha * volume) / area, 5);
});

test('warming alone changes the true level and not the level at the reference temperature', () => {
  const heated = tank();
  const [level, atReference] = [heated.levelMm, heated.levelAtMm(50)];
  heated.heaterW = 900;
  heated.advance(100);
  expect(heated.levelMm).toBeGreaterThan(level + 0.5);
  expect(heated.levelAtMm(50)).toBe(atReference);
});

test('adding fluid makes the surface slosh, and it calms within seconds', () => {
  const poured = tank();
  expect(poured.surfaceMm).toBe(poured.levelMm);
  for (let i = 0; i < 20; i += 1) {
    poured.add(0.0025, 20);
    poured.advance(0.1);
  }
  const swing = (seconds: number) => {
    let largest = 0;
    for (let t = 0; t < seconds; t += 0.02) {
      poured.advance(0.02);
      largest = Math.max(largest, Math.abs(poured.surfaceMm - poured.levelMm));
    }
    return largest;
  };
  const fresh = swing(1);
  expect(fresh).toBeGreaterThan(1);
  poured.advance(20);
  expect(swing(1)).toBeLessThan(fresh * Math.exp(-20 / 4) * 1.01);
});

test('the echo takes twice the height at the speed of sound of warm oil', () => {
  const warm = tank({ startC: 50 });
  expect(warm.echoS).toBeCloseTo((2 * warm.levelMm) / 1000 / 1335, 12);
});
