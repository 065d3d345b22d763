/** One test for each thing that a level does on a bench. Tolerance 1 mm; noise is seeded. */
import { describe, expect, test } from 'vitest';
import { correlated, gaussian, openShare, opens, shuts, uniform, watch } from '../support/level-rig.ts';

const wave = (mm: number, hz: number, decayS: number, sinceS: number) => (tS: number) =>
  tS < sinceS ? 0 : mm * Math.exp(-(tS - sinceS) / decayS) * Math.sin(2 * Math.PI * hz * (tS - sinceS));

describe('a level that rests', () => {
  test.each([
    ['5 a second', 0.2, 0.1, 8],
    ['50 a second', 0.02, 0.3, 9],
    ['one in 2 s', 2, 0.1, 25],
    ['one in 5 s', 5, 0.05, 50],
  ])('with white noise, %s, is settled soon and stays so', (_rate, everyS, sd, withinS) => {
    const random = gaussian(21);
    const seen = watch(() => 60 + sd * random(), { everyS, forS: 300 });
    expect(opens(seen)).toBeLessThan(withinS);
    expect(openShare(seen, opens(seen) + 10, 300)).toBeGreaterThan(0.98);
  });

  test('with correlated noise has a mean that is worth fewer samples', () => {
    const white = gaussian(22);
    const red = correlated(22, 2);
    const ofWhite = watch(() => 60 + 0.25 * white(), { forS: 200 });
    const ofRed = watch((tS) => 60 + 0.25 * red(tS), { forS: 200 });
    const [w, r] = [ofWhite.at(-1)?.calm, ofRed.at(-1)?.calm];
    if (!w || !r) throw new Error('no judgement');
    // Correlation e^(−0.1) between neighbours: about 20 times fewer.
    expect(r.used / r.effective / (w.used / w.effective)).toBeGreaterThan(4);
    expect(openShare(ofRed, 60, 200)).toBeGreaterThan(0.87);
  });

  test('on steps of 0.5 mm sends the same value for minutes and is settled all the same', () => {
    const random = gaussian(23);
    const seen = watch(() => 60.1 + 0.05 * random(), { forS: 120, resolutionMm: 0.5 });
    expect(opens(seen)).toBeLessThan(30);
    expect(openShare(seen, 40, 120)).toBe(1);
  });

  test('is not upset by wild values, one in eleven, which are counted', () => {
    const random = gaussian(24);
    const chance = uniform(24);
    const seen = watch(() => (chance() < 1 / 11 ? 60 + 80 * (chance() - 0.5) : 60 + 0.1 * random()), { forS: 300 });
    expect(openShare(seen, 20, 300)).toBeGreaterThan(0.95);
    const calm = seen.at(-1)?.calm;
    expect(calm?.setAside).toBeGreaterThan(0);
    expect(Math.abs((calm?.levelMm ?? 0) - 60)).toBeLessThan(0.1);
  });

  test('may lose values and send them at odd times', () => {
    const random = gaussian(25);
    const chance = uniform(25);
    const seen = watch(() => 60 + 0.1 * random(), { forS: 200, jitter: 0.4, lost: () => chance() < 0.1 });
    expect(openShare(seen, 15, 200)).toBeGreaterThan(0.98);
  });

  test('may tremble with an idling engine', () => {
    const random = gaussian(26);
    const seen = watch((tS) => 60 + 0.05 * random() + 0.3 * Math.sin(2 * Math.PI * 17.3 * tS), { forS: 120 });
    expect(opens(seen)).toBeLessThan(15);
    expect(openShare(seen, 20, 120)).toBeGreaterThan(0.97);
  });
});

