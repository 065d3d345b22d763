import { expect, test } from 'vitest';
import { gaugeTruth, sendRows } from '../../../simulators/seeded-bench/gauge.ts';
import { generateBench } from '../../../simulators/seeded-bench/generate.ts';
import { type BenchParameters, drawParameters } from '../../../simulators/seeded-bench/parameters.ts';
import { drawHappenings, drawHeat, type Happening } from '../../../simulators/seeded-bench/script.ts';
import { runWorld } from '../../../simulators/seeded-bench/world.ts';

const drawn = drawParameters(3);
/** A float without any fault, ten times a second. */
const clean: BenchParameters = {
  ...drawn,
  lastsS: 100,
  gauge: {
    ...drawn.gauge,
    kind: 'float',
    intervalS: 0.1,
    jitter: 0.01,
    whiteMm: 0.2,
    correlatedMm: 0,
    vibrationMm: 0,
    resolutionMm: 0.01,
    wildShare: 0,
    dropOutShare: 0,
    mostMm: drawn.startMm + 80,
    tellsStrength: true,
  },
};

function send(p: BenchParameters, happenings: readonly Happening[] = []) {
  const world = runWorld(p, happenings);
  return sendRows(world, gaugeTruth(world));
}
const levels = (rows: ReturnType<typeof send>, fromS: number, toS: number) =>
  rows.filter(({ tS, level }) => level !== null && tS >= fromS && tS < toS).map(({ level }) => level as number);
const spread = (values: readonly number[]) => Math.max(...values) - Math.min(...values);

test('the same seed gives the same bench, another one another', () => {
  const [a, b, c] = [generateBench(5), generateBench(5), generateBench(6)];
  expect(b.rows).toEqual(a.rows);
  expect(b.happenings).toEqual(a.happenings);
  expect(c.rows).not.toEqual(a.rows);
});

test('rows come in order, at the stated rate, each with temperature or level', () => {
  const rows = send(clean);
  expect(rows.every(({ tS }, i) => i === 0 || tS >= (rows[i - 1]?.tS ?? 0))).toBe(true);
  expect(levels(rows, 0, 100).length).toBeCloseTo(1000, -1);
  expect(rows.every(({ temperature, level }) => (temperature === null) !== (level === null))).toBe(true);
});

test('white noise has the stated size', () => {
  const values = levels(send(clean), 0, 100);
  const mean = values.reduce((sum, x) => sum + x, 0) / values.length;
  const deviation = Math.sqrt(values.reduce((sum, x) => sum + (x - mean) * (x - mean), 0) / (values.length - 1));
  // Five standard errors of a standard deviation.
  expect(Math.abs(deviation / 0.2 - 1)).toBeLessThan(5 / Math.sqrt(2 * values.length));
});

test('a stuck gauge repeats itself; before and after it does not', () => {
  const rows = send(clean, [{ kind: 'stuck', atS: 30, forS: 20 }]);
  expect(spread(levels(rows, 31, 50))).toBe(0);
  expect(spread(levels(rows, 10, 29))).toBeGreaterThan(0.5);
  expect(spread(levels(rows, 51, 70))).toBeGreaterThan(0.5);
});

test('a saturated gauge stays at the end of its reach', () => {
  const mostMm = clean.startMm + 3;
  const p = { ...clean, gauge: { ...clean.gauge, mostMm } };
  const rows = send(p, [{ kind: 'step', atS: 50, mm: 8 }]);
  expect(Math.max(...levels(rows, 0, 100))).toBeCloseTo(mostMm, 1);
  expect(spread(levels(rows, 51, 100))).toBe(0);
});

test('a gap is silent, a lost couplant wild and weak, a moved gauge shifted for good', () => {
  const rows = send(clean, [
    { kind: 'gap', atS: 20, forS: 5 },
    { kind: 'couplant-lost', atS: 40, forS: 10 },
    { kind: 'moved', atS: 60, mm: 4, forS: 1 },
  ]);
  expect(rows.filter(({ tS }) => tS >= 20 && tS < 25)).toEqual([]);
  const lost = rows.filter(({ tS, level }) => level !== null && tS >= 40 && tS < 50);
  expect(lost.every(({ strength, sound }) => (strength as number) < 40 && !sound)).toBe(true);
  expect(lost.length).toBeLessThan(60);
  expect(spread(levels(rows, 40, 50))).toBeGreaterThan(20);
  const mean = (values: readonly number[]) => values.reduce((sum, x) => sum + x, 0) / values.length;
  expect(mean(levels(rows, 62, 100)) - mean(levels(rows, 5, 20))).toBeCloseTo(4, 0);
});

test('drop-outs and wild values come as often as stated, and the truth knows which', () => {
  const p = { ...clean, lastsS: 1000, gauge: { ...clean.gauge, dropOutShare: 0.05, wildShare: 0.04 } };
  const rows = send(p).filter(({ level }) => level !== null);
  expect(rows.length / 10_000).toBeCloseTo(0.95, 1);
  const wild = rows.filter(({ sound }) => !sound).length / rows.length;
  expect(Math.abs(wild - 0.04)).toBeLessThan(5 * Math.sqrt((0.04 * 0.96) / rows.length));
});

test('with air in the fluid the echo weakens and drops out more often', () => {
  const rows = send(clean, [{ kind: 'air', atS: 30, mm: 10 * clean.declared.toleranceMm, decayS: 100 }]);
  const strength = (fromS: number, toS: number) => {
    const heard = rows.filter(({ tS, level }) => level !== null && tS >= fromS && tS < toS);
    return { mean: heard.reduce((sum, row) => sum + (row.strength as number), 0) / heard.length, count: heard.length };
  };
  expect(strength(10, 25).mean).toBeGreaterThan(75);
  expect(strength(40, 55).mean).toBeLessThan(40);
  expect(strength(40, 55).count).toBeLessThan(0.85 * strength(10, 25).count);
});

test('over many seeds every kind of happening, gauge and rate occurs', () => {
  const benches = Array.from({ length: 120 }, (_, i) => drawParameters(i + 1));
  const kinds = new Set(benches.flatMap((p) => [...drawHeat(p), ...drawHappenings(p, [])].map(({ kind }) => kind)));
  expect([...kinds].sort()).toEqual(
    ['air', 'couplant-lost', 'engine-off', 'gap', 'knock', 'load', 'moved', 'pour', 'ramp', 'step', 'stuck'].sort(),
  );
  expect(new Set(benches.map((p) => p.gauge.kind)).size).toBe(3);
  const hz = benches.map((p) => 1 / p.gauge.intervalS);
  expect(Math.min(...hz)).toBeLessThan(0.6);
  expect(Math.max(...hz)).toBeGreaterThan(50);
  expect(Math.max(...benches.map((p) => p.gauge.resolutionMm))).toBe(0.5);
});
