/** A value against its limit: deadband and delays, in virtual time. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  delayEndsUs,
  type LimitDescription,
  type LimitWatch,
  WITHIN_LIMIT,
  watchLimit,
  withoutValue,
} from '../../../src/core/alarms/limit-watch.ts';

const S = 1_000_000;
const HOT: LimitDescription = { side: 'above', limit: 90, deadband: 3, onDelayUs: 5 * S, offDelayUs: 10 * S };
const AT_ONCE: LimitDescription = { ...HOT, onDelayUs: 0, offDelayUs: 0 };

/** Looks once a second; the active stretches as [from, to) in seconds. */
function stretches(of: LimitDescription, values: readonly number[]): string {
  let watch: LimitWatch = WITHIN_LIMIT;
  return values
    .map((value, s) => {
      watch = watchLimit(of, watch, value, s * S);
      return watch.active ? 'A' : '.';
    })
    .join('');
}

describe('without delays', () => {
  test('the limit itself is not beyond it', () => {
    expect(stretches(AT_ONCE, [89, 90, 90.01, 90])).toBe('..AA');
  });

  test('it returns at the limit less the deadband, not before', () => {
    expect(stretches(AT_ONCE, [91, 89, 87.01, 87, 89.9, 90.1])).toBe('AAA..A');
  });

  test('below: the other way round', () => {
    const low: LimitDescription = { side: 'below', limit: 18, deadband: 2, onDelayUs: 0, offDelayUs: 0 };
    expect(stretches(low, [18, 17.9, 19.9, 20, 18, 17])).toBe('.AA..A');
  });

  test('a deadband of 0 returns at the limit', () => {
    expect(stretches({ ...AT_ONCE, deadband: 0 }, [90.1, 90, 90.1, 90])).toBe('A.A.');
  });
});

describe('with delays', () => {
  test('it comes when the value was beyond for the on-delay without interruption', () => {
    //                        0   1   2   3   4   5   6   7   8   9   10
    expect(stretches(HOT, [91, 91, 91, 89, 91, 91, 91, 91, 91, 91, 91])).toBe('.........AA');
  });

  test('it goes when the value was back inside for the off-delay without interruption', () => {
    const values = [...Array(6).fill(95), ...Array(9).fill(86), 88, ...Array(11).fill(86)] as number[];
    const seen = stretches(HOT, values);
    // active from 5 s on; the 88 °C at 15 s is within the deadband and begins the off-delay anew
    expect(seen.indexOf('A')).toBe(5);
    expect(seen.lastIndexOf('A')).toBe(25);
    expect(seen[26]).toBe('.');
  });

  test('the delay ends without another value', () => {
    const waits = watchLimit(HOT, WITHIN_LIMIT, 95, 2 * S);
    expect(waits).toEqual({ active: false, againstUs: 2 * S });
    expect(delayEndsUs(HOT, waits)).toBe(7 * S);
    expect(watchLimit(HOT, waits, 95, 7 * S - 1).active).toBe(false);
    expect(watchLimit(HOT, waits, 95, 7 * S)).toEqual({ active: true, againstUs: null });
  });

  test('while the value is not known nothing changes, and a delay begins anew', () => {
    const waits = watchLimit(HOT, WITHIN_LIMIT, 95, 0);
    expect(withoutValue(waits)).toEqual(WITHIN_LIMIT);
    expect(delayEndsUs(HOT, withoutValue(waits))).toBeNull();
    const active: LimitWatch = { active: true, againstUs: 3 * S };
    expect(withoutValue(active)).toEqual({ active: true, againstUs: null });
  });
});

test('against a plain second reading of the rule, for any values', () => {
  const seed = 182_016;
  fc.assert(
    fc.property(
      fc.array(fc.integer({ min: 80, max: 100 }), { minLength: 1, maxLength: 80 }),
      fc.nat({ max: 5 }),
      fc.nat({ max: 4 }),
      fc.nat({ max: 4 }),
      fc.boolean(),
      (values, deadband, on, off, above) => {
        const of: LimitDescription = {
          side: above ? 'above' : 'below',
          limit: 90,
          deadband,
          onDelayUs: on * S,
          offDelayUs: off * S,
        };
        // looks back over the whole past at every second
        let active = false;
        let from = 0;
        const expected = values.map((_, s) => {
          const wrong = (v: number) => (above ? v > 90 : v < 90);
          const right = (v: number) => (above ? v <= 90 - deadband : v >= 90 + deadband);
          const need = active ? off : on;
          const last = values.slice(Math.max(from, s - need), s + 1);
          if (last.length === need + 1 && last.every(active ? right : wrong)) {
            active = !active;
            from = s + 1;
          }
          return active ? 'A' : '.';
        });
        expect(stretches(of, values)).toBe(expected.join(''));
      },
    ),
    { seed, numRuns: 2000 },
  );
});
