import { linearRegression } from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import { join, lag1, type Moments, momentsOf, slopeOf, variance, vonNeumannRatio } from '../../src/core/moments.ts';
import { append, emptySeries, forgetBefore, joined, newestFirst, type Series } from '../../src/core/series.ts';
import { EFFECTIVE_AR1, R_QUANTILES, VON_NEUMANN_LOWER } from '../reference/steady-state.ts';
import { UNIVARIATE } from '../reference/univariate.ts';
import { gaussian } from '../support/level-rig.ts';

/** All samples of a stream as the product keeps them: in blocks, from the first value on. */
function streamed(y: readonly number[], reach = Number.POSITIVE_INFINITY): Series<Moments> {
  const series = emptySeries<Moments>();
  const origin = y[0] ?? 0;
  for (const [i, value] of y.entries()) append(series, momentsOf(i, value - origin), join, reach);
  return series;
}

function whole(series: Series<Moments>): Moments {
  const blocks = newestFirst(series);
  return joined(blocks, blocks.length, join) ?? expect.fail('no samples');
}

/** Doubles are whole multiples of 2⁻⁶⁰ here; sums of them are exact in whole numbers. */
function exactly(y: readonly number[]) {
  const scale = 2 ** 60;
  const x = y.map((value) => BigInt(value * scale));
  const n = BigInt(x.length);
  const sum = x.reduce((a, b) => a + b, 0n);
  const away = x.map((value) => n * value - sum);
  const squares = away.reduce((a, d) => a + d * d, 0n);
  const neighbours = away.slice(1).reduce((a, d, i) => a + d * (away[i] as bigint), 0n);
  const ratio = (a: bigint, b: bigint) => Number((a * 10n ** 25n) / b) / 1e25;
  const size = 2n ** 60n;
  return {
    mean: Number(sum / (n * size)) + ratio(sum % (n * size), n * size),
    sd: Math.sqrt(ratio(squares, n * n * (n - 1n) * size * size)),
    lag1: ratio(neighbours, squares),
  };
}

/** Correct digits: logarithm of the relative error, 15 at most. */
function digits(found: number, certified: number): number {
  return found === certified ? 15 : Math.min(15, -Math.log10(Math.abs((found - certified) / certified)));
}

describe('streaming statistics reach the certified values of NIST to within half a digit of exact arithmetic', () => {
  test.each(UNIVARIATE.map((set) => [set.name, set] as const))('%s', (_name, { y, ...certified }) => {
    const all = whole(streamed(y));
    const exact = exactly(y);
    const found = { mean: (y[0] ?? 0) + all.y, sd: Math.sqrt(variance(all)), lag1: lag1(all) };
    expect(all.n).toBe(y.length);
    for (const key of ['mean', 'sd', 'lag1'] as const) {
      const right = Number(certified[key]);
      expect(digits(found[key], right), key).toBeGreaterThanOrEqual(digits(exact[key], right) - 0.5);
    }
  });

  test('the floor of the two hard sets is where it is published', () => {
    const floor = (name: string) => {
      const set = UNIVARIATE.find((one) => one.name === name) ?? expect.fail(name);
      return digits(exactly(set.y).sd, Number(set.sd));
    };
    expect(floor('NumAcc3')).toBeCloseTo(9.5, 1);
    expect(floor('NumAcc4')).toBeCloseTo(8.3, 1);
  });
});

/** 100 million in the long tests. */
const STREAMED = Number(process.env.STILLWELL_STREAMED ?? 2_000_000);

