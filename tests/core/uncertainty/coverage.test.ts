/**
 * Does ±U95 hold the truth 95 times in 100? Many benches, the truth drawn from what they declare, one reading of each
 * through the core; then two readings of each, and their difference. STILLWELL_BENCHES says how many.
 */
import { describe, expect, test } from 'vitest';
import type { BenchDescription } from '../../../src/core/description.ts';
import { match } from '../../../src/core/match/difference.ts';
import { normalsFrom, uniforms } from '../../support/draws.ts';
import { echoBench, plainBench, VirtualBench } from '../../support/virtual-bench.ts';

const BENCHES = Number(process.env.STILLWELL_BENCHES ?? 60);
const SEED = Number(process.env.STILLWELL_SEED ?? 5021);
const OWN = { refitMm: 0.15, refits: null, newFluidMm: 0.1 };

/** 94 to 98 % of very many; as many more or less as chance may do to a few (3.3 standard deviations of a binomial). */
function bounds(n: number): [low: number, high: number] {
  const room = n >= 3000 ? 0 : 3.3 * Math.sqrt((0.95 * 0.05) / n);
  return [0.94 - room, Math.min(1, 0.98 + room)];
}

const KINDS: readonly (readonly [name: string, bench: BenchDescription])[] = [
  ['a board that sends millimetres', plainBench],
  ['an echo through the oil', echoBench],
];

describe.each(KINDS)('%s', (name, bench) => {
  test(`one reading each of ${BENCHES} benches, and the difference to a second one (seed ${SEED})`, {
    timeout: 600_000,
  }, () => {
    let readings = 0;
    let differences = 0;
    let UReading = 0;
    let UDifference = 0;
    for (let i = 0; i < BENCHES; i++) {
      const uniform = uniforms(SEED * 100_003 + i);
      const normal = normalsFrom(uniform);
      const one = new VirtualBench(bench, Math.floor(4e9 * uniform()));
      const somewhere = () => ({ levelMm: 55 + 10 * uniform(), temperatureC: 48 + 4 * uniform() });
      const [before, after] = [somewhere(), somewhere()];
      const first = one.read(before);
      // The same sensor fitted again, and another fluid: two fittings of their own.
      const fittings = [OWN.refitMm * normal(), OWN.refitMm * normal()] as const;
      const target = one.read(before, fittings[0]);
      const second = one.read(after, fittings[1] + OWN.newFluidMm * normal());
      const found = match(target, second, OWN);
      if (!found.comparable) throw new Error(found.words);
      const { mm, U95Mm } = found.difference;
      if (Math.abs(first.levelMm - before.levelMm) <= first.U95Mm) readings++;
      if (Math.abs(mm - (after.levelMm - before.levelMm)) <= U95Mm) differences++;
      UReading += first.U95Mm / BENCHES;
      UDifference += U95Mm / BENCHES;
    }
    const share = (count: number) => count / BENCHES;
    const percent = (count: number) => `${(100 * share(count)).toFixed(2)} %`;
    process.stdout.write(
      `seed ${SEED}, ${name}, ${BENCHES} benches: truth within ±U95 of ${percent(readings)} of readings (±${UReading.toFixed(2)} mm) ` +
        `and ${percent(differences)} of differences (±${UDifference.toFixed(2)} mm)\n`,
    );
    const [low, high] = bounds(BENCHES);
    for (const count of [readings, differences]) {
      expect(share(count)).toBeGreaterThanOrEqual(low);
      expect(share(count)).toBeLessThanOrEqual(high);
    }
  });
});
