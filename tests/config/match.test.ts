/** The keys under measure.match: what they become, and what does not go together. */
import { expect, test } from 'vitest';
import { loadBench } from '../../src/config/load.ts';
import { broken, type Change, type Row, tell } from './bench-text.ts';
import { REGISTRY } from './drivers.ts';

const withMatch = (keys: string): Change => ['  steady:\n', `  match: { ${keys} }\n  steady:\n`];

test.each([
  ['tolerance: 1 mm', { toleranceMm: 1, rule: { by: 'probability', probability: 0.95 }, refitMm: 0, refits: null }],
  ['tolerance: 0.1 cm, probability: 90 %', { toleranceMm: 1, rule: { by: 'probability', probability: 0.9 } }],
  ['tolerance: 1 mm, guard: 0.3 mm', { rule: { by: 'guard', guardMm: 0.3 }, target: null }],
  ['tolerance: 1 mm, refit: 0.2 mm, refits: 8, new-fluid: 0.1 mm', { refitMm: 0.2, refits: 8, newFluidMm: 0.1 }],
  ['tolerance: 1 mm, target: { level: 62 mm }', { target: { levelMm: 62, uMm: 0 } }],
  ['tolerance: 1 mm, target: { level: 62 mm, uncertainty: 0.3 mm }', { target: { levelMm: 62, uMm: 0.3 } }],
])('%s', (keys, expected) => {
  const loaded = loadBench(broken(withMatch(keys)), '/bay/bench.yaml', REGISTRY);
  expect(loaded.ok && loaded.bench.measure.match).toMatchObject(expected);
});

test('without it there is no match', () => {
  const loaded = loadBench(broken(), '/bay/bench.yaml', REGISTRY);
  expect(loaded.ok && loaded.bench.measure.match).toBeNull();
});

const ROWS: readonly Row[] = [
  [
    'both ways to decide',
    [withMatch('tolerance: 1 mm, probability: 95 %, guard: 0.3 mm')],
    ['31:48 a verdict goes by probability or by guard: one of them'],
  ],
  [
    'a guard that lets nothing be within',
    [withMatch('tolerance: 1 mm, guard: 1.5 mm')],
    ['31:36 the guard is wider than the tolerance: a length up to the tolerance: nothing could be within'],
  ],
  [
    'fittings of nothing',
    [withMatch('tolerance: 1 mm, refits: 4')],
    ['31:29 refits without refit: a refit above 0 mm beside it'],
  ],
  [
    'a target that the channel cannot see',
    [withMatch('tolerance: 1 mm, target: { level: 62 m }')],
    ['31:46 the target is outside the range of the level channel: a level from 0 mm to 20000 mm'],
  ],
  [
    'one fitting only',
    [withMatch('tolerance: 1 mm, refit: 1 mm, refits: 1')],
    ['31:50 1 does not fit here: a whole number from 2 to 1000 such as 6'],
  ],
];

test.each(ROWS)('%s is told with its place', (_name, changes, told) => {
  expect(tell(broken(...changes))).toEqual(told);
});
