import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Measure } from '../../../src/core/dosing/amounts.ts';
import { afterDose, afterReading, type Knowledge, knowledgeAt } from '../../../src/core/dosing/knowledge.ts';
import { ANY_MACHINE, type Kept, keptWith, priorOf } from '../../../src/core/dosing/machine-type.ts';
import { type Need, nextDose, type Pouring } from '../../../src/core/dosing/plan.ts';
import { knownVessel, type Response, unknownVessel } from '../../../src/core/dosing/response.ts';
import { stopMark } from '../../../src/core/dosing/timing.ts';
import { vesselFrom } from '../../../src/core/vessels/vessel.ts';
import { TOLD_OIL } from './oil.ts';

const straight: Response = { ...unknownVessel({ mmPerLitre: 10, spread: 4 }), shapePerMm: 0 };
const pan = knownVessel(
  vesselFrom({
    ...{ name: 'pan', floorAtMm: 0, uVolumeShare: 0.02, wall: null, tilt: null },
    shape: {
      ...{ kind: 'tapered-pan', floorLengthMm: 300, floorWidthMm: 200, heightMm: 160 },
      ...{ rimLengthMm: 380, rimWidthMm: 260 },
    },
    sensor: { kind: 'known', alongMm: 0, acrossMm: 0 },
  }),
  50,
);
const pouring: Pouring = {
  ...{ added: TOLD_OIL, drained: TOLD_OIL, levelC: 50, addedC: 20, drainedC: 50, uPouredK: 3 },
};
const measure: Measure = { gauge: { kind: 'volume' }, step: 0.05, uShare: 0.01, uEach: 0.01 };
const need: Need = { targetMm: 80, uTargetMm: 0.1, toleranceMm: 1, acceptMm: 0.8, mostOverMm: 2 };

describe('what is known', () => {
  test('is what weighted least squares over all doses and readings together gives', () => {
    const doses = [0.5, -0.3, 0.8];
    const readings = [60.1, 64.9, 61.8, 70.2];
    const u = 0.2;
    let known = knowledgeAt(straight, { mm: readings[0] as number, uMm: u }, 0);
    for (const [i, litres] of doses.entries()) {
      const expected = afterDose(straight, known, { litres, uLitres: 0 }) as Knowledge;
      known = afterReading(straight, expected, { mm: readings[i + 1] as number, uMm: u }).knowledge;
    }
    // Normal equations for level at first (h) and mm per litre (g), prior 10 ± 4.
    const poured = [0, 0.5, 0.2, 1.0];
    const w = 1 / (u * u);
    const p = 1 / 16;
    const [n, s, ss] = [4 * w, w * 1.7, w * (0.25 + 0.04 + 1) + p];
    const [y, sy] = [
      w * readings.reduce((a, b) => a + b, 0),
      w * readings.reduce((a, b, i) => a + b * (poured[i] as number), 0) + p * 10,
    ];
    const det = n * ss - s * s;
    const h = (y * ss - s * sy) / det;
    const g = (n * sy - s * y) / det;
    expect(known.factor).toBeCloseTo(g, 9);
    expect(known.levelMm).toBeCloseTo(h + g * 1.0, 9);
    expect(known.varFactor).toBeCloseTo(n / det, 9);
    expect(known.varLevel).toBeCloseTo((ss - 2 * s + n) / det, 9);
    expect(known.learnedFrom).toBe(3);
  });

  test('moves by derivatives that are those of differences', () => {
    const h = 1e-4;
    for (const litres of [-0.7, 0.02, 1.3]) {
      const { perLevel, perLitre } = pan.move(70, litres);
      expect(perLevel).toBeCloseTo((pan.move(70 + h, litres).x - pan.move(70 - h, litres).x) / (2 * h), 6);
      expect(perLitre).toBeCloseTo((pan.move(70, litres + h).x - pan.move(70, litres - h).x) / (2 * h), 5);
    }
  });

  test('there and back is where it began', () => {
    const there = pan.move(70, 0.9);
    expect(pan.move(70 + there.x, -0.9).x).toBeCloseTo(-there.x, 9);
  });

  test('nothing is learned from a dose that did not do what it should, and the level is what was read', () => {
    const known = knowledgeAt(pan, { mm: 70, uMm: 0.1 }, 0.01);
    const expected = afterDose(pan, known, { litres: 0.5, uLitres: 0.01 }) as Knowledge;
    // Half a litre into this pan is 6 mm; 0.6 mm as if 0.05 L had gone in.
    const { fits, knowledge, surpriseMm } = afterReading(pan, expected, { mm: 70.6, uMm: 0.1 });
    expect(fits).toBe(false);
    expect(surpriseMm).toBeLessThan(-5);
    expect(knowledge).toMatchObject({ levelMm: 70.6, factor: 1, covariance: 0, learnedFrom: 0 });
  });
});

