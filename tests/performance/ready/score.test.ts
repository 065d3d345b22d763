import { describe, expect, test } from 'vitest';
import type { BenchScore } from './one-bench.ts';
import { scoreDetector, spellsOf } from './score.ts';
import { both, firstWithin, lengthOf, type Span, SpanBuilder } from './spans.ts';
import { asGood, atEqualFalse, type Figures, figuresOf, forecastFigures, quantile, readingFigures } from './summary.ts';
import type { Truth } from './truth.ts';

/** Fit from 10 to 50 and from 70 to 95 s; unfit from 50 to 60, 8 s of it the level and 2 s slosh. */
const truth: Truth = {
  fit: [
    [10, 50],
    [70, 95],
  ],
  unfit: [
    {
      span: [50, 60],
      parts: [
        { span: [50, 58], cause: 'level' },
        { span: [58, 60], cause: 'slosh' },
      ],
    },
  ],
  lastsS: 100,
};
const every = (s: number) => Array.from({ length: Math.floor(100 / s) }, (_, i) => i * s);
const spells = spellsOf(truth, [[12, 50]]);
const score = (ready: readonly Span[], stepS = 0.1) => scoreDetector(ready, truth, spells, every(stepS));

describe('false', () => {
  test('ready that goes within a second of the onset is not false', () => {
    expect(score([[15, 51]]).falseS).toBe(0);
  });
  test('what lasts longer counts from the end of that second', () => {
    expect(score([[15, 53.5]]).falseS).toBeCloseTo(2.5, 9);
  });
  test('ready that comes on in the middle counts whole', () => {
    expect(score([[55, 57]]).falseS).toBeCloseTo(2, 9);
  });
  test('between is not counted', () => {
    expect(score([[60, 69]]).falseS).toBe(0);
  });
  test('it is shared out among the causes of the moment', () => {
    expect(score([[50, 60]]).falseByCause).toMatchObject({ level: 7, slosh: 2, temperature: 0 });
  });
  test('beside it stands what the first sample could have told', () => {
    // Samples every 8 s: the first after the onset at 56 s.
    expect(score([[50, 60]], 8)).toMatchObject({ falseS: 9, knowableFalseS: 3 });
  });
});

describe('missed and late', () => {
  test('a spell shorter than 30 s need not be found', () => {
    expect(spells.map(({ span }) => span)).toEqual([[10, 50]]);
  });
  test('nor one in which the oracle could not', () => {
    expect(spellsOf(truth, [[70, 95]])).toEqual([]);
  });
  test('the delay runs from fit to ready', () => {
    expect(score([[14.5, 50]]).delaysS).toEqual([4.5]);
    expect(spells[0]?.oracleS).toBe(2);
  });
  test('ready that stood before is in time', () => {
    expect(score([[5, 20]]).delaysS).toEqual([0]);
  });
  test('ready only before or after the spell is a miss', () => {
    expect(score([[5, 10]]).delaysS).toEqual([null]);
    expect(score([[50, 52]]).delaysS).toEqual([null]);
  });
  test('every onset within a spell is counted', () => {
    expect(
      score([
        [14, 20],
        [21, 30],
        [31, 55],
      ]).onsets,
    ).toBe(3);
  });
});

describe('spans', () => {
  test('what lies in both', () => {
    const found = both(
      [
        [0, 5],
        [6, 9],
      ],
      [
        [2, 7],
        [8, 20],
      ],
    );
    expect(found).toEqual([
      [2, 5],
      [6, 7],
      [8, 9],
    ]);
    expect(lengthOf(found)).toBe(5);
  });
  test('first moment within', () => {
    expect(firstWithin([[0, 5]], 5, 9)).toBeNull();
    expect(
      firstWithin(
        [
          [0, 5],
          [7, 8],
        ],
        5,
        9,
      ),
    ).toBe(7);
    expect(firstWithin([[0, 5]], 3, 9)).toBe(3);
    expect(firstWithin([[9, 10]], 3, 9)).toBeNull();
  });
  test('a state that is told at moments', () => {
    const spans = new SpanBuilder();
    for (const [tS, on] of [
      [1, true],
      [2, true],
      [3, false],
      [4, true],
    ] as const)
      spans.set(tS, on);
    expect(spans.end(6)).toEqual([
      [1, 3],
      [4, 6],
    ]);
  });
});

