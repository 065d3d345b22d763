/** Targets and verdicts through the core: actions in, numbered outcomes out. */
import { describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { carry, NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { BenchDescription, MatchDescription } from '../../src/core/description.ts';
import type { ActionBody } from '../../src/core/events.ts';
import { compareEntries } from '../../src/replay/compare.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig, noise } from '../support/core-rig.ts';

const MATCH: MatchDescription = {
  toleranceMm: 1,
  rule: { by: 'probability', probability: 0.95 },
  refitMm: 0.1,
  refits: null,
  newFluidMm: 0,
  target: null,
};

function benchWith(match: MatchDescription | null): BenchDescription {
  return { ...testBench, measure: { ...testBench.measure, match } };
}

/** A bench that talks, and acts on what it is asked. */
function rigWith(match: MatchDescription | null, carried = NOTHING_CARRIED) {
  const rig = new CoreRig(benchWith(match), drivers, carried);
  rig.open('probe');
  rig.open('sonar');
  const ripple = noise(29);
  const ask = (body: ActionBody) => {
    const revision = rig.state?.carried.revision ?? 0;
    rig.admit({
      kind: 'action',
      actionId: `ask-${rig.seq}`,
      actor: 'Ines',
      role: 'technician',
      expectedRevision: revision,
      body,
    });
    return rig.outcomes('action').at(-1)?.refusal;
  };
  /** The level stands at `mm` until it is read. */
  const readAt = (mm: number) => {
    const before = rig.outcomes('reading').length;
    // Out of calm first, so that the next calm gives a reading.
    rig.run(
      3,
      () => 50,
      (t) => mm + 3 * Math.sin(9 * t),
    );
    rig.run(
      16,
      () => 50,
      () => mm + 0.02 * ripple(),
    );
    expect(rig.outcomes('reading')).toHaveLength(before + 1);
  };
  return { rig, ask, readAt };
}

describe('a target taken from a reading of the job', () => {
  const { rig, ask, readAt } = rigWith(MATCH);
  ask({ type: 'start-job', label: 'Overhaul' });
  readAt(62);
  const refusedBefore = ask({ type: 'accept', reason: 'too early' });
  const unknown = ask({ type: 'set-target', target: { from: 'reading', reading: 7 } });
  ask({ type: 'set-target', target: { from: 'reading', reading: 1 } });
  readAt(62.3);
  const clear = ask({ type: 'accept', reason: 'not needed' });
  readAt(62.95);
  ask({ type: 'accept', reason: 'The dipstick says the same.' });
  const twice = ask({ type: 'accept', reason: 'once more' });
  readAt(64);

  test('is on record, and every reading after it gets a verdict', () => {
    expect(rig.outcomes('target')).toMatchObject([{ target: { from: 'reading', reading: 1 } }]);
    expect(rig.outcomes('verdict').map(({ verdict }) => [verdict.reading, verdict.result])).toEqual([
      [2, 'within'],
      [3, 'undecided'],
      [3, 'undecided'],
      [4, 'above'],
    ]);
  });

  test('the error of the instruments, common to both, does not stand between them', () => {
    const { judged } = rig.outcomes('verdict')[0]?.verdict ?? expect.fail();
    const reading = rig.outcomes('reading')[1]?.reading ?? expect.fail();
    expect(judged?.differenceMm).toBeCloseTo(0.3, 1);
    // Two fittings of 0.1 mm, and how well each had settled.
    const u = (judged?.U95Mm ?? 0) / (judged?.coverageFactor ?? 1);
    expect(u).toBeGreaterThan(0.1 * Math.sqrt(2));
    expect(u).toBeLessThan(0.2);
    expect(reading.U95Mm / reading.coverageFactor).toBeGreaterThan(0.12);
  });

  test('an undecided one may be accepted once, with a name and a reason', () => {
    expect(rig.outcomes('verdict')[2]?.verdict).toMatchObject({
      reading: 3,
      result: 'undecided',
      accepted: { actor: 'Ines', reason: 'The dipstick says the same.' },
    });
    expect([refusedBefore, clear, twice]).toEqual(Array(3).fill('nothing-to-accept'));
  });

  test('a reading that the job does not hold is none', () => {
    expect(unknown).toBe('no-such-reading');
  });

  test('a new target begins without a verdict', () => {
    const again = rigWith(MATCH);
    again.ask({ type: 'start-job', label: 'x' });
    again.ask({ type: 'set-target', target: { from: 'level', levelMm: 61.05, uMm: 0 } });
    again.readAt(62);
    expect(again.rig.state?.carried.lastVerdict?.result).toBe('undecided');
    again.ask({ type: 'set-target', target: { from: 'level', levelMm: 70, uMm: 0 } });
    expect(again.rig.state?.carried.lastVerdict).toBeNull();
    expect(again.ask({ type: 'accept', reason: 'of the old target' })).toBe('nothing-to-accept');
  });

  test('the end of the job is the end of its target', () => {
    expect(rig.state?.carried).toMatchObject({ target: { from: 'reading' }, lastVerdict: { reading: 4 } });
    const verdicts = rig.outcomes('verdict').length;
    ask({ type: 'close-job' });
    expect(rig.state?.carried).toMatchObject({ target: null, lastVerdict: null, jobReadings: [] });
    readAt(62);
    expect(rig.outcomes('verdict')).toHaveLength(verdicts);
    expect(ask({ type: 'set-target', target: { from: 'level', levelMm: 62, uMm: 0 } })).toBe('no-job');
    expect(ask({ type: 'accept', reason: 'x' })).toBe('no-job');
  });

  test('the same inputs give the same verdicts', () => {
    expect(compareEntries(rig.entries, drivers)).toMatchObject({ difference: null });
  });

  test('the fold of the outcomes is what the core carries', () => {
    let carried = NOTHING_CARRIED;
    for (const entry of rig.entries) if (entry.kind === 'outcome') carried = carry(carried, entry.outcome);
    expect(carried).toEqual(rig.state?.carried);
  });
});

test('a target survives a restart', () => {
  const before = rigWith(MATCH);
  before.ask({ type: 'start-job', label: 'Overhaul' });
  before.readAt(62);
  before.ask({ type: 'set-target', target: { from: 'reading', reading: 1 } });
  const after = rigWith(MATCH, structuredClone(before.rig.state?.carried));
  after.readAt(62.1);
  expect(after.rig.outcomes('verdict')).toMatchObject([{ verdict: { reading: 2, result: 'within' } }]);
});

test('a level as the target: typed in the job, or fixed in the bench', () => {
  const typed = rigWith(MATCH);
  typed.ask({ type: 'start-job', label: 'x' });
  typed.ask({ type: 'set-target', target: { from: 'level', levelMm: 60, uMm: 0.1 } });
  typed.readAt(62);
  expect(typed.rig.outcomes('verdict')).toMatchObject([
    { verdict: { result: 'above', target: { from: 'level', levelMm: 60, uMm: 0.1 } } },
  ]);
  const fixed = rigWith({ ...MATCH, target: { levelMm: 62, uMm: 0.1 } });
  fixed.ask({ type: 'start-job', label: 'x' });
  expect(fixed.rig.outcomes('target')).toMatchObject([{ target: { from: 'level', levelMm: 62, uMm: 0.1 } }]);
  fixed.readAt(62);
  expect(fixed.rig.outcomes('verdict')).toMatchObject([{ verdict: { result: 'within' } }]);
});

test.each([
  ['a level that cannot be', { from: 'level', levelMm: 900, uMm: 0 }, 'out-of-range'],
  ['an uncertainty below nothing', { from: 'level', levelMm: 60, uMm: -1 }, 'out-of-range'],
  ['no number', { from: 'level', levelMm: Number.NaN, uMm: 0 }, 'out-of-range'],
] as const)('%s is refused as a target', (_what, target, refusal) => {
  const { ask } = rigWith(MATCH);
  ask({ type: 'start-job', label: 'x' });
  expect(ask({ type: 'set-target', target })).toBe(refusal);
});

test('a bench without a tolerance has no targets', () => {
  const { ask, rig, readAt } = rigWith(null);
  ask({ type: 'start-job', label: 'x' });
  expect(ask({ type: 'set-target', target: { from: 'level', levelMm: 62, uMm: 0 } })).toBe('no-tolerance');
  readAt(62);
  expect(rig.outcomes('verdict')).toEqual([]);
});

test('only the newest readings of a job are kept for a target', () => {
  const { ask, rig, readAt } = rigWith(MATCH);
  ask({ type: 'start-job', label: 'x' });
  readAt(62);
  for (let i = 0; i < 12; i++) ask({ type: 'take-reading' });
  expect(rig.state?.carried.jobReadings.map(({ id }) => id)).toEqual(Array.from({ length: 12 }, (_, i) => i + 2));
  expect(ask({ type: 'set-target', target: { from: 'reading', reading: 1 } })).toBe('no-such-reading');
  expect(ask({ type: 'set-target', target: { from: 'reading', reading: 2 } })).toBeNull();
});
