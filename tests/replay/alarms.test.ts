/** Alarms come out the same when their inputs are run again, over a restart too. */
import { expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { compareEntries } from '../../src/replay/compare.ts';
import { AlarmRig, alarmBench, OVERHEATED } from '../support/alarm-rig.ts';

function recorded(): Entry[] {
  const rig = new AlarmRig();
  rig.hold(10, 80);
  rig.hold(10, 95);
  rig.act({ type: 'acknowledge-alarm', ...OVERHEATED });
  rig.act({ type: 'shelve-alarm', ...OVERHEATED, forS: 60, reason: 'The heater is off.' });
  rig.act({ type: 'acknowledge-alarm', ...OVERHEATED });
  rig.hold(70, 95);
  rig.act({ type: 'state-machine', state: 'idling' });
  rig.hold(5, 80, 10);
  rig.act({ type: 'state-machine', state: 'stopped' });
  rig.advanceTo(200e6);
  return rig.entries;
}

test('recomputed, every outcome is equal', () => {
  const entries = recorded();
  const kinds = entries.flatMap((one) => (one.kind === 'outcome' && one.outcome.kind === 'alarm' ? [one.outcome] : []));
  expect(new Set(kinds.map(({ state }) => state))).toEqual(
    new Set(['active', 'acknowledged', 'shelved', 'unshelved', 'suppressed']),
  );
  expect(compareEntries(entries, drivers)).toMatchObject({ difference: null, remarks: [] });
});

test('a changed limit is found', () => {
  const entries = recorded().map((one): Entry => {
    if (one.kind !== 'input' || one.input.kind !== 'run-start') return one;
    const alarms = alarmBench.alarms?.map((alarm) => ({ ...alarm, limit: alarm.limit + 2 })) ?? [];
    return { kind: 'input', input: { ...one.input, bench: { ...alarmBench, alarms } } };
  });
  expect(compareEntries(entries, drivers).difference).not.toBeNull();
});
