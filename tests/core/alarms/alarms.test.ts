/** Alarms in the pipeline, in virtual time: deadband and delays, acknowledging, shelving, states of the machine, restarts. */
import { describe, expect, test } from 'vitest';
import { drivers } from '../../../drivers/index.ts';
import { type Carried, carry, NOTHING_CARRIED } from '../../../src/core/carried.ts';
import { AlarmRig, alarmBench, HOT, LOW, OVERHEATED } from '../../support/alarm-rig.ts';
import { testBench } from '../../support/bench.ts';
import { CoreRig } from '../../support/core-rig.ts';

const SHELVE = { type: 'shelve-alarm', ...OVERHEATED, reason: 'The heater is off already.' } as const;
const ACKNOWLEDGE = { type: 'acknowledge-alarm', ...OVERHEATED } as const;

describe('against a limit', () => {
  test('it comes after the on-delay and goes after the off-delay, to the microsecond', () => {
    const rig = new AlarmRig();
    rig.hold(10, 80);
    rig.hold(20, 95);
    rig.hold(5, 88);
    rig.hold(20, 86.9);
    expect(rig.told()).toEqual([
      // the first value of a jump is doubted: the second, half a second later, begins the delay
      '15.5 overheated active → unacknowledged',
      '45.5 overheated returned → returned-unacknowledged',
    ]);
    expect(rig.outcomes('alarm')).toMatchObject([
      {
        source: 'temperature',
        priority: 'high',
        message: 'Stop heating.',
        value: 95,
        limit: 90,
        unit: 'Cel',
        why: 'temperature 95.0 °C is above 90.0 °C',
      },
      { value: 86.9, why: 'temperature 86.9 °C is down to 87.0 °C again' },
    ]);
  });

  test('the core asks to be woken when a delay ends, also between two values', () => {
    const rig = new AlarmRig({ ...alarmBench, alarms: [{ ...HOT, onDelayUs: 300_000 }] });
    rig.hold(10, 89.5);
    rig.line('probe', 'T=90.50 C ok');
    rig.line('probe', 'T=90.50 C ok');
    expect(rig.wakeAtUs).toBeLessThanOrEqual(10_300_000);
    rig.advanceTo(10_400_000);
    expect(rig.told()).toEqual(['10.3 overheated active → unacknowledged']);
  });

  test('one wild value neither raises nor clears it', () => {
    const rig = new AlarmRig({ ...alarmBench, alarms: [{ ...HOT, onDelayUs: 0, offDelayUs: 0 }] });
    rig.hold(10, 80);
    rig.line('probe', 'T=999.90 C ok');
    rig.line('probe', 'T=85.00 C ok');
    rig.hold(5, 80);
    expect(rig.told()).toEqual([]);
  });

  test('a channel that is stale neither raises nor clears it, and its delay begins anew', () => {
    const rig = new AlarmRig();
    rig.hold(10, 80);
    rig.hold(3, 95);
    rig.advanceTo(60e6);
    expect(rig.told().filter((one) => one.includes('overheated'))).toEqual([]);
    rig.hold(4.9, 95);
    expect(rig.told().filter((one) => one.includes('overheated'))).toEqual([]);
    rig.hold(1, 95);
    expect(rig.told().at(-1)).toBe('65 overheated active → unacknowledged');
    rig.advanceTo(300e6);
    expect(rig.told().at(-1)).toMatch(/instrument-lost active/);
    expect(rig.carried.alarms.find(({ alarm }) => alarm === 'overheated')).toMatchObject({ active: true });
  });

  test('a gap in the record begins the delay anew', () => {
    const rig = new AlarmRig();
    rig.hold(10, 80);
    rig.hold(4, 95);
    rig.admit({ kind: 'gap', cause: 'clock-jump', lostUs: 0, lostFrames: 0, ongoing: false });
    rig.hold(4.9, 95);
    expect(rig.told()).toEqual([]);
    rig.hold(1, 95);
    expect(rig.told()).toEqual(['19 overheated active → unacknowledged']);
  });

  test('while nothing is recorded nothing is decided', () => {
    const rig = new AlarmRig();
    rig.hold(10, 80);
    rig.admit({ kind: 'gap', cause: 'journal-behind', lostUs: 0, lostFrames: 0, ongoing: true });
    rig.hold(20, 95);
    expect(rig.told()).toEqual([]);
    expect(rig.act(ACKNOWLEDGE)).toMatchObject({ refusal: 'not-recording' });
  });
});

