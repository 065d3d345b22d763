/** Reference points, echoes over lengths, calm means and strapping, against published figures and exact cases. */
import { describe, expect, test } from 'vitest';
import { calmMean } from '../../../src/core/calibration/calm-mean.ts';
import { correctionFrom } from '../../../src/core/calibration/certify.ts';
import { deadTimeOnBlock, fitEchoes } from '../../../src/core/calibration/echo-fit.ts';
import { boilingByAltitude, boilingByBarometer, icePoint } from '../../../src/core/calibration/fixed-points.ts';
import { strapping, uBetween } from '../../../src/core/calibration/strapping.ts';
import { noise } from '../../support/core-rig.ts';

describe('reference points of water', () => {
  test('ice melts at 0 °C', () => expect(icePoint()).toMatchObject({ tC: 0, uK: 0.05 }));

  test.each([
    // IAPWS R7-97(2012), region 4: by formula and by a general-purpose library.
    [101.325, 99.9743],
    [100, 99.60592],
    [95, 98.17833],
    [89.8746, 96.64876],
    [79.4952, 93.31508],
  ])('boiling at %d kPa by barometer', (kPa, tC) => {
    expect(boilingByBarometer(kPa, 0.1).tC).toBeCloseTo(tC, 4);
  });

  test.each([
    // ISO 2533:1975 at these altitudes (89876.3 Pa, 79501.4 Pa), then IAPWS as above; the slope is 0.03 °C per 0.1 kPa.
    [0, 99.9743],
    [1000, 96.6493],
    [2000, 93.317],
  ])('boiling at %d m altitude, with the weather in its uncertainty', (m, tC) => {
    const point = boilingByAltitude(m);
    expect(point.tC).toBeCloseTo(tC, 3);
    expect(point.uK).toBeGreaterThan(0.4);
    expect(boilingByBarometer(95, 0.1).uK).toBeLessThan(0.11);
  });

  test.each([() => boilingByAltitude(20_000), () => boilingByBarometer(1013.25, 1), () => boilingByBarometer(-1, 1)])(
    'what cannot be is refused',
    (make) => expect(make).toThrow(RangeError),
  );
});

test('ice and boiling water: the line through both, found and left', () => {
  const boiling = boilingByBarometer(95, 0.1);
  const taken = [
    { reference: 0, uReference: 0.05, indicated: 0.4, uIndicated: 0.01, count: 20 },
    { reference: boiling.tC, uReference: boiling.uK, indicated: 97.8, uIndicated: 0.01, count: 20 },
  ];
  const { result, points } = correctionFrom(taken, 1, null, 0);
  expect(points.map(({ asFound }) => asFound)).toEqual([0.4, 97.8 - boiling.tC]);
  for (const { asLeft } of points) expect(asLeft).toBeCloseTo(0, 12);
  expect(result).toMatchObject({ residualSd: null, degreesOfFreedom: null, scatterDegreesOfFreedom: 0 });
  // Half-way the two uncertainties add as half of each.
  expect(Math.sqrt(result.covariance[0]?.[0] ?? 0)).toBeCloseTo(
    Math.hypot(Math.hypot(0.05, 0.01), Math.hypot(boiling.uK, 0.01)) / 2,
    12,
  );
});

