/** The temperature of the fluid behind a probe that follows late. */
import { describe, expect, test } from 'vitest';
import { emptyFluidTemperature, hearProbe } from '../../src/core/fluid-temperature.ts';

/** Every number of a state: it is kept in the record at the start of a job, whenever that is. */
function numbersOf(node: unknown): number[] {
  if (typeof node === 'number') return [node];
  return typeof node === 'object' && node !== null ? Object.values(node).flatMap(numbersOf) : [];
}

describe('The temperature of the fluid', () => {
  test('can be kept in the record from the first value on, when nothing is known of its slope yet', () => {
    const state = emptyFluidTemperature();
    for (let i = 0; i < 5; i++) {
      hearProbe(state, i * 500_000, 20 + 0.3 * i, 4, 0.1);
      const numbers = numbersOf(state);
      expect(numbers.length).toBeGreaterThan(5);
      expect(
        numbers.filter((value) => !Number.isFinite(value)),
        `after ${i + 1} values`,
      ).toEqual([]);
      // Wider than any window until a line can be laid through the values.
      if (i < 2) expect(state.now?.u).toBeGreaterThan(1000);
      else expect(state.now?.u).toBeLessThan(10);
    }
  });
});
