/** The budget of a reading that has not been taken yet. */
import { describe, expect, test } from 'vitest';
import { expectedReading } from '../../../src/core/uncertainty/expected.ts';
import { worthOf } from '../../../src/core/uncertainty/shrink.ts';
import { testBench } from '../../support/bench.ts';
import { CoreRig } from '../../support/core-rig.ts';
import { normals } from '../../support/draws.ts';

describe('The next reading of a bench', () => {
  const expected = expectedReading(testBench, { levelMm: 62, temperatureC: null });

  test('stands at the reference temperature, as noisy as a reading waits for', () => {
    expect(expected).toMatchObject({ temperatureC: 50, levelMm: 62, values: 30, others: [] });
    // 6 % of the tolerance of 1 mm, in the mean of 30 values.
    expect(expected.noiseMm / Math.sqrt(30)).toBeCloseTo(0.06, 12);
    const cold = { ...testBench, measure: { ...testBench.measure, referenceC: 20 } };
    expect(expectedReading(cold, { levelMm: 62, temperatureC: null }).temperatureC).toBe(46);
    expect(expectedReading(cold, { levelMm: 62, temperatureC: 51 }).reading.levelMm).toBeCloseTo(62 - 0.25 * 31, 9);
  });

  test('is as sure as one that the pipeline takes of a level that has been at rest for a minute (seed 4)', () => {
    const rig = new CoreRig();
    rig.open('probe');
    rig.open('sonar');
    const normal = normals(4);
    rig.run(
      60,
      () => 50,
      () => 62 + 0.15 * normal(),
    );
    rig.admit({
      kind: 'action',
      actionId: 'take-0001',
      actor: 'Ada',
      role: 'technician',
      expectedRevision: 0,
      body: { type: 'take-reading' },
    });
    const { reading } = rig.outcomes('reading').at(-1) ?? expect.fail();
    expect(reading.budget.map(({ component }) => component)).toEqual(
      expected.reading.budget.map(({ component }) => component),
    );
    expect(reading.U95Mm).toBeLessThan(1.2 * expected.reading.U95Mm);
    expect(reading.U95Mm).toBeGreaterThan(0.7 * expected.reading.U95Mm);
  });

  test('what each component is worth, the largest first', () => {
    const worth = worthOf(expected.reading.budget);
    expect(worth.map(({ component }) => component).slice(0, 2)).toEqual(['level instrument', 'temperature instrument']);
    expect(worth.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12);
    const [most] = worth;
    // By hand: without its 0.1 mm the rest stays.
    const rest = expected.reading.budget.filter(({ component }) => component !== 'level instrument');
    const u = Math.sqrt(rest.reduce((sum, { contributionMm }) => sum + contributionMm ** 2, 0));
    expect((most?.goneU95Mm ?? 0) / u).toBeGreaterThan(1.95);
    expect((most?.goneU95Mm ?? 0) / u).toBeLessThan(2.02);
    for (const { halvedU95Mm, goneU95Mm } of worth) {
      expect(halvedU95Mm).toBeLessThanOrEqual(expected.reading.U95Mm * 1.001);
      expect(goneU95Mm).toBeLessThanOrEqual(halvedU95Mm * 1.001);
    }
  });
});