describe('a level that is on its way', () => {
  test.each([
    [4, 0.2],
    [12, 0.2],
    [20, 0.2],
    [12, 1],
    [12, 0.02],
  ])(
    'draining back with %d s, a value each %d s, opens once it is within the tolerance and soon after',
    (tauS, everyS) => {
      const random = gaussian(31);
      const seen = watch((tS) => 60 - (tS < 30 ? 0 : 5 * Math.exp(-(tS - 30) / tauS)) + 0.08 * random(), {
        everyS,
        forS: 200,
      });
      const withinS = 30 + tauS * Math.log(5);
      const halfS = 30 + tauS * Math.log(10);
      const opened = opens(seen, 31);
      expect(opened).toBeGreaterThan(withinS - 0.05 * tauS);
      expect(opened).toBeLessThan(halfS + 10);
    },
  );

  test('is told with the time that it still takes', () => {
    const random = gaussian(32);
    const seen = watch((tS) => 60 - 6 * Math.exp(-tS / 15) + 0.05 * random(), { forS: 100 });
    const opened = opens(seen);
    const early = seen.find(({ tS }) => tS >= opened - 10);
    const settled = early?.gates[1];
    expect(settled).toMatchObject({ open: false, why: 'rising', unit: 'mm', limit: 1 });
    expect(settled?.toGo?.s).toBeGreaterThan(3);
    expect(settled?.toGo?.s).toBeLessThan(25);
  });

  test('on a ramp is not settled for as long as the ramp lasts', () => {
    const random = gaussian(33);
    const seen = watch((tS) => 60 + 0.1 * tS + 0.05 * random(), { forS: 120 });
    expect(openShare(seen, 5, 120)).toBe(0);
    const slow = watch((tS) => 60 + 0.05 * Math.max(0, tS - 60) + 0.05 * random(), { forS: 200 });
    // Away from the old place by the tolerance after 20 s, and not at rest in a new one.
    expect(openShare(slow, 82, 200)).toBeLessThan(0.1);
  });

  test('in waves is not calm until they have died down', () => {
    const random = gaussian(34);
    for (const hz of [0.5, 1.1, 2]) {
      const swell = wave(12, hz, 3, 20);
      const seen = watch((tS) => 60 + swell(tS) + 0.05 * random(), { everyS: 0.05, forS: 80 });
      // 12 e^(−t/3) is twice the tolerance after 5.4 s, the tolerance after 7.5 s.
      expect(openShare(seen, 21, 25.3), `${hz} Hz`).toBe(0);
      expect(opens(seen, 25), `${hz} Hz`).toBeLessThan(20 + 7.5 + 7);
    }
  });
});

describe('the onset of a change shuts at once', () => {
  const random = gaussian(41);
  const resting = () => 60 + 0.1 * random();

  test.each([
    ['a step up', (s: number) => (s > 0 ? 3 : 0)],
    ['a step down', (s: number) => (s > 0 ? -3 : 0)],
    ['pouring', (s: number) => Math.max(0, s) * 2],
    ['draining', (s: number) => -Math.max(0, s) * 2],
    ['a knock', (s: number) => wave(8, 1.3, 3, 0)(s)],
    ['a sensor that was moved', (s: number) => (s > 0 ? 25 + 3 * random() : 0)],
  ])('%s', (_what, change) => {
    const seen = watch((tS) => resting() + change(tS - 60), { forS: 70 });
    expect(openShare(seen, 30, 60)).toBe(1);
    expect(shuts(seen, 60)).toBeLessThan(61.5);
    expect(['changed', 'unclear']).toContain(seen.find(({ tS, open }) => tS >= 60 && !open)?.gates[1].why);
  });

  test('from a slow sensor too, with the first value that stands apart', () => {
    const seen = watch((tS) => resting() + (tS > 60 ? 4 : 0), { everyS: 2, forS: 70 });
    expect(openShare(seen, 40, 60)).toBe(1);
    expect(shuts(seen, 60)).toBeLessThanOrEqual(62);
  });

  test('and noise alone raises no alarm: none in two hours', () => {
    const seen = watch(resting, { everyS: 0.5, forS: 7200 });
    expect(openShare(seen, 20, 7200)).toBe(1);
    expect(seen.at(-1)?.calm?.changedUs).toBeNull();
  });
});

test('the window grows with the noise and shrinks with the tolerance asked for', () => {
  const opened = (sd: number, toleranceMm: number) => {
    const random = gaussian(61);
    return opens(watch(() => 60 + sd * random(), { forS: 300, toleranceMm }));
  };
  expect(opened(0.4, 1)).toBeGreaterThan(1.5 * opened(0.05, 1));
  expect(opened(0.2, 0.5)).toBeGreaterThan(1.5 * opened(0.2, 5));
});

test('the bound holds: the level is within it of its rest as often as asked for', () => {
  let held = 0;
  let judged = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const random = gaussian(seed);
    const tauS = 4 + (16 * seed) / 60;
    const seen = watch((tS) => 60 - 4 * Math.exp(-tS / tauS) + 0.15 * random(), { forS: 60 });
    const at = seen.find(({ open }) => open);
    if (!at?.calm) continue;
    judged++;
    if (4 * Math.exp(-at.tS / tauS) <= at.calm.boundMm) held++;
  }
  expect(judged).toBeGreaterThan(55);
  expect(held / judged).toBeGreaterThan(0.9);
});