describe('echoes', () => {
  const truth = { c: 1412, t0: 2.6 };
  const over = (mm: number) => truth.t0 + (2000 * mm) / truth.c;
  const at = { atC: 41, uAtC: 0.3 };

  test('two lengths give speed and dead time, with their covariance', () => {
    const points = [40, 90].map((mm) => ({ lengthMm: mm, uLengthMm: 0.05, echoUs: over(mm), uEchoUs: 0.04 }));
    const found = fitEchoes(points, 0, at);
    expect(found.soundMPerS).toBeCloseTo(truth.c, 8);
    expect(found.deadTimeUs).toBeCloseTo(truth.t0, 10);
    // By hand: b = Δt/ΔL, t₀ = (t₁L₂ − t₂L₁)/ΔL, each time with u² = 0.04² + (b·0.05)².
    const b = 2000 / truth.c;
    const u2 = 0.04 * 0.04 + b * 0.05 * (b * 0.05);
    const uB2 = (2 * u2) / (50 * 50);
    expect(found.covariance[0]?.[0]).toBeCloseTo((truth.c / b) ** 2 * uB2, 6);
    expect(found.covariance[1]?.[1]).toBeCloseTo((u2 * (40 * 40 + 90 * 90)) / (50 * 50), 10);
    expect(found.covariance[0]?.[1]).toBeCloseTo((truth.c / b) * ((65 * 2 * u2) / (50 * 50)), 6);
  });

  test('successive echoes share their length: the speed is no surer than it', () => {
    const points = [1, 2, 3, 4].map((k) => ({
      lengthMm: 30 * k,
      uLengthMm: 0,
      echoUs: over(30 * k),
      uEchoUs: 0.01,
    }));
    const found = fitEchoes(points, 0.1 / 30, at);
    expect(found.soundMPerS).toBeCloseTo(truth.c, 8);
    expect(Math.sqrt(found.covariance[0]?.[0] ?? 0)).toBeGreaterThan(truth.c * (0.1 / 30));
    expect(Math.sqrt(found.covariance[0]?.[0] ?? 0)).toBeLessThan(truth.c * (0.1 / 30) * 1.02);
  });

  test('the stated uncertainties are those of a simulation', () => {
    const seed = 20_311;
    const random = noise(seed);
    const normal = () => Array.from({ length: 12 }, random).reduce((sum, one) => sum + one, 0) / 2;
    const speeds: number[] = [];
    const dead: number[] = [];
    let stated: ReturnType<typeof fitEchoes> | null = null;
    for (let i = 0; i < 4000; i++) {
      const points = [40, 45, 90].map((mm) => ({
        lengthMm: mm,
        uLengthMm: 0.05,
        echoUs: over(mm + 0.05 * normal()) + 0.04 * normal(),
        uEchoUs: 0.04,
      }));
      const found = fitEchoes(points, 0, at);
      if (found.degreesOfFreedom === null) stated ??= found;
      speeds.push(found.soundMPerS);
      dead.push(found.deadTimeUs);
    }
    const sd = (all: readonly number[], mean: number) =>
      Math.sqrt(all.reduce((sum, one) => sum + (one - mean) * (one - mean), 0) / all.length);
    expect(sd(speeds, truth.c) / Math.sqrt(stated?.covariance[0]?.[0] ?? 0), `seed ${seed}`).toBeCloseTo(1, 1);
    expect(sd(dead, truth.t0) / Math.sqrt(stated?.covariance[1]?.[1] ?? 0), `seed ${seed}`).toBeCloseTo(1, 1);
  });

  test('a block of known speed gives the dead time only', () => {
    const way = (2000 * 25) / 5900;
    const block = { thicknessMm: 25, uMm: 0.02, soundMPerS: 5900, uMPerS: 30 };
    const found = deadTimeOnBlock(block, { us: way + 1.9, u: 0.02, count: 9 });
    expect(found.deadTimeUs).toBeCloseTo(1.9, 12);
    expect(found.u).toBeCloseTo(Math.hypot(0.02, (way * 0.02) / 25, (way * 30) / 5900), 12);
  });

  test.each([
    [[40, 40], /two different lengths/],
    [[40, 40.01], /which no fluid/],
  ])('lengths of %j mm are refused', (lengths, words) => {
    const points = lengths.map((lengthMm, i) => ({ lengthMm, uLengthMm: 0, echoUs: 60 + 5 * i, uEchoUs: 0.1 }));
    expect(() => fitEchoes(points, 0, at)).toThrow(words);
  });
});

