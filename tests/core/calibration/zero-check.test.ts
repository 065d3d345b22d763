/** The zero on a block, before and after the readings of a job. */
import { expect, test } from 'vitest';
import { drivers } from '../../../drivers/index.ts';
import type { MatchDescription } from '../../../src/core/description.ts';
import type { ActionBody } from '../../../src/core/events.ts';
import { testBench } from '../../support/bench.ts';
import { CoreRig } from '../../support/core-rig.ts';

let count = 0;
function ask(rig: CoreRig, body: ActionBody) {
  count += 1;
  const expectedRevision = rig.state?.carried.revision ?? 0;
  rig.admit({ kind: 'action', actionId: `asked-${count}`, actor: 'Mira', role: 'technician', expectedRevision, body });
  return rig.outcomes('action').at(-1);
}

function atWork(bench = testBench) {
  const rig = new CoreRig(bench, drivers);
  rig.open('probe');
  rig.open('sonar');
  return rig;
}

const block = (rig: CoreRig, mm: number) => {
  rig.run(
    4,
    () => 50,
    () => mm,
  );
  return ask(rig, { type: 'check-zero', expectedMm: 40 });
};

test('only in a job, and only while it is calm', () => {
  const rig = atWork();
  rig.run(
    4,
    () => 50,
    () => 40,
  );
  expect(ask(rig, { type: 'check-zero', expectedMm: 40 })?.refusal).toBe('no-job');
  ask(rig, { type: 'start-job', label: 'Bay 3' });
  let n = 0;
  rig.run(
    4,
    () => 50,
    () => 40 + (n++ % 2) * 9,
  );
  expect(ask(rig, { type: 'check-zero', expectedMm: 40 })?.refusal).toBe('not-calm');
  rig.advanceTo(rig.tUs + 20e6);
  expect(ask(rig, { type: 'check-zero', expectedMm: 40 })?.refusal).toBe('not-calm');
});

test('a drift within the limit goes into the budget as width/√12 and marks nothing', () => {
  const rig = atWork();
  ask(rig, { type: 'start-job', label: 'Bay 3' });
  block(rig, 40.05);
  expect(rig.outcomes('zero-check')[0]?.check).toMatchObject({ driftMm: null, suspect: [], limitMm: 0.1 * 3 });
  expect(rig.outcomes('zero-check')[0]?.check.errorMm).toBeCloseTo(0.05, 9);
  rig.run(
    10,
    () => 50,
    () => 62,
  );
  block(rig, 40.17);
  const second = rig.outcomes('zero-check')[1]?.check;
  expect(second?.driftMm).toBeCloseTo(0.12, 9);
  expect(second?.suspect).toEqual([]);
  rig.run(
    10,
    () => 50,
    () => 62,
  );
  const lines = rig
    .outcomes('reading')
    .map(({ reading }) => reading.budget.find(({ component }) => component === 'zero between its checks'));
  expect(lines[0]).toBeUndefined();
  expect(lines.at(-1)?.u).toBeCloseTo(0.12 / Math.sqrt(12), 9);
});

test('a drift over the limit marks the readings since the check before, durably', () => {
  const rig = atWork({ ...testBench, measure: { ...testBench.measure, zeroLimitMm: 0.2 } });
  rig.run(
    10,
    () => 50,
    () => 62,
  );
  ask(rig, { type: 'start-job', label: 'Bay 3' });
  block(rig, 40);
  const before = rig.outcomes('reading').length;
  rig.run(
    10,
    () => 50,
    () => 62,
  );
  const between = rig
    .outcomes('reading')
    .slice(before)
    .map(({ reading }) => reading.id);
  expect(between.length).toBeGreaterThan(0);
  block(rig, 40.3);
  const check = rig.outcomes('zero-check').at(-1)?.check;
  expect(check?.limitMm).toBe(0.2);
  expect(check?.suspect).toEqual(expect.arrayContaining(between));
  expect(check?.suspect).not.toContain(1);
  expect(rig.state?.carried.zero?.checks).toHaveLength(2);
  expect(rig.outcomes('alarm').at(-1)).toMatchObject({
    alarm: 'zero-moved',
    source: 'level',
    state: 'active',
    why: expect.stringMatching(/^the zero moved by 0\.30 mm: readings? \d+/),
  });
  ask(rig, { type: 'close-job' });
  expect(rig.outcomes('alarm').at(-1)).toMatchObject({ alarm: 'zero-moved', state: 'returned' });
  expect(rig.state?.carried.zero).toBeNull();
});

test('what the zero has moved counts in the verdict on target and reading, both taken before it was known', () => {
  const match: MatchDescription = {
    ...{ toleranceMm: 1, rule: { by: 'probability', probability: 0.95 }, refitMm: 0, refits: null, newFluidMm: 0 },
    target: null,
  };
  const rig = atWork({ ...testBench, measure: { ...testBench.measure, match, zeroLimitMm: 0.5 } });
  const calm = (mm: number) => {
    rig.run(
      3,
      () => 50,
      (t) => mm + 5 * Math.sin(9 * t),
    );
    rig.run(
      20,
      () => 50,
      () => mm,
    );
  };
  ask(rig, { type: 'start-job', label: 'Bay 3' });
  block(rig, 40);
  calm(62);
  const reading = rig.outcomes('reading').at(-1)?.reading.id ?? 0;
  ask(rig, { type: 'set-target', target: { from: 'reading', reading } });
  calm(62.2);
  const before = rig.outcomes('verdict').at(-1)?.verdict;
  const last = rig.outcomes('reading').at(-1)?.reading.id;
  // Too cold to be read: the sensor stands on its block.
  rig.run(
    30,
    () => 20,
    () => 40.3,
  );
  ask(rig, { type: 'check-zero', expectedMm: 40 });
  const after = rig.outcomes('verdict').at(-1)?.verdict;
  expect(after?.reading).toBe(last);
  // Two rectangular errors of half width 0.15 mm, √2 × 0.15/√3 (GUM 4.3.7), beside what was there.
  const u = (one: typeof before) => (one?.judged?.U95Mm ?? 0) / (one?.judged?.coverageFactor ?? 1);
  expect(u(after) ** 2 - u(before) ** 2).toBeCloseTo(2 * (0.15 / Math.sqrt(3)) ** 2, 6);
  expect(after?.judged?.budget.filter(({ component }) => component.startsWith('zero between'))).toHaveLength(2);
});
