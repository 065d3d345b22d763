import { describe, expect, test } from 'vitest';
import { emptyAir, hearEcho, isAiry } from '../../src/core/air.ts';
import type { GateId } from '../../src/core/events.ts';
import { ALL_SHUT, type GateFacts, judgeGates, type OpenBefore } from '../../src/core/gates.ts';
import { emptyStuck, hearRepeat, isAtItsEnd, isDeaf, isUnlikely } from '../../src/core/stuck.ts';
import { testBench } from '../support/bench.ts';
import { gaussian, watch } from '../support/level-rig.ts';

const ALL_OPEN = Object.fromEntries(Object.keys(ALL_SHUT).map((id) => [id, true])) as unknown as OpenBefore;

const random = gaussian(2);
const RESTING = watch(() => 62 + 0.05 * random(), { forS: 20 }).at(-1)?.calm ?? null;

function gate(id: GateId, facts: Partial<GateFacts>, before: OpenBefore = ALL_SHUT) {
  const fresh = { ageUs: 0, staleAfterUs: 1_000_000 };
  const all = judgeGates(
    {
      tUs: 20_000_000,
      measure: testBench.measure,
      recording: true,
      level: { id: 'level', value: 62, ...fresh },
      temperature: { id: 'temperature', value: 50, ...fresh },
      uTemperature: { noiseK: 0.05, lagK: 0, probeK: 0.3 },
      atBorder: false,
      approach: null,
      calm: RESTING,
      changedUs: null,
      air: emptyAir(),
      stuckUs: null,
      atEnd: false,
      doubtful: { count: 0, suspicion: 0, forUs: 0, stepUs: 200_000, overdue: false },
      ...facts,
    } satisfies GateFacts,
    before,
  );
  return all.find((one) => one.id === id) ?? expect.fail(`no gate ${id}`);
}

const at = (value: number) => ({ temperature: { id: 'temperature', value, ageUs: 0, staleAfterUs: 1_000_000 } });
const calm = (over: Partial<NonNullable<GateFacts['calm']>>) => ({
  calm: { ...(RESTING ?? expect.fail('no judgement')), ...over },
});

test('with everything at rest, warm and fresh, all seven are open', () => {
  for (const id of Object.keys(ALL_SHUT) as GateId[]) expect(gate(id, {}).open, id).toBe(true);
  expect(Object.keys(ALL_SHUT)).toHaveLength(7);
});

describe('the window', () => {
  test.each([
    // A quarter of the 0.3 K that the probe may be off, and a little for its noise: 46.08.
    ['shut', 46.05, ALL_SHUT, false],
    ['shut', 46.1, ALL_SHUT, true],
    ['open', 46, ALL_OPEN, true],
    ['open', 45.7, ALL_OPEN, false],
    ['shut', 53.95, ALL_SHUT, false],
    ['open', 54, ALL_OPEN, true],
    ['open', 54.3, ALL_OPEN, false],
  ])('%s before, %d °C', (_was, celsius, before, open) => {
    expect(gate('window', at(celsius), before).open).toBe(open);
  });

  test('just left, it opens again a little further inside: no flicker', () => {
    expect(gate('window', { ...at(46.15), atBorder: true }).open).toBe(false);
    expect(gate('window', { ...at(46.2), atBorder: true }).open).toBe(true);
  });

  test('says that it is only just within it where the probe may be off by more', () => {
    expect(gate('window', at(46.05)).words).toBe(
      '46.0 °C is only just within 46.0 to 54.0 °C: the probe may be off by more than that.',
    );
  });

  test('of a slow probe whose lag is known badly, it opens further inside', () => {
    const uTemperature = { noiseK: 0.05, lagK: 0.5, probeK: 0.3 };
    expect(gate('window', { ...at(46.2), uTemperature }).open).toBe(false);
    expect(gate('window', { ...at(46.8), uTemperature }).open).toBe(true);
  });

  test('too cold names the lower limit, too hot the upper', () => {
    expect(gate('window', at(40))).toMatchObject({ why: 'too-cold', limit: 46, value: 40 });
    expect(gate('window', at(60))).toMatchObject({ why: 'too-hot', limit: 54 });
  });

  test('tells when it opens, when it shuts, and when it will not be reached', () => {
    const towards = (endC: number, nowC: number) => ({
      ...at(nowC),
      approach: { tUs: 20_000_000, uK: 0.05, ways: [{ endC, aK: nowC - endC, uAK: 0.2, tauS: 100, weight: 1 }] },
    });
    // 100 ln((60 − 40)/(60 − 46.08)) = 36.2 s to just inside the lower limit; 100 ln(10/6) = 51 s from 50 °C to the upper one.
    expect(gate('window', towards(60, 40)).toGo?.s).toBeCloseTo(36.2, 0);
    expect(gate('window', towards(60, 50)).shutsIn?.s).toBeCloseTo(51, 0);
    const short = gate('window', towards(44, 40));
    expect(short.toGo).toBeNull();
    expect(short.words).toContain('will not get there at this rate');
    expect(short.why).toBe('stays-cold');
    // 100 ln((60 − 20)/(54 − 20)) = 16.3 s until it has cooled down to the window.
    expect(gate('window', towards(20, 60)).toGo?.s).toBeCloseTo(16.3, 0);
  });
});

