import { describe, expect, test } from 'vitest';
import type { BudgetLine, Reading } from '../../../src/core/events.ts';
import { line, normal, scatter } from '../../../src/core/uncertainty/line.ts';
import { CALM, handmade, over, TOLERANCE_MM } from './handmade.ts';
import { scoreForecasts, scoreReading } from './one-bench.ts';

describe('forecasts', () => {
  const load = { kind: 'load', atS: 80, endC: 90 } as const;
  const score = (tS: number, s: number, lowS: number, highS: number | null) =>
    scoreForecasts({ happenings: [load] }, { forecasts: [{ tS, s, lowS, highS }], openings: [50, 100] })[0];

  test('an interval counts from the moment it was given to the next opening', () => {
    expect(score(10, 30, 35, 41)).toMatchObject({ remainingS: 40, s: 30, covered: true });
    expect(score(10, 30, 41, 50)?.covered).toBe(false);
    expect(score(10, 30, 20, 39)?.covered).toBe(false);
    expect(score(10, 30, 20, null)?.covered).toBe(true);
  });
  test('what changes before the opening disturbs it', () => {
    expect(score(10, 30, 35, 41)?.disturbed).toBe(false);
    expect(score(60, 30, 35, 41)).toMatchObject({ remainingS: 40, disturbed: true });
    expect(score(85, 30, 35, 41)?.disturbed).toBe(false);
  });
  test('an opening that is near, or never comes, is not counted', () => {
    expect(score(46, 5, 4, 6)).toBeUndefined();
    expect(score(100, 5, 4, 6)).toBeUndefined();
  });
});

describe('readings', () => {
  const budgetLine = (component: string, type: 'A' | 'B', mm: number): BudgetLine =>
    line(component, type === 'A' ? scatter(mm, 'mm', null) : normal(mm, 'mm'));
  const reading = (levelMm: number, statedMm: number) =>
    ({
      levelMm,
      U95Mm: 0.3,
      budget: [
        budgetLine('repeatability', 'A', 9),
        budgetLine('drift over the window', 'B', 9),
        budgetLine('level instrument', 'B', statedMm),
      ],
    }) as unknown as Reading;

  test('the first counts, against the plateau at its moment', () => {
    const bench = handmade();
    over(bench.world.plateauMm, 40, 60, CALM.startMm + 3);
    const readings = [
      { tS: 50, reading: reading(CALM.startMm + 3.25, 0.1) },
      { tS: 70, reading: reading(0, 0.1) },
    ];
    const score = scoreReading(bench, { readings });
    expect(score?.errorMm).toBeCloseTo(0.25, 6);
    expect(score).toMatchObject({ U95Mm: 0.3, toleranceMm: TOLERANCE_MM });
    expect(scoreReading(bench, { readings: [] })).toBeNull();
  });
  test('a bench allows a sharp reading by what its owner states alone', () => {
    // 1.96 u ≤ 0.8 of a third of the tolerance: u ≤ 0.136 mm.
    const sharp = (u: number) =>
      scoreReading(handmade(), { readings: [{ tS: 5, reading: reading(0, u) }] })?.sharpEnough;
    expect(sharp(0.135)).toBe(true);
    expect(sharp(0.137)).toBe(false);
  });
});