describe('a watched channel that gives no good value', () => {
  const lost = (rig: AlarmRig) => rig.told().filter((one) => one.includes('value-lost'));

  test('a level that falls out of the range of the sensor passes no limit: that calls by itself', () => {
    const rig = new AlarmRig();
    rig.hold(10, 60, 60);
    rig.hold(10, 60, 2);
    expect(rig.told()).toEqual(['12.5 value-lost active → unacknowledged']);
    rig.hold(5, 60, 60);
    expect(lost(rig).at(-1)).toMatch(/value-lost returned → returned-unacknowledged/);
  });

  test('also where none was ever good', () => {
    const rig = new AlarmRig();
    rig.hold(10, 60, 2);
    expect(lost(rig)).toEqual(['2 value-lost active → unacknowledged']);
  });

  test('a silent instrument is one alarm, not two, and its first values after the silence are given their time', () => {
    const rig = new AlarmRig();
    rig.hold(10, 60);
    rig.advanceTo(60e6);
    expect(rig.outcomes('alarm').map(({ alarm }) => alarm)).toEqual(['instrument-lost', 'instrument-lost']);
    rig.hold(1, 60, 2);
    rig.hold(5, 60, 60);
    expect(lost(rig)).toEqual([]);
  });

  test('a channel without an alarm may give what it likes, and so may one that is not watched now', () => {
    const plain = new AlarmRig({ ...alarmBench, alarms: [HOT] });
    plain.hold(20, 60, 2);
    expect(plain.told()).toEqual([]);
    const rig = new AlarmRig();
    rig.act({ type: 'state-machine', state: 'stopped' });
    rig.hold(10, 60, 2);
    expect(rig.told()).toEqual([]);
    rig.act({ type: 'state-machine', state: 'idling' });
    rig.hold(10, 60, 2);
    rig.act({ type: 'state-machine', state: 'stopped' });
    expect(lost(rig)).toEqual(['12 value-lost active → unacknowledged', '20 value-lost suppressed → suppressed']);
  });

  test('over a restart it stands until a good value comes', () => {
    const before = new AlarmRig();
    before.hold(10, 60, 2);
    const rig = new AlarmRig(alarmBench, structuredClone(before.carried));
    rig.hold(5, 60, 2);
    expect(rig.told()).toEqual([]);
    rig.hold(2, 60, 60);
    expect(rig.outcomes('alarm')).toMatchObject([{ alarm: 'value-lost', source: 'level', state: 'returned' }]);
  });
});

