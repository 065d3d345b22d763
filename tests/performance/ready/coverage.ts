/** How often the first reading of a bench holds the truth within its ± U95. */
import type { ReadingScore } from './one-bench.ts';
import { quantile, readingFigures } from './summary.ts';

const SHARES: readonly number[] = [0.5, 1, 1.5];

export function coverage(scores: readonly (ReadingScore | null)[]): string {
  const readings = scores.flatMap((score) => score ?? []);
  const { count, coverage: held, medianU, sharp } = readingFigures(readings);
  // Standard deviation of a share of so many.
  const chance = Math.sqrt((held * (1 - held)) / count);
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
  const within = (share: number) =>
    readings.filter(({ errorMm, U95Mm }) => Math.abs(errorMm) <= share * U95Mm).length / count;
  return [
    `${count} first readings of ${scores.length} benches: the truth lies within ± U95 for ${percent(held)} (± ${percent(1.96 * chance)} by chance).`,
    `Within ${SHARES.map((share) => `${share} U95: ${percent(within(share))}`).join(', ')} (a normal distribution: 67.3 %, 95.0 %, 99.7 %).`,
    `Median U95 ${percent(
      quantile(
        readings.map(({ U95Mm, toleranceMm }) => U95Mm / toleranceMm),
        0.5,
      ),
    )} of the tolerance; ${percent(medianU)} on the ${sharp} benches whose owners' figures allow a third.`,
    '',
  ].join('\n');
}
