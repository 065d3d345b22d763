import { describe, expect, test } from 'vitest';
import { compensate, type Found } from '../../../src/core/compensation/compensate.ts';
import type { CompensationDescription } from '../../../src/core/compensation/description.ts';
import type { BenchDescription } from '../../../src/core/description.ts';
import { fluidOf } from '../../../src/core/fluids/fluid.ts';
import { vesselOf } from '../../../src/core/vessels/vessel.ts';
import { testBench } from '../../support/bench.ts';
import { OIL } from '../fluids/oils.ts';
import { slopeOf } from '../fluids/slope-of.ts';
import { BOX, TAPERED } from '../vessels/vessels.ts';

const CIRCUIT = {
  states: [
    { id: 'shut', litres: 1.4, uLitres: 0.1 },
    { id: 'open', litres: 2.2, uLitres: 0.1 },
  ],
  wall: null,
  temperatureChannel: null,
  uTemperatureK: 4,
  opens: null,
};

function bench(compensation: CompensationDescription, over: Partial<BenchDescription> = {}): BenchDescription {
  return {
    ...testBench,
    fluid: OIL,
    vessel: TAPERED,
    circuit: CIRCUIT,
    ...over,
    measure: { ...testBench.measure, compensation },
  };
}

const found: Found = {
  levelMm: 52,
  temperatureC: 63,
  referenceC: 50,
  circuitC: null,
  circuitState: 'shut',
  learned: null,
};

const CHART = {
  kind: 'chart',
  points: [
    { tC: 20, mm: 48 },
    { tC: 40, mm: 50.1 },
    { tC: 60, mm: 52.9 },
    { tC: 80, mm: 56 },
  ],
  uMmPerK: 0.02,
} as const;

const WAYS: readonly (readonly [string, CompensationDescription])[] = [
  ['vessel and fluid', { kind: 'vessel-and-fluid' }],
  ['chart', CHART],
  ['slope', { kind: 'slope', mmPerK: 0.11, uMmPerK: 0.02 }],
  ['learned slope', { kind: 'learned', until: { kind: 'slope', mmPerK: 0.11, uMmPerK: 0.02 } }],
];

describe.each(WAYS)('by %s', (_, by) => {
  const tilted = { ...TAPERED, tilt: { alongDeg: 0.8, acrossDeg: -0.3, uDeg: 0.2 } };

  test.each([
    ['standing level', bench(by)],
    ['leaning', bench(by, { vessel: tilted })],
  ])('%s: its derivatives are those of its values', (_name, on) => {
    const at = compensate(on, found);
    expect(at.inRange).toBe(true);
    const perLevel = slopeOf((levelMm) => compensate(on, { ...found, levelMm }).mm, found.levelMm, 0.05);
    const perK = slopeOf((temperatureC) => compensate(on, { ...found, temperatureC }).mm, found.temperatureC, 0.05);
    expect(at.perLevel).toBeCloseTo(perLevel, 6);
    expect(at.perK).toBeCloseTo(perK, 6);
    const own = { ...found, circuitC: 41 };
    const perCircuitK = slopeOf((circuitC) => compensate(on, { ...own, circuitC }).mm, 41, 0.05);
    expect(compensate(on, own).perCircuitK).toBeCloseTo(perCircuitK, 6);
  });

  test('at the reference itself nothing is corrected, and nothing of the correction is unsure', () => {
    const at = compensate(bench(by), { ...found, temperatureC: 50 });
    expect(at.mm).toBeCloseTo(52, 9);
    for (const { perUnit, u } of at.leans) expect(Math.abs(perUnit * u)).toBeLessThan(1e-9);
  });

  test('hot fluid stands higher: a lower reference takes millimetres off', () => {
    expect(compensate(bench(by), found).mm).toBeLessThan(52);
    expect(compensate(bench(by), { ...found, temperatureC: 40 }).mm).toBeGreaterThan(52);
  });
});

test('by vessel and fluid the mass in vessel and circuit stays the same', () => {
  const on = bench({ kind: 'vessel-and-fluid' });
  const { mm } = compensate(on, { ...found, circuitC: 45 });
  const [vessel, oil] = [vesselOf(TAPERED), fluidOf(OIL)];
  const mass = (levelMm: number, vesselC: number, circuitC: number) =>
    oil.density(vesselC).value * vessel.litresAt(levelMm, vesselC).value + oil.density(circuitC).value * 1.4;
  expect(mass(mm, 50, 50) / mass(52, 63, 45)).toBeCloseTo(1, 9);
});

test('what was learned takes the place of the slope stated, with its own uncertainty', () => {
  const by = { kind: 'learned', until: { kind: 'slope', mmPerK: 0.11, uMmPerK: 0.02 } } as const;
  const learned = { mmPerK: 0.2, uMmPerK: 0.005, fromC: 25, toC: 48, points: 80 };
  expect(compensate(bench(by), { ...found, learned }).mm).toBeCloseTo(52 - 13 * 0.2, 9);
  expect(compensate(bench(by), { ...found, learned }).leans[0]?.u).toBe(0.005);
  // A slope that is stated stays, whatever was learned.
  expect(compensate(bench(by.until), { ...found, learned }).mm).toBeCloseTo(52 - 13 * 0.11, 9);
});

test('a chart says nothing outside its temperatures, a vessel nothing outside its walls', () => {
  expect(compensate(bench(CHART), { ...found, temperatureC: 81 }).inRange).toBe(false);
  expect(compensate(bench({ kind: 'vessel-and-fluid' }), { ...found, levelMm: 900 }).inRange).toBe(false);
});

test('a known lean is taken off by the geometry of the vessel; an unknown place only makes the level less sure', () => {
  // The far end of the length raised by 1 degree: a sensor 90 mm towards it sees 90 mm · tan 1° less than the middle.
  const lean = { alongDeg: 1, acrossDeg: 0, uDeg: 0.1 };
  const box = { ...BOX, tilt: lean };
  const at = compensate(bench({ kind: 'slope', mmPerK: 0, uMmPerK: 0 }, { vessel: box }), found);
  expect(at.mm - 52).toBeCloseTo(90 * Math.tan(Math.PI / 180), 6);
  const dark = { ...BOX, tilt: lean, sensor: { kind: 'unknown', withinMm: 100 } as const };
  const unsure = compensate(bench({ kind: 'slope', mmPerK: 0, uMmPerK: 0 }, { vessel: dark }), found);
  expect(unsure.mm).toBe(52);
  const tilt = unsure.leans.find(({ shared }) => shared === 'tilt');
  expect((tilt?.u ?? 0) * (tilt?.perUnit ?? 0)).toBeGreaterThan(1);
});
