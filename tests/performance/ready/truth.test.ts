import { describe, expect, test } from 'vitest';
import type { SeededBench } from '../../../simulators/seeded-bench/generate.ts';
import { CALM, handmade, over, TOLERANCE_MM, U_PROBE_K } from './handmade.ts';
import { judgeMoment, judgeTruth, trueLevelMm } from './truth.ts';

const AT_50 = 1000;
const plateau = CALM.startMm;

/** What 40 to 60 s are judged as, after `change`. */
function judged(change: (bench: SeededBench) => void) {
  const bench = handmade();
  change(bench);
  const { fit, unfit } = judgeMoment(bench, AT_50);
  return fit ? 'fit' : (unfit ?? 'between');
}

const level = (mm: number) => (bench: SeededBench) => over(bench.world.referenceMm, 40, 60, plateau + mm);
const warm = (c: number) => (bench: SeededBench) => over(bench.world.temperatureC, 40, 60, c);
const slosh = (mm: number) => (bench: SeededBench) => bench.world.waves.kick({ atS: 50, mm: mm * (1 + 1e-9) });

describe('a moment', () => {
  test.each([
    ['calm and warm', () => {}, 'fit'],
    ['half a tolerance off', level(0.499 * TOLERANCE_MM), 'fit'],
    ['more than half a tolerance off', level(0.501 * TOLERANCE_MM), 'between'],
    ['a tolerance off', level(-0.999 * TOLERANCE_MM), 'between'],
    ['more than a tolerance off', level(-1.001 * TOLERANCE_MM), 'level'],
    ['at the edge of the window', warm(65), 'fit'],
    ['just outside the window', warm(65 + 2 * U_PROBE_K - 0.01), 'between'],
    ['just below the window', warm(55 - 2 * U_PROBE_K + 0.01), 'between'],
    ['above by more than twice the uncertainty of the probe', warm(65 + 2 * U_PROBE_K + 0.01), 'temperature'],
    ['outside by more than twice the uncertainty of the probe', warm(55 - 2 * U_PROBE_K - 0.01), 'temperature'],
    ['slosh within the tolerance', slosh(0.99), 'fit'],
    ['slosh above the tolerance', slosh(1.01), 'between'],
    ['slosh above twice the tolerance', slosh(2.01), 'slosh'],
    ['a pour under way', (b: SeededBench) => over(b.world.pouring, 40, 60, 1), 'between'],
    ['no surface seen', (b: SeededBench) => over(b.gauge.blind, 40, 60, 1), 'blind'],
    ['a stuck gauge that happens to be right', (b: SeededBench) => over(b.gauge.stuck, 40, 60, 1), 'between'],
    [
      'a stuck gauge that is off',
      (b: SeededBench) => {
        over(b.gauge.stuck, 40, 60, 1);
        over(b.gauge.shownErrorMm, 40, 60, 1.1);
      },
      'stuck',
    ],
    ['a saturated gauge', (b: SeededBench) => over(b.gauge.shownErrorMm, 40, 60, -1.1), 'saturated'],
    [
      'air that lifts the level',
      (b: SeededBench) => {
        level(1.1)(b);
        over(b.world.airMm, 40, 60, 1.1);
      },
      'air',
    ],
    [
      'off the plateau to come, but still on the one before',
      (b: SeededBench) => {
        over(b.world.plateauMm, 40, 60, plateau + 5);
        over(b.world.leftMm, 40, 60, plateau);
      },
      'between',
    ],
  ])('%s', (_case, change, expected) => {
    expect(judged(change as (bench: SeededBench) => void)).toBe(expected);
  });
});

test('a reading is held against the plateau, the one before while the level is still there, and the gauge’s shift', () => {
  const bench = handmade();
  over(bench.world.plateauMm, 40, 100, plateau + 5);
  over(bench.world.leftMm, 40, 60, plateau);
  expect(trueLevelMm(bench, AT_50)).toBeCloseTo(plateau, 9);
  over(bench.world.referenceMm, 40, 60, plateau + 4);
  expect(trueLevelMm(bench, AT_50)).toBeCloseTo(plateau + 5, 9);
  over(bench.gauge.shiftMm, 40, 60, 2);
  expect(trueLevelMm(bench, AT_50)).toBeCloseTo(plateau + 7, 9);
});

test('moments make spells and unfit times; causes that touch are one unfit time', () => {
  const bench = handmade();
  over(bench.world.referenceMm, 20, 30, plateau + 2);
  over(bench.gauge.blind, 30, 35, 1);
  over(bench.world.referenceMm, 35, 40, plateau + 0.7);
  const truth = judgeTruth(bench);
  const round = (span: readonly [number, number]) => span.map((s) => Math.round(s * 100) / 100);
  expect(truth.fit.map(round)).toEqual([
    [0, 20],
    [40, 100],
  ]);
  expect(truth.unfit.map(({ span }) => round(span))).toEqual([[20, 35]]);
  expect(truth.unfit[0]?.parts.map(({ cause, span }) => [cause, ...round(span)])).toEqual([
    ['level', 20, 30],
    ['blind', 30, 35],
  ]);
});
