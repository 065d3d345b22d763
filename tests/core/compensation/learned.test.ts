import { describe, expect, test } from 'vitest';
import { addWarming, emptyWarming, learn } from '../../../src/core/compensation/learned.ts';
import { agrees, modelSlope } from '../../../src/core/compensation/model-slope.ts';
import { testBench } from '../../support/bench.ts';
import { noise } from '../../support/core-rig.ts';
import { OIL } from '../fluids/oils.ts';
import { TAPERED } from '../vessels/vessels.ts';

const USE_C = 50;

/** A warm-up at 0.05 K a sample with noise of ±0.2 mm. */
function warmed(fromC: number, toC: number, mmAt: (tC: number) => number, seed = 17) {
  const state = emptyWarming();
  const random = noise(seed);
  for (let tC = fromC; tC <= toC; tC += 0.05) addWarming(state, tC, mmAt(tC) + 0.2 * random());
  return state;
}

describe('a slope learned from a warm-up', () => {
  test('is the true one within its standard error: 200 warm-ups, 95 % within two', () => {
    let within = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const { learned } = learn(
        warmed(25, 49, (tC) => 60 + 0.14 * (tC - 50), seed * 7919),
        USE_C,
      );
      expect(learned).not.toBeNull();
      if (learned !== null && Math.abs(learned.mmPerK - 0.14) <= 2 * learned.uMmPerK) within++;
    }
    // Binomial with p = 0.954: 181 of 200 is 3.3 standard deviations below; wider than needed is no fault here.
    expect(within).toBeGreaterThan(181);
  });

  test('tells where it comes from', () => {
    const { learned } = learn(
      warmed(25, 49, (tC) => 60 + 0.14 * tC),
      USE_C,
    );
    expect(learned?.fromC).toBeCloseTo(25, 0);
    expect(learned?.toC).toBeCloseTo(49, 0);
    expect(learned?.points).toBeGreaterThan(80);
    expect(learned?.uMmPerK).toBeLessThan(0.01);
  });

  test('a short warm-up teaches nothing', () => {
    expect(
      learn(
        warmed(44, 49, (tC) => 60 + 0.14 * tC),
        USE_C,
      ),
    ).toEqual({ learned: null, refusal: 'too-short' });
    expect(learn(emptyWarming(), USE_C).refusal).toBe('too-short');
  });

  test('a bent one is refused', () => {
    expect(
      learn(
        warmed(20, 49, (tC) => 60 + 0.006 * (tC - 20) * (tC - 20)),
        USE_C,
      ).refusal,
    ).toBe('curved');
  });

  test('one in which fluid was added is refused', () => {
    expect(
      learn(
        warmed(20, 49, (tC) => 60 + 0.14 * tC + (tC > 48 ? 6 : 0)),
        USE_C,
      ).refusal,
    ).toBe('jumped');
  });

  test('noise that hangs together makes it less sure', () => {
    const wander = (tC: number) => 0.15 * Math.sin(tC * 1.1);
    const alone =
      learn(
        warmed(25, 49, (tC) => 60 + 0.14 * tC),
        USE_C,
      ).learned?.uMmPerK ?? 0;
    const together =
      learn(
        warmed(25, 49, (tC) => 60 + 0.14 * tC + wander(tC)),
        USE_C,
      ).learned?.uMmPerK ?? 0;
    expect(together).toBeGreaterThan(2 * alone);
  });

  test('only warming teaches: what cools again is not taken, and a new warm-up begins anew', () => {
    const state = warmed(25, 49, (tC) => 60 + 0.14 * tC);
    const steps = state.steps.length;
    for (let tC = 49; tC > 48.2; tC -= 0.05) addWarming(state, tC, 90);
    expect(state.steps.length).toBe(steps);
    addWarming(state, 30, 60);
    expect(state.steps.length).toBe(0);
  });
});

describe('held against what the bench says of itself', () => {
  const bench = { ...testBench, fluid: OIL, vessel: TAPERED };
  const place = { levelMm: 52, temperatureC: 40, referenceC: 50, circuitC: null, circuitState: 'none', learned: null };
  const model = modelSlope(bench, place);

  test('the model is that of fluid and vessel where there are both', () => {
    // Level × expansion, walls left out of the estimate: 52 + 6 mm over the floor × about 0.0008 per kelvin.
    expect(model?.mmPerK).toBeGreaterThan(0.03);
    expect(model?.mmPerK).toBeLessThan(0.06);
    expect(model?.uMmPerK).toBeGreaterThan(0);
    expect(modelSlope(testBench, place)?.mmPerK).toBeCloseTo(0.25, 12);
  });

  test('agreement is a matter of their uncertainties', () => {
    if (model === null) throw new Error('no model');
    const learned = { mmPerK: model.mmPerK + 0.01, uMmPerK: 0.006, fromC: 25, toC: 48, points: 80 };
    expect(agrees(learned, model)).toBe(true);
    expect(agrees({ ...learned, mmPerK: model.mmPerK + 0.2 }, model)).toBe(false);
  });
});