describe('the mean of values at rest', () => {
  const random = noise(7);
  const series = (value: (s: number) => number) =>
    Array.from({ length: 101 }, (_, i) => ({ tUs: i * 100_000, value: value(i / 10) + 0.02 * random() }));
  const rest = { overUs: 10e6, within: 0.05, resolution: 0.01 };

  test('noise about a value is at rest, and a few values are not enough', () => {
    const found = calmMean(
      series(() => 50),
      rest,
    );
    expect(found?.mean).toBeCloseTo(50, 2);
    expect(found?.u).toBeGreaterThan(0.01 / Math.sqrt(12));
    expect(found?.u).toBeLessThan(0.01);
    expect(calmMean(series(() => 50).slice(-20), rest)).toBeNull();
    expect(calmMean([], rest)).toBeNull();
  });

  test('a probe that still warms up is not at rest', () => {
    expect(
      calmMean(
        series((s) => 50 - 5 * Math.exp(-s / 8)),
        rest,
      ),
    ).toBeNull();
    expect(
      calmMean(
        series((s) => 50 - 5 * Math.exp(-(s + 80) / 8)),
        rest,
      )?.mean,
    ).toBeCloseTo(50, 1);
  });
});

describe('strapping', () => {
  const additions = [10, 20, 30, 40, 50].map((levelMm, i) => ({
    litres: i === 0 ? 0 : 1,
    uLitres: i === 0 ? 0 : 0.01,
    levelMm,
    uLevelMm: 0,
  }));

  test('errors of the additions add up, and cancel between neighbours', () => {
    const table = strapping(additions, { startL: 0, uStartL: 0, uMeasureShare: 0 });
    expect(table.rows.map(({ litres }) => litres)).toEqual([0, 1, 2, 3, 4]);
    for (const [i, { uLitres }] of table.rows.entries()) expect(uLitres).toBeCloseTo(0.01 * Math.sqrt(i), 12);
    expect(uBetween(table, 2, 3)).toBeCloseTo(0.01, 12);
    // Correlation of two rows is that of their common additions: √(2/4).
    expect(
      (table.covariance[2]?.[4] ?? 0) / ((table.rows[2]?.uLitres ?? 0) * (table.rows[4]?.uLitres ?? 0)),
    ).toBeCloseTo(Math.sqrt(0.5), 12);
    expect(table.leftOutL.every((off) => Math.abs(off) < 1e-12)).toBe(true);
  });

  test('the scale of the measure grows with the volume, the beginning is in every row, the level by the area', () => {
    const scaled = strapping(additions, { startL: 0, uStartL: 0, uMeasureShare: 0.02 });
    expect(scaled.rows[4]?.uLitres).toBeCloseTo(Math.hypot(0.02, 0.08), 12);
    expect(scaled.uShare).toBeCloseTo(Math.hypot(0.01, 0.02), 12);
    const begun = strapping(additions, { startL: 0.5, uStartL: 0.05, uMeasureShare: 0 });
    expect(begun.rows[0]).toMatchObject({ litres: 0.5 });
    expect(begun.rows[0]?.uLitres).toBeCloseTo(0.05, 12);
    const read = strapping(
      additions.map((one) => ({ ...one, uLevelMm: 0.2 })),
      { startL: 0, uStartL: 0, uMeasureShare: 0 },
    );
    // A tenth of a litre a millimetre.
    expect(read.rows[4]?.uLitres).toBeCloseTo(Math.hypot(0.02, 0.02), 12);
    expect(read.rows[4]?.uPouredL).toBeCloseTo(0.02, 12);
  });

  test.each([
    [[additions[0], additions[2], { ...additions[1], levelMm: 15 }], /row 3: the level went from 30 mm to 15 mm/],
    [[additions[0], { ...additions[1], litres: 0 }], /row 2: an addition must be above 0 L/],
    [[additions[0]], /two levels at least/],
  ])('what cannot be a table is refused with its row', (rows, words) => {
    expect(() => strapping(rows as typeof additions, { startL: 0, uStartL: 0, uMeasureShare: 0 })).toThrow(words);
  });
});