describe('the surface', () => {
  test('is calm up to its limit, and stays so a little above it', () => {
    expect(gate('calm', calm({ swingMm: 1.4 })).open).toBe(true);
    expect(gate('calm', calm({ swingMm: 1.7 }))).toMatchObject({ open: false, why: 'waves', limit: 1.5 });
    expect(gate('calm', calm({ swingMm: 1.7 }), ALL_OPEN).open).toBe(true);
    expect(gate('calm', calm({ swingMm: 2 }), ALL_OPEN).open).toBe(false);
  });

  test('has settled up to the tolerance, and stays so until the level is seen to move', () => {
    expect(gate('settled', calm({ boundMm: 0.9 }))).toMatchObject({ open: true, why: 'settled', limit: 1 });
    expect(gate('settled', calm({ boundMm: 1.1 })).open).toBe(false);
    // Doubt alone does not shut it.
    expect(gate('settled', calm({ boundMm: 2.4, resting: true }), ALL_OPEN).open).toBe(true);
    expect(gate('settled', calm({ boundMm: 1.1, resting: false }), ALL_OPEN).open).toBe(false);
  });

  test('says whether it moves or was only watched too short, in one number against one limit', () => {
    expect(gate('settled', calm({ boundMm: 2, restMm: -1.5, uRestMm: 0.2 }))).toMatchObject({
      why: 'rising',
      value: 2,
    });
    expect(gate('settled', calm({ boundMm: 2, restMm: 1.5, uRestMm: 0.2 })).why).toBe('falling');
    const short = gate('settled', calm({ boundMm: 2, restMm: 0.1, uRestMm: 0.8 }));
    expect(short.why).toBe('too-short');
    expect(short.words).toBe(
      'The level looks settled, but was watched too short to be sure: it may have 2.00 mm to go, 1.00 mm allowed.',
    );
    expect(gate('settled', { ...calm({ boundMm: 2 }), changedUs: 19_000_000 }).why).toBe('changed');
    expect(gate('settled', { calm: null, changedUs: 19_000_000 }).why).toBe('changed');
    expect(gate('settled', { calm: null }).why).toBe('no-value-yet');
  });

  test('of two doubtful values, or one that lasts, and of a value overdue, is said to be unclear', () => {
    const doubtful = (count: number, forUs: number, stepUs: number, overdue = false) => ({
      doubtful: { count, suspicion: count, forUs, stepUs, overdue },
    });
    const settled = (facts: Partial<GateFacts>) => gate('settled', facts, ALL_OPEN);
    expect(settled(doubtful(1, 200_000, 200_000)).open).toBe(true);
    expect(settled(doubtful(2, 200_000, 200_000)).open).toBe(true);
    expect(settled(doubtful(2, 400_000, 200_000)).why).toBe('unclear');
    // Shut once, it opens when ordinary values outweigh the doubtful ones.
    expect(gate('settled', doubtful(1, 200_000, 200_000)).why).toBe('unclear');
    expect(gate('settled', doubtful(1, 0, 2_000_000)).why).toBe('unclear');
    expect(gate('settled', doubtful(0, 0, 2_000_000, true)).why).toBe('overdue');
  });
});

