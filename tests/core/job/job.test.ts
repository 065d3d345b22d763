/** A job from its start to its end, by a procedure: what it asks for, what it refuses, what it works out. */
import { describe, expect, test } from 'vitest';
import { drivers } from '../../../drivers/index.ts';
import { carry, NOTHING_CARRIED } from '../../../src/core/carried.ts';
import type { ProcedureDescription } from '../../../src/core/job/procedure.ts';
import { standing } from '../../../src/core/job/progress.ts';
import { compareEntries } from '../../../src/replay/compare.ts';
import { testBench } from '../../support/bench.ts';
import { bayBench, JobBay } from '../../support/job-bay.ts';
import { PROCEDURE } from '../../support/procedure.ts';

function drained(bay: JobBay): void {
  bay.toFirstReading();
  bay.ask({ type: 'answer', step: 'worth', answer: 'yes' });
  bay.tick('stop', ['off']);
}

/** Up to the reading after the refill, `overL` more in than came out. */
function refilled(bay: JobBay, overL: number): void {
  drained(bay);
  bay.pour('out', 2);
  bay.pour('out', 1);
  bay.tick('drain', []);
  bay.enter('label', 'iso-vg 46');
  bay.tick('label', []);
  bay.pour('in', 3 + overL);
  bay.tick('refill', []);
  bay.tick('start-again', ['runs']);
  bay.calm(60);
}

