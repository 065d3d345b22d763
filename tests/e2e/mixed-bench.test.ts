/** Eight instruments that speak in eight ways, under seeded faults in virtual time. */
import { expect, test } from 'vitest';
import { virtualRun } from '../support/mixed-bench/virtual.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 5);
const HOURS = Number(process.env.STILLWELL_VIRTUAL_HOURS ?? 0.5);

test(`${HOURS} virtual hours of eight instruments under faults: nothing invented, every gap marked, memory and descriptors flat (seed ${SEED})`, {
  timeout: 3_600_000,
}, async () => {
  const { judge, faults, entries, events, early, late } = await virtualRun(SEED, HOURS);
  const { tally } = judge;
  const grownMB = (late.bytes - early.bytes) / 1e6;
  console.log(`seed ${SEED}, ${HOURS} virtual hours, ${entries} entries, ${events} events; ${JSON.stringify(tally)}`);
  console.log(
    `seed ${SEED}, faults: ${JSON.stringify(faults)}; ${grownMB.toFixed(2)} MB more, descriptors ${early.descriptors} to ${late.descriptors}`,
  );
  expect(judge.faults).toEqual([]);
  expect(tally.good).toBeGreaterThan(HOURS * 3600 * 6);
  expect(tally.alarms).toBeGreaterThan(0);
  expect(Object.keys(faults)).toHaveLength(8);
  expect(late.descriptors).toBe(early.descriptors);
  expect(grownMB).toBeLessThan(2);
});