test(`a window drifts by nothing over ${STREAMED} samples at a million with noise of a thousandth`, {
  timeout: 1e6,
}, () => {
  const random = gaussian(5);
  const series = emptySeries<Moments>();
  const kept: number[] = [];
  let worst = 0;
  const total = STREAMED;
  for (let i = 0; i < total; i++) {
    const y = 1e6 + 1e-3 * random();
    append(series, momentsOf(i, y - 1e6), join, 1000);
    if (i >= total - 4000) kept.push(y);
    if (i < total - 2000 || i % 100 !== 0) continue;
    const window = whole(series);
    const direct = kept.slice(-window.n);
    const mean = direct.reduce((a, b) => a + (b - 1e6), 0) / direct.length;
    const sd = Math.sqrt(direct.reduce((a, b) => a + (b - 1e6 - mean) ** 2, 0) / (direct.length - 1));
    worst = Math.max(worst, Math.abs(Math.sqrt(variance(window)) / sd - 1), Math.abs(window.y - mean) / sd);
  }
  console.log(`seed 5, ${total} samples: largest relative difference from the window itself ${worst.toExponential(1)}`);
  expect(worst).toBeLessThan(1e-12);
});

test('memory grows with the logarithm of the window, and what is too old goes', () => {
  const series = streamed(Array.from({ length: 100_000 }, () => 1));
  expect(newestFirst(series).length).toBeLessThan(9 * 15);
  const short = streamed(
    Array.from({ length: 100_000 }, () => 1),
    100,
  );
  const oldest = newestFirst(short).at(-1) as Moments;
  expect(100_000 - oldest.fromT).toBeLessThan(140);
  forgetBefore(short, 99_990);
  expect(newestFirst(short).every(({ fromT }) => fromT >= 99_990)).toBe(true);
  expect(structuredClone(short)).toEqual(short);
});

test('the line through joined blocks is that of a general-purpose library', () => {
  const random = gaussian(7);
  const y = Array.from({ length: 137 }, (_, i) => 62 + 0.03 * i + random());
  const { m } = linearRegression(y.map((value, i) => [i, value]));
  expect(slopeOf(whole(streamed(y)))?.slope).toBeCloseTo(m, 12);
  expect(slopeOf(momentsOf(1, 2))).toBeNull();
});

describe('tests for a steady state that others published', () => {
  test.each(VON_NEUMANN_LOWER.filter(([n]) => n === 10 || n === 50))(
    'the von Neumann ratio of %d independent samples falls below its critical values as often as it should',
    (n, at01, at1, at5) => {
      const random = gaussian(n);
      const runs = 40_000;
      const ratios = Array.from({ length: runs }, () =>
        vonNeumannRatio(whole(streamed(Array.from({ length: n }, () => random())))),
      );
      const share = (limit: number) => ratios.filter((ratio) => ratio < limit).length / runs;
      expect(Math.abs(share(at5) - 0.05)).toBeLessThan(4 * Math.sqrt((0.05 * 0.95) / runs));
      expect(Math.abs(share(at1) - 0.01)).toBeLessThan(4 * Math.sqrt((0.01 * 0.99) / runs));
      expect(Math.abs(share(at01) - 0.001)).toBeLessThan(4 * Math.sqrt(0.001 / runs));
    },
  );

  test('the R-statistic with its factors 0.2, 0.1, 0.1 has its published quantiles at steady state', () => {
    const random = gaussian(3);
    const seen: number[] = [];
    // Variance before mean, as the paper orders them; independent chains would take longer, every 40th value will do.
    let [mean, square, difference, before] = [0, 1, 2, 0];
    for (let i = 0; i < 2_000_000; i++) {
      const x = random();
      square = 0.1 * (x - mean) * (x - mean) + 0.9 * square;
      mean = 0.2 * x + 0.8 * mean;
      difference = 0.1 * (x - before) * (x - before) + 0.9 * difference;
      before = x;
      if (i > 200 && i % 40 === 0) seen.push(((2 - 0.2) * square) / difference);
    }
    seen.sort((a, b) => a - b);
    for (const [p, r] of R_QUANTILES) expect(seen[Math.floor(p * seen.length)]).toBeCloseTo(r, p > 0.9 ? 1 : 2);
  });

  // The variance of the mean of AR(1) noise, from its definition.
  test.each(EFFECTIVE_AR1)('%d samples with correlation %d are worth %d', (n, rho, exact) => {
    let sum = 0;
    for (let k = 1; k < n; k++) sum += (1 - k / n) * rho ** k;
    expect(n / (1 + 2 * sum)).toBeCloseTo(exact, 4);
  });
});