describe('a matching job', () => {
  test('goes from set-up to its last step, and its readings are taken where it asks for them', () => {
    const bay = new JobBay();
    expect(bay.start()).toBeNull();
    bay.calm(40);
    expect(bay.rig.outcomes('reading'), 'no reading while the set-up is not done').toHaveLength(0);
    expect(bay.tick('set-up', ['level'])).toBeNull();
    expect(bay.at).toBe('set-up');
    expect(bay.tick('set-up', ['couplant'], { note: 'on the left' })).toBeNull();
    expect(bay.at).toBe('machine');
    bay.enter('held', 8);
    bay.enter('required', 'ISO VG 46');
    expect(bay.at).toBe('start');
    bay.tick('start', ['runs']);
    bay.calm(40);
    expect(bay.rig.outcomes('reading')).toHaveLength(1);
    expect(bay.carried.target).toMatchObject({ from: 'reading', reading: { id: 1 } });
    expect(bay.at).toBe('worth');
    bay.ask({ type: 'answer', step: 'worth', answer: 'yes' });
    bay.tick('stop', ['off']);
    bay.pour('out', 3);
    bay.tick('drain', []);
    bay.enter('label', 'ISO VG 46');
    bay.tick('label', []);
    bay.pour('in', 3.3);
    bay.tick('refill', []);
    bay.tick('start-again', ['runs']);
    bay.calm(60);
    expect(bay.rig.outcomes('verdict').at(-1)?.verdict.result).toBe('above');
    expect(bay.at).toBe('adjust');
    const advice = bay.carried.progress?.advice;
    expect(advice).toMatchObject({ way: 'out', measure: 'jug', unit: 'L' });
    expect(advice?.words.todo).toMatch(/^Drain 0\.\d\d L/);
    let rounds = 0;
    while (bay.at === 'adjust' && rounds < 4) {
      const { way = 'nothing', amount = 0 } = bay.carried.progress?.advice ?? {};
      if (way !== 'nothing') bay.pour(way, amount);
      bay.calm(60);
      rounds++;
    }
    expect(rounds, 'adjustments in a vessel that nobody knew').toBeLessThanOrEqual(3);
    expect(bay.at).toBe('zero');
    expect(Math.abs(bay.levelMm - 60)).toBeLessThan(1);
    expect(bay.ask({ type: 'close-job' })).toBe('steps-left');
    bay.ask({ type: 'skip-step', step: 'zero', reason: '' });
    bay.tick('leaks', ['dry']);
    expect(bay.at).toBeNull();
    expect(bay.ask({ type: 'close-job' })).toBeNull();
    expect(bay.carried.job).toBeNull();
    expect(bay.carried.machineTypes['small pump']?.mmPerLitre).toMatchObject({ count: 1 });
    expect(Math.abs((bay.carried.machineTypes['small pump']?.mmPerLitre.mean ?? 0) - 12)).toBeLessThan(1);
    expect(bay.carried.lastStart).toEqual({ procedure: 'pump-sump', machineType: 'small pump' });
  });

  test('is recomputed from its inputs, to the last outcome', () => {
    const bay = new JobBay();
    refilled(bay, 0.2);
    const compared = compareEntries(bay.rig.entries, drivers);
    expect(compared).toMatchObject({ difference: null });
  });

  test('is the fold of its outcomes: after a power cut it stands where it was', () => {
    const bay = new JobBay();
    refilled(bay, 0.2);
    let carried = NOTHING_CARRIED;
    for (const output of bay.rig.outputs) if (output.kind === 'outcome') carried = carry(carried, output.outcome);
    expect(carried).toEqual(bay.carried);
    const after = new JobBay({ carried, levelMm: bay.levelMm });
    expect(after.at).toBe(bay.at);
    expect(after.carried.progress?.advice).toEqual(bay.carried.progress?.advice);
    const { way = 'nothing', amount = 0 } = after.carried.progress?.advice ?? {};
    expect(way).toBe('out');
    expect(after.pour('out', amount)).toBeNull();
    after.calm(60);
    expect(['adjust', 'zero']).toContain(after.at);
    expect(after.rig.outcomes('verdict')).not.toHaveLength(0);
  });

  test('a dose that did nothing is told, with what may be the matter', () => {
    const bay = new JobBay();
    refilled(bay, 0.5);
    const { amount = 0 } = bay.carried.progress?.advice ?? {};
    // Typed as drained; the tap stayed shut.
    bay.ask({ type: 'record-amount', kind: 'out', amount, measure: 'jug', tC: 50 });
    bay.calm(60);
    bay.pour('out', bay.carried.progress?.advice?.amount ?? 0);
    bay.levelMm += 12;
    bay.calm(60);
    expect(bay.carried.progress?.advice?.words.why).toMatch(/mm higher than it should after .* L out/);
    expect(bay.carried.progress?.advice?.takesS, 'as the rounds before took').toBeLessThan(90);
  });

  test('a kind of machine met before begins with what it taught', () => {
    const bay = new JobBay();
    const carried = {
      ...NOTHING_CARRIED,
      machineTypes: {
        'small pump': {
          name: 'small pump',
          mmPerLitre: { mean: 12, spread: 0.5, count: 3 },
          mmPerK: null,
          warmUpS: null,
        },
      },
    };
    const known = new JobBay({ carried });
    for (const one of [bay, known]) refilled(one, 0.5);
    const amount = (one: JobBay) => one.carried.progress?.advice?.amount ?? 0;
    expect(amount(known), 'no first cautious part of it').toBeGreaterThan(amount(bay));
    for (let i = 0; i < 2 && known.at === 'adjust'; i++) {
      known.pour('out', amount(known));
      known.calm(60);
    }
    expect(known.at).toBe('zero');
  });
});