describe('people', () => {
  function raised(): AlarmRig {
    const rig = new AlarmRig();
    rig.hold(10, 80);
    rig.hold(10, 95);
    return rig;
  }

  test('acknowledge an active alarm; it is normal as soon as it returns', () => {
    const rig = raised();
    expect(rig.act(ACKNOWLEDGE)).toMatchObject({ accepted: true });
    expect(rig.outcomes('alarm').at(-1)).toMatchObject({ by: 'Mira', state: 'acknowledged', stands: 'acknowledged' });
    expect(rig.carried.alarms).toMatchObject([{ stands: 'acknowledged', acknowledgedBy: 'Mira', active: true }]);
    expect(rig.act(ACKNOWLEDGE)).toMatchObject({ refusal: 'nothing-to-acknowledge' });
    rig.hold(15, 80);
    expect(rig.told().at(-1)).toBe('30.5 overheated returned → normal');
    expect(rig.carried.alarms).toEqual([]);
  });

  test('acknowledge one that has returned: only then it is gone from the list', () => {
    const rig = raised();
    rig.hold(15, 80);
    expect(rig.carried.alarms).toMatchObject([{ stands: 'returned-unacknowledged', active: false }]);
    rig.act(ACKNOWLEDGE);
    expect(rig.carried.alarms).toEqual([]);
  });

  test('shelve for a limited time with a reason; it ends by itself, and an alarm that still holds calls anew', () => {
    const rig = raised();
    rig.act(ACKNOWLEDGE);
    expect(rig.act({ ...SHELVE, forS: 60 })).toMatchObject({ accepted: true });
    expect(rig.carried.alarms).toMatchObject([
      { stands: 'shelved', shelved: { by: 'Mira', reason: SHELVE.reason, untilUs: 80_000_000 } },
    ]);
    rig.hold(80, 95);
    expect(rig.told().slice(-2)).toEqual([
      '20 overheated shelved → shelved',
      '80 overheated unshelved → unacknowledged',
    ]);
    expect(rig.outcomes('alarm').at(-1)).toMatchObject({ by: null, why: 'its time is over' });
    expect(rig.carried.alarms).toMatchObject([{ stands: 'unacknowledged', acknowledgedBy: null, shelved: null }]);
  });

  test('a shelf ends without any value coming in', () => {
    const rig = raised();
    rig.act({ ...SHELVE, forS: 60 });
    rig.advanceTo(100e6);
    expect(rig.told()).toContain('80 overheated unshelved → unacknowledged');
  });

  test('what a shelved alarm does is on record, but it stays on the shelf', () => {
    const rig = raised();
    rig.act({ ...SHELVE, forS: 600 });
    rig.hold(20, 80);
    expect(rig.told().at(-1)).toBe('30.5 overheated returned → shelved');
    expect(rig.act(ACKNOWLEDGE)).toMatchObject({ refusal: 'nothing-to-acknowledge' });
    rig.act({ type: 'unshelve-alarm', ...OVERHEATED }, 'Ines');
    expect(rig.outcomes('alarm').at(-1)).toMatchObject({ state: 'unshelved', stands: 'normal', by: 'Ines' });
    expect(rig.carried.alarms).toEqual([]);
  });

  test('a normal one may be shelved before it calls', () => {
    const rig = new AlarmRig();
    rig.hold(1, 80);
    expect(rig.act({ ...SHELVE, forS: 600 })).toMatchObject({ accepted: true });
    rig.hold(20, 95);
    expect(rig.told()).toEqual(['1 overheated shelved → shelved', '6 overheated active → shelved']);
  });

  test('an instrument that is lost is acknowledged and shelved like any other', () => {
    const rig = raised();
    rig.advanceTo(40e6);
    const lost = { alarm: 'instrument-lost', source: 'probe' } as const;
    expect(rig.act({ type: 'acknowledge-alarm', ...lost })).toMatchObject({ accepted: true });
    expect(rig.act({ type: 'shelve-alarm', ...lost, forS: 60, reason: 'Cable is being mended' })).toMatchObject({
      accepted: true,
    });
    rig.hold(61, 80);
    const told = rig.outcomes('alarm').filter(({ alarm, source }) => alarm === lost.alarm && source === lost.source);
    expect(told.map(({ state, stands }) => `${state} → ${stands}`)).toEqual([
      'active → unacknowledged',
      'acknowledged → acknowledged',
      'shelved → shelved',
      'returned → shelved',
      'unshelved → normal',
    ]);
  });

  test('what cannot be done is refused, with the reason', () => {
    const rig = raised();
    const refused = (body: Parameters<AlarmRig['act']>[0]) => rig.act(body).refusal;
    expect(refused({ ...ACKNOWLEDGE, alarm: 'overheatd' })).toBe('no-such-alarm');
    expect(refused({ ...ACKNOWLEDGE, source: 'level' })).toBe('no-such-alarm');
    expect(refused({ type: 'acknowledge-alarm', alarm: 'low-level', source: 'level' })).toBe('nothing-to-acknowledge');
    expect(refused({ ...SHELVE, forS: 60, reason: ' ' })).toBe('no-reason');
    expect(refused({ ...SHELVE, forS: 8 * 3600 + 1 })).toBe('shelving-time');
    expect(refused({ ...SHELVE, forS: 59 })).toBe('shelving-time');
    expect(refused({ ...SHELVE, forS: Number.NaN })).toBe('shelving-time');
    expect(refused({ type: 'unshelve-alarm', ...OVERHEATED })).toBe('not-shelved');
    expect(refused({ ...SHELVE, forS: 8 * 3600 })).toBeNull();
  });
});

describe('suppressed by design', () => {
  test('in another state of the machine it neither stands nor comes; in its own it calls', () => {
    const rig = new AlarmRig();
    rig.act({ type: 'state-machine', state: 'stopped' });
    rig.hold(5, 60, 10);
    expect(rig.told()).toEqual([]);
    rig.act({ type: 'state-machine', state: 'idling' });
    expect(rig.told()).toEqual(['5 low-level active → unacknowledged']);
    rig.hold(2, 60, 10);
    rig.act({ type: 'state-machine', state: 'stopped' });
    expect(rig.told().at(-1)).toBe('7 low-level suppressed → suppressed');
    expect(rig.carried.alarms).toEqual([]);
  });

  test('while nobody has said which state it is, it is watched', () => {
    const rig = new AlarmRig();
    rig.hold(5, 60, 10);
    expect(rig.told()).toEqual(['0 low-level active → unacknowledged']);
  });
});