describe('air in the fluid', () => {
  const heard = (useful: (i: number) => boolean, strength: (i: number) => number | null, n = 600) => {
    const air = emptyAir();
    for (let i = 0; i < n; i++) hearEcho(air, i * 200_000, useful(i), strength(i), 200_000);
    return air;
  };

  test('shows as echoes that are lost, together or scattered', () => {
    const together = {
      air: heard(
        (i) => i < 597,
        () => null,
      ),
    };
    expect(gate('air', together, ALL_OPEN)).toMatchObject({ open: false, why: 'echoes-lost' });
    const scattered = {
      air: heard(
        (i) => i % 2 === 0,
        () => null,
      ),
    };
    expect(gate('air', scattered, ALL_OPEN).open).toBe(false);
    expect(
      gate('air', {
        air: heard(
          (i) => i % 20 !== 0,
          () => null,
        ),
      }).open,
    ).toBe(true);
  });

  test('shows as values that do not come at all', () => {
    const air = heard(
      () => true,
      () => null,
    );
    hearEcho(air, 600 * 200_000 + 2_000_000, true, null, 200_000);
    expect(air.lostShare).toBeGreaterThan(0.1);
    expect(isAiry(air, 122_000_000)).toBe(true);
    expect(isAiry(air, 138_000_000)).toBe(false);
  });

  test('shows on a bench that seldom loses any by fewer lost ones than on one that always does', () => {
    const losing = (share: number, n: number) => (i: number) => i < n || (i * 0.618_034) % 1 >= share;
    const fast = (useful: (i: number) => boolean) => {
      const air = emptyAir();
      for (let i = 0; i < 6000; i++) hearEcho(air, i * 20_000, useful(i), null, 20_000);
      return gate('air', { air }, ALL_OPEN).open;
    };
    expect(fast(losing(0.19, 5700))).toBe(false);
    expect(fast(losing(0.1, 5700))).toBe(true);
    expect(fast(losing(0.19, 0))).toBe(true);
  });

  test('shows as an echo that fades, not as one that always was weak', () => {
    const fading = {
      air: heard(
        () => true,
        (i) => (i < 500 ? 80 : 50),
      ),
    };
    expect(gate('air', fading, ALL_OPEN)).toMatchObject({ open: false, why: 'echo-fading' });
    expect(
      gate('air', {
        air: heard(
          () => true,
          () => 50,
        ),
      }).open,
    ).toBe(true);
  });
});

describe('a sensor that is stuck', () => {
  const repeats = (values: (i: number) => number, n: number) => {
    const stuck = emptyStuck();
    for (let i = 0; i < n; i++) hearRepeat(stuck, i * 200_000, values(i), 50);
    return stuck;
  };

  test('is told from one that is coarse', () => {
    const noise = gaussian(8);
    const fine = (i: number) => (i < 300 ? Math.round(100 * (62 + 0.1 * noise())) : 6200);
    expect(isUnlikely(repeats(fine, 300))).toBe(false);
    expect(isUnlikely(repeats(fine, 330))).toBe(true);
    const coarse = gaussian(9);
    expect(isUnlikely(repeats(() => Math.round(2 * (62.1 + 0.05 * coarse())), 3000))).toBe(false);
  });

  test('at the end of its range is known by its farthest signal coming again and again', () => {
    const noise = gaussian(12);
    const clipped = (share: number) => (i: number) =>
      i < 200
        ? Math.round(100 * (62 + 0.1 * noise()))
        : Math.min(6300, Math.round(100 * (63 + 0.1 * (noise() + share))));
    expect(isAtItsEnd(repeats(clipped(0), 200))).toBe(false);
    expect(isAtItsEnd(repeats(clipped(1), 240))).toBe(true);
    // Coarse steps come again and again too.
    const coarse = gaussian(13);
    expect(isAtItsEnd(repeats(() => Math.round(2 * (62.2 + 0.1 * coarse())), 600))).toBe(false);
    // And back from it, it is not at its end any more.
    const back = (i: number) => (i < 240 ? clipped(1)(i) : Math.round(100 * (61 + 0.1 * noise())));
    expect(isAtItsEnd(repeats(back, 280))).toBe(false);
  });

  test('shows on a coarse sensor when the temperature should have moved it', () => {
    const stuck = repeats(() => 62, 100);
    expect(isDeaf(stuck, 52, 0.25, 0.5, 1)).toBe(false);
    expect(isDeaf(stuck, 60, 0.25, 0.5, 1)).toBe(true);
  });

  test('or at the end of its range shuts the gate, and says so', () => {
    expect(gate('answers', { atEnd: true })).toMatchObject({ open: false, why: 'at-end' });
  });

  test('shuts the gate with how long', () => {
    expect(gate('answers', { stuckUs: 4_500_000 })).toMatchObject({ open: false, why: 'stuck', value: 4.5, unit: 's' });
  });
});

test('stale and missing values shut the fresh gate with their name', () => {
  const old = { level: { id: 'level', value: 62, ageUs: 1_500_000, staleAfterUs: 1_000_000 } };
  expect(gate('fresh', old)).toMatchObject({ open: false, value: 1.5, words: 'No new value for 1.5 s: level.' });
  const none = { level: { id: 'level', value: null, ageUs: null, staleAfterUs: 1_000_000 } };
  expect(gate('fresh', none)).toMatchObject({ open: false, words: 'Nothing has come yet: level.' });
});

test('a gate about the sensor says nothing of it while nothing comes from it', () => {
  const silent = { level: { id: 'level', value: null, ageUs: null, staleAfterUs: 1_000_000 } };
  for (const id of ['answers', 'air'] as const) {
    expect(gate(id, silent)).toMatchObject({
      open: true,
      why: 'unheard',
      words: expect.stringContaining('cannot be told'),
    });
    expect(gate(id, {}).why).not.toBe('unheard');
  }
});