describe('a step that may not be done says why', () => {
  test('what another step asks for, and what none does', () => {
    const bay = new JobBay();
    expect(bay.tick('set-up', ['level'])).toBe('no-job');
    expect(bay.ask({ type: 'start-job', label: 'x', procedure: 'other' })).toBe('no-such-procedure');
    expect(bay.ask({ type: 'start-job', label: 'x', procedure: 'pump-sump' })).toBe('field-missing');
    bay.start();
    expect(bay.tick('start', ['runs'])).toBe('other-step');
    expect(bay.tick('set-up', ['level', 'moon'])).toBe('no-such-tick');
    expect(bay.ask({ type: 'answer', step: 'set-up', answer: 'yes' })).toBe('step-forbids');
    expect(bay.pour('out', 1)).toBe('step-forbids');
    expect(bay.enter('held', 8)).toBe('other-step');
    expect(bay.enter('moon', 8)).toBe('no-such-entry');
    bay.tick('set-up', ['level', 'couplant']);
    expect(bay.enter('held', 800)).toBe('out-of-range');
    expect(bay.enter('held', 'eight')).toBe('out-of-range');
    expect(bay.tick('machine', [])).toBe('entries-missing');
    expect(bay.ask({ type: 'skip-step', step: 'machine', reason: ' ' })).toBe('reason-missing');
    expect(bay.ask({ type: 'go-back', to: 'refill', reason: 'x' })).toBe('no-such-step');
  });

  test('a job without a procedure has no steps, and a bench without a tolerance no verdict to go by', () => {
    const bay = new JobBay();
    expect(bay.ask({ type: 'start-job', label: 'free' })).toBeNull();
    expect(bay.tick('set-up', [])).toBe('no-procedure');
    const without = new JobBay({ bench: { ...bayBench, measure: testBench.measure } });
    expect(without.start()).toBe('no-tolerance');
  });

  test('another fluid than required blocks, and goes with a reason that is kept', () => {
    const bay = new JobBay();
    drained(bay);
    bay.pour('out', 3);
    bay.tick('drain', []);
    expect(bay.enter('label', 'ISO VG 32')).toBe('mismatch');
    expect(bay.enter('label', 'ISO VG 32', { override: 'the maker allows both' })).toBeNull();
    expect(bay.carried.progress?.entries.at(-1)).toMatchObject({ override: 'the maker allows both' });
  });

  test('the machine is not started before enough is in', () => {
    const bay = new JobBay();
    drained(bay);
    bay.pour('out', 3);
    bay.tick('drain', []);
    bay.enter('label', 'ISO VG 46');
    bay.tick('label', []);
    expect(bay.carried.progress?.advice?.words.todo).toMatch(/^Fill in 3\.\d\d L/);
    bay.pour('in', 1);
    bay.tick('refill', []);
    expect(bay.tick('start-again', ['runs'])).toBe('blocked');
    expect(bay.at).toBe('start-again');
    expect(bay.ask({ type: 'go-back', to: 'refill', reason: 'not enough' })).toBeNull();
    expect(bay.at).toBe('refill');
    bay.pour('in', 2);
    bay.tick('refill', []);
    expect(bay.tick('start-again', ['runs'])).toBeNull();
  });

  test('while the engine stands still nothing counts, and what was calm before does not either', () => {
    const bay = new JobBay();
    bay.start();
    bay.tick('set-up', ['level', 'couplant']);
    bay.enter('held', 8);
    bay.enter('required', 'x');
    bay.tick('start', ['runs']);
    expect(bay.ask({ type: 'engine', running: false })).toBeNull();
    bay.calm(60);
    expect(bay.ask({ type: 'take-reading' })).toBe('engine-off');
    expect(bay.rig.outcomes('reading')).toHaveLength(0);
    expect(bay.ask({ type: 'engine', running: true })).toBeNull();
    expect(bay.rig.state?.steadiness.last).toBeNull();
    bay.calm(40);
    expect(bay.rig.outcomes('reading')).toHaveLength(1);
  });

  test('a paused job takes nothing until it goes on', () => {
    const bay = new JobBay();
    bay.start();
    bay.ask({ type: 'pause-job', reason: 'too hot today' });
    expect(bay.tick('set-up', ['level'])).toBe('paused');
    expect(bay.ask({ type: 'resume-job' })).toBeNull();
    expect(bay.ask({ type: 'resume-job' })).toBe('not-paused');
    expect(bay.tick('set-up', ['level'])).toBeNull();
  });
});