describe('over a process start', () => {
  function carriedOf(prepare: (rig: AlarmRig) => void): Carried {
    const rig = new AlarmRig();
    rig.hold(10, 80);
    rig.hold(10, 95);
    prepare(rig);
    return structuredClone(rig.carried);
  }

  test('an acknowledged alarm stays so, and within its deadband it neither returns nor calls anew', () => {
    const rig = new AlarmRig(
      alarmBench,
      carriedOf((before) => before.act(ACKNOWLEDGE)),
    );
    rig.hold(20, 88);
    expect(rig.told()).toEqual([]);
    expect(rig.carried.alarms).toMatchObject([{ alarm: 'overheated', stands: 'acknowledged', acknowledgedBy: 'Mira' }]);
    rig.hold(20, 80);
    expect(rig.told()).toEqual(['30.5 overheated returned → normal']);
  });

  test('one that nobody has acknowledged still calls', () => {
    const rig = new AlarmRig(
      alarmBench,
      carriedOf(() => undefined),
    );
    expect(rig.carried.alarms).toMatchObject([{ alarm: 'overheated', stands: 'unacknowledged', active: true }]);
    expect(rig.told()).toEqual([]);
  });

  test('a shelf ends with its run', () => {
    const rig = new AlarmRig(
      alarmBench,
      carriedOf((before) => before.act({ ...SHELVE, forS: 600 })),
    );
    expect(rig.told()).toEqual(['0 overheated unshelved → unacknowledged']);
    expect(rig.outcomes('alarm')[0]).toMatchObject({ why: 'a new run began', by: null });
  });

  test('one that the bench file does not name any more has returned', () => {
    const carried = carriedOf(() => undefined);
    const rig = new AlarmRig({ ...testBench, alarms: [LOW] }, carried);
    expect(rig.told()).toEqual(['0 overheated returned → returned-unacknowledged']);
    expect(rig.act(ACKNOWLEDGE)).toMatchObject({ accepted: true });
    expect(rig.carried.alarms).toEqual([]);
  });

  test('an instrument that was lost is lost until it gives a value', () => {
    const carried = carriedOf((before) => before.advanceTo(40e6));
    const rig = new AlarmRig(alarmBench, carried);
    rig.advanceTo(1e6);
    expect(rig.told().filter((one) => one.includes('returned'))).toEqual([]);
    rig.line('probe', 'T=80.00 C ok');
    expect(rig.outcomes('alarm').at(-1)).toMatchObject({
      alarm: 'instrument-lost',
      source: 'probe',
      state: 'returned',
    });
  });

  test('and that the program was started again is no news of it', () => {
    const carried = carriedOf((before) => before.advanceTo(40e6));
    const rig = new CoreRig(alarmBench, drivers, carried);
    rig.admit({ kind: 'tick' });
    expect(rig.outcomes('alarm')).toEqual([]);
    rig.admit({
      ...{ kind: 'link', instrument: 'probe', state: 'closed', reason: 'unplugged', connection: 1, detail: '' },
    });
    expect(rig.outcomes('alarm')).toMatchObject([{ source: 'probe', state: 'active', why: 'unplugged' }]);
  });

  test('a calibration that was overdue has returned where no certificate is late any more', () => {
    const overdue = {
      alarm: 'calibration-overdue',
      source: 'level',
      state: 'active',
      stands: 'unacknowledged',
    } as const;
    const unsaid = { message: null, value: null, limit: null, unit: null, by: null, untilUs: null };
    const stamp = { seq: 1, tUs: 0, run: 1, algorithm: 1, event: 1 };
    const carried = carry(NOTHING_CARRIED, {
      ...{ kind: 'alarm', priority: 'low', why: 'certificate A is 3 days past its date' },
      ...overdue,
      ...unsaid,
      ...stamp,
    });
    const rig = new AlarmRig(alarmBench, carried);
    expect(rig.told()).toEqual([]);
    rig.admit({ kind: 'wall', utcMs: Date.UTC(2031, 0, 1), zone: 'UTC', offsetMin: 0, cause: 'start' });
    rig.admit({ kind: 'wall', utcMs: Date.UTC(2031, 0, 1, 1), zone: 'UTC', offsetMin: 0, cause: 'hourly' });
    expect(rig.told()).toEqual(['0 calibration-overdue returned → returned-unacknowledged']);
  });

  test('an outcome of before alarms were acknowledged: one that returned is over', () => {
    const rig = new AlarmRig();
    const older = { kind: 'alarm', alarm: 'instrument-lost', source: 'probe', why: 'unplugged' } as const;
    const stamp = { seq: 1, tUs: 0, run: 1, algorithm: 1 };
    const fold = (carried: Carried, state: string, event: number) =>
      carry(carried, { ...older, ...stamp, state, event } as unknown as Parameters<typeof carry>[1]);
    const raised = fold(rig.carried, 'active', 1);
    expect(raised.alarms).toMatchObject([{ stands: 'unacknowledged', priority: 'medium', sinceEvent: 1, value: null }]);
    expect(fold(raised, 'returned', 2).alarms).toEqual([]);
  });
});