describe('the next dose', () => {
  const at = (mm: number, response: Response = pan) =>
    nextDose(response, knowledgeAt(response, { mm, uMm: 0.1 }, 0.01), need, { measure, pouring });

  test('what is needed, poured cold, is the volume between the two levels shrunk by the fluid', () => {
    const plan = at(74);
    if (plan.kind !== 'dose') throw new Error(plan.kind);
    const rise = pan.move(74, plan.needed * (TOLD_OIL.density(20).value / TOLD_OIL.density(50).value));
    expect(rise.x).toBeCloseTo(6, 6);
    expect(plan.way).toBe('add');
    expect(plan.amount / measure.step).toBeCloseTo(Math.round(plan.amount / measure.step), 9);
  });

  test('of two amounts that can be poured it takes the one that ends above, where a reading there is sure to be accepted', () => {
    for (const mm of [74, 75.3, 84.2, 86]) {
      const plan = nextDose(pan, knowledgeAt(pan, { mm, uMm: 0.1 }, 0.01), need, {
        ...{ measure: { ...measure, step: 0.02 }, pouring },
      });
      if (plan.kind !== 'dose') throw new Error(plan.kind);
      expect(plan.afterMm).toBeGreaterThanOrEqual(80);
      expect(plan.afterMm).toBeLessThan(80.4);
    }
  });

  test('an addition rather ends above, a drain never below by more than is stated', () => {
    for (let mm = 74; mm < 86; mm += 0.13) {
      const plan = at(mm);
      if (plan.kind !== 'dose') continue;
      if (plan.way === 'add') expect(plan.afterMm + plan.U95Mm).toBeLessThanOrEqual(need.targetMm + need.mostOverMm);
      else expect(plan.afterMm - plan.U95Mm).toBeGreaterThanOrEqual(need.targetMm - need.toleranceMm);
      expect(plan.after.within).toBeGreaterThan(0.95);
    }
  });

  test('in an unknown vessel the first dose is a part of what is needed', () => {
    const plan = at(95, unknownVessel({ mmPerLitre: 10, spread: 4 }));
    if (plan.kind !== 'dose') throw new Error(plan.kind);
    expect(plan.why).toBe('cautious');
    expect(plan.amount).toBeLessThan(0.75 * plan.needed);
  });

  test('an addition into an unknown vessel keeps to the most overfill, however coarse the step', () => {
    const unknown = unknownVessel({ mmPerLitre: 10, spread: 3 });
    let kept = 0;
    for (let mm = 70; mm < 79; mm += 0.07) {
      const plan = nextDose(unknown, knowledgeAt(unknown, { mm, uMm: 0.1 }, 0.01), need, {
        ...{ measure: { ...measure, step: 0.15 }, pouring },
      });
      if (plan.kind !== 'dose' || plan.why === 'as-good-as-it-gets') continue;
      kept++;
      expect(plan.mostPastMm).toBeLessThanOrEqual(need.mostOverMm);
    }
    expect(kept).toBeGreaterThan(90);
  });

  test('by weight it is the same fluid as by volume', () => {
    const known = knowledgeAt(pan, { mm: 70, uMm: 0.1 }, 0.01);
    const scale: Measure = { ...measure, gauge: { kind: 'mass', airDensityKgPerM3: 1.2 } };
    const byVolume = nextDose(pan, known, need, { measure, pouring });
    const byWeight = nextDose(pan, known, need, { measure: scale, pouring });
    if (byVolume.kind !== 'dose' || byWeight.kind !== 'dose') throw new Error('no dose');
    const rho = TOLD_OIL.density(20).value / 1000;
    // 0.15 % of it is buoyancy, 0.015 % that of the weights.
    expect(byWeight.needed / byVolume.needed).toBeCloseTo((rho * (1 - 0.0012 / rho)) / (1 - 1.2 / 8000), 9);
  });

  test('near enough is left alone, and too coarse a measure is named', () => {
    expect(at(80.7).kind).toBe('enough');
    const coarse = nextDose(pan, knowledgeAt(pan, { mm: 81, uMm: 0.1 }, 0.01), need, {
      ...{ measure: { ...measure, step: 1 }, pouring },
    });
    expect(coarse.kind).toBe('finer');
    expect(
      nextDose(pan, knowledgeAt(pan, { mm: 70, uMm: 0.1 }, 0), { ...need, targetMm: 200 }, { measure, pouring }),
    ).toEqual({ kind: 'beyond', what: 'vessel' });
    expect(
      nextDose(pan, knowledgeAt(pan, { mm: 70, uMm: 0.1 }, 0), need, {
        ...{ measure, pouring: { ...pouring, addedC: 400 } },
      }),
    ).toEqual({ kind: 'beyond', what: 'fluid' });
  });

  test('whatever it is asked, every number is one, and an amount is a whole number of steps above 0', () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(
        fc.record({
          ...{ mm: number(-20, 200), target: number(-20, 200), u: number(0, 5), share: number(0, 0.2) },
          ...{ step: number(0.001, 2), accept: number(0.01, 3), known: fc.boolean(), each: number(0, 0.3) },
          ...{ g: number(0.5, 60), spread: number(0.01, 30), pourC: number(-60, 160) },
        }),
        ({ mm, target, u, share, step, accept, known, each, g, spread, pourC }) => {
          const response = known ? pan : unknownVessel({ mmPerLitre: g, spread });
          const plan = nextDose(
            response,
            knowledgeAt(response, { mm, uMm: u }, share),
            { targetMm: target, uTargetMm: u / 2, toleranceMm: 1.2 * accept, acceptMm: accept, mostOverMm: 2 * accept },
            { measure: { ...measure, step, uEach: each }, pouring: { ...pouring, addedC: pourC } },
          );
          expect(JSON.stringify(plan)).not.toContain('null');
          if (plan.kind !== 'dose') return;
          expect(plan.amount).toBeGreaterThan(0);
          expect(plan.amount / step).toBeCloseTo(Math.round(plan.amount / step), 6);
          expect(plan.way).toBe(mm < target ? 'add' : 'drain');
          const then = afterDose(response, knowledgeAt(response, { mm, uMm: u }, share), plan.made) as Knowledge;
          expect(then.levelMm).toBe(plan.afterMm);
          const learned = afterReading(response, then, { mm: target, uMm: u });
          for (const value of Object.values(learned.knowledge)) expect(Number.isFinite(value)).toBe(true);
          expect(learned.knowledge.varLevel).toBeGreaterThanOrEqual(0);
        },
      ),
      { seed: 7, numRuns: 1500 },
    );
  });

  test('the tap is shut before the amount has come, by what still runs, and later by what comes down', () => {
    const known = knowledgeAt(straight, { mm: 70, uMm: 0.1 }, 0);
    expect(stopMark(straight, known, -0.5, { runsOnL: 0, comesDownL: 0 })).toBeCloseTo(65, 9);
    expect(stopMark(straight, known, -0.5, { runsOnL: 0.1, comesDownL: 0 })).toBeCloseTo(66, 9);
    expect(stopMark(straight, known, -0.5, { runsOnL: 0, comesDownL: 0.1 })).toBeCloseTo(64, 9);
  });
});

test('jobs on one kind of machine narrow its prior, and a machine that differs widens it', () => {
  let kept: Kept = ANY_MACHINE;
  for (const found of [8.1, 8.3, 8.0, 8.2, 8.15, 8.1]) kept = keptWith(kept, found, 0.1);
  expect(kept.count).toBe(6);
  expect(kept.mean).toBeCloseTo(8.14, 0);
  expect(priorOf(kept).spread).toBeLessThan(2.5);
  const after = keptWith(kept, 16, 0.1);
  expect(after.spread).toBeGreaterThan(kept.spread);
  expect(priorOf(ANY_MACHINE)).toEqual({ mmPerLitre: ANY_MACHINE.mean, spread: ANY_MACHINE.spread });
  expect(() => unknownVessel({ mmPerLitre: 0, spread: 1 })).toThrow(RangeError);
});