describe('corrections', () => {
  test('stand in the place of what they correct, which is never erased', () => {
    const bay = new JobBay();
    drained(bay);
    bay.pour('out', 2);
    const wrong = bay.carried.progress?.amounts[0]?.event ?? 0;
    expect(
      bay.ask({ type: 'record-amount', kind: 'out', amount: 2.4, measure: 'jug', tC: 50, corrects: wrong }),
    ).toBeNull();
    bay.pour('out', 1);
    const { progress } = bay.carried;
    expect(progress?.amounts).toHaveLength(3);
    expect(progress && standing(progress).map(({ amount }) => amount)).toEqual([2.4, 1]);
    const again = progress?.amounts[1]?.event ?? 0;
    expect(
      bay.ask({ type: 'record-amount', kind: 'out', amount: 0, measure: 'jug', tC: 50, corrects: again }),
    ).toBeNull();
    expect(bay.carried.progress && standing(bay.carried.progress).map(({ amount }) => amount)).toEqual([1]);
    expect(bay.ask({ type: 'record-amount', kind: 'in', amount: 1, measure: 'jug', tC: 50, corrects: wrong })).toBe(
      'no-such-entry',
    );
    expect(bay.enter('held', 9)).toBeNull();
    expect(bay.carried.progress?.entries.filter(({ name }) => name === 'held').at(-1)).toMatchObject({
      value: 9,
      corrects: expect.any(Number),
    });
  });

  test('a typing error is found by the balance, and once corrected it closes', () => {
    const bay = new JobBay({
      carried: {
        ...NOTHING_CARRIED,
        machineTypes: {
          'small pump': {
            name: 'small pump',
            mmPerLitre: { mean: 12, spread: 0.3, count: 5 },
            mmPerK: null,
            warmUpS: null,
          },
        },
      },
    });
    drained(bay);
    bay.pour('out', 3);
    // Caught 3 L, typed 0.3.
    const event = bay.carried.progress?.amounts[0]?.event ?? 0;
    bay.ask({ type: 'record-amount', kind: 'out', amount: 0.3, measure: 'jug', tC: 50, corrects: event });
    bay.tick('drain', []);
    bay.enter('label', 'iso vg 46');
    bay.tick('label', []);
    bay.pour('in', 3);
    bay.tick('refill', []);
    bay.tick('start-again', ['runs']);
    bay.calm(60);
    expect(bay.carried.progress?.balance).toMatchObject({ closed: false });
    expect(bay.carried.progress?.balance?.causes[0]?.kind).toBe('typing');
    bay.ask({ type: 'record-amount', kind: 'out', amount: 3, measure: 'jug', tC: 50, corrects: event });
    expect(bay.carried.progress?.balance).toMatchObject({ closed: true });
  });
});

describe('what a step holds', () => {
  const held: ProcedureDescription = {
    ...PROCEDURE,
    holds: [
      {
        ...{ id: 'pick-up', channel: 'level', quantity: 'length', side: 'above', limit: 30, deadband: 1 },
        ...{ onDelayUs: 0, words: 'Stop the engine.', during: ['drain', 'start-again'] },
      } as const,
    ],
  };

  test('is an alarm when it breaks, blocks the step, and ends with it', () => {
    const bay = new JobBay({ procedure: held });
    bay.levelMm = 25;
    bay.start();
    bay.calm(3);
    expect(bay.rig.outcomes('alarm'), 'armed in its steps only').toHaveLength(0);
    bay.levelMm = 60;
    bay.rig.advanceTo(bay.rig.tUs + 1e6);
    bay.tick('set-up', ['level', 'couplant']);
    bay.enter('held', 8);
    bay.enter('required', 'ISO VG 46');
    bay.tick('start', ['runs']);
    bay.calm(60);
    bay.ask({ type: 'answer', step: 'worth', answer: 'yes' });
    bay.tick('stop', ['off']);
    bay.pour('out', 3);
    bay.calm(20);
    const [alarm] = bay.rig.outcomes('alarm');
    expect(alarm).toMatchObject({
      alarm: 'hold:pick-up',
      source: 'level',
      state: 'active',
      message: 'Stop the engine.',
    });
    expect(bay.tick('drain', [])).toBe('blocked');
    expect(bay.ask({ type: 'acknowledge-alarm', alarm: 'hold:pick-up', source: 'level' })).toBeNull();
    bay.levelMm = 40;
    bay.calm(20);
    expect(bay.rig.outcomes('alarm').at(-1)).toMatchObject({ state: 'returned' });
    expect(bay.tick('drain', [])).toBeNull();
  });

  test('stands over a power cut, and ends with the job', () => {
    const bay = new JobBay({ procedure: held });
    drained(bay);
    bay.levelMm = 20;
    bay.calm(20);
    expect(bay.carried.alarms).toMatchObject([{ alarm: 'hold:pick-up', active: true }]);
    const after = new JobBay({ procedure: held, carried: bay.carried, levelMm: 20 });
    after.calm(5);
    expect(after.carried.alarms).toMatchObject([{ alarm: 'hold:pick-up', active: true }]);
    expect(after.ask({ type: 'close-job', unfinished: 'the customer took it away' })).toBeNull();
    after.calm(1);
    expect(after.carried.alarms).toEqual([]);
  });
});