describe('the table', () => {
  const figures = (falseShare: number, missed: number, medianS: number): Figures => ({
    falseShare,
    missed,
    medianS,
    knowableFalseShare: 0,
    spells: 100,
    p90S: 0,
    onsetsPerSpell: 1,
  });
  const ours = figures(0.001, 2, 5);

  test('as good means no worse on any of three', () => {
    expect(asGood(figures(0.001, 2, 5), ours)).toBe(true);
    expect(asGood(figures(0.0011, 0, 1), ours)).toBe(false);
    expect(asGood(figures(0, 3, 1), ours)).toBe(false);
    expect(asGood(figures(0, 0, 5.1), ours)).toBe(false);
  });

  test('at equal false share the widest limit no falser than ours stands for a hold, or its narrowest', () => {
    const setting = (withMedian: boolean, limit: number, falseShare: number) => ({
      holdS: 5,
      withMedian,
      limit,
      ...figures(falseShare, 9, 9),
    });
    const all = [
      setting(false, 0.1, 0.0001),
      setting(false, 0.5, 0.0009),
      setting(false, 1, 0.002),
      setting(true, 0.1, 0.003),
      setting(true, 1, 0.009),
    ];
    expect(atEqualFalse(all, ours).map(({ best }) => best.limit)).toEqual([0.5, 0.1]);
  });

  test('benches are added up; a missed spell counts as never', () => {
    const bench = (unfitS: number, falseS: number, delaysS: readonly (number | null)[]) =>
      ({ unfitS, ours: { falseS, knowableFalseS: falseS / 2, delaysS, onsets: 3 } }) as unknown as BenchScore;
    const found = figuresOf([bench(100, 1, [2, 4]), bench(300, 3, [null])], ({ ours }) => ours);
    expect(found).toEqual({
      falseShare: 0.01,
      knowableFalseShare: 0.005,
      missed: 1,
      spells: 3,
      medianS: 4,
      p90S: Number.POSITIVE_INFINITY,
      onsetsPerSpell: 2,
    });
  });

  test('readings are counted against their own U95, forecasts against their interval', () => {
    const reading = (errorMm: number, sharpEnough: boolean) => ({ errorMm, U95Mm: 0.2, toleranceMm: 1, sharpEnough });
    const forecast = (s: number, covered: boolean, disturbed: boolean) => ({ s, remainingS: 100, covered, disturbed });
    const bench = (rest: object) => ({ reading: null, forecasts: [], ...rest }) as unknown as BenchScore;
    const benches = [
      bench({ reading: reading(-0.19, true), forecasts: [forecast(90, true, false), forecast(300, false, true)] }),
      bench({ reading: reading(0.21, false), forecasts: [forecast(120, false, false)] }),
      bench({}),
    ];
    expect(readingFigures(benches.flatMap(({ reading }) => reading ?? []))).toEqual({
      count: 2,
      coverage: 0.5,
      medianU: 0.2,
      sharp: 1,
    });
    expect(forecastFigures(benches, false)).toEqual({ count: 2, coverage: 0.5, medianError: 0.1 });
    expect(forecastFigures(benches, true)).toEqual({ count: 3, coverage: 1 / 3, medianError: 0.2 });
  });

  test('a missed spell is later than any', () => {
    const delays = [1, 2, 3, Number.POSITIVE_INFINITY];
    expect(quantile(delays, 0.5)).toBe(2);
    expect(quantile(delays, 0.9)).toBe(Number.POSITIVE_INFINITY);
    expect(quantile([], 0.5)).toBeNaN();
  });
});
