/**
 * Against the alarm state transition diagram of ANSI/ISA-18.2-2016 / IEC 62682. The transitions are given from memory:
 * the standard is not at hand, so this table says what we hold it to say. Latched states and out of service are left out.
 */
import { describe, expect, test } from 'vitest';
import {
  ALARM_CHANGES,
  ALARM_STATES,
  type AlarmChange,
  type AlarmStands,
  type AlarmState,
  afterChange,
  NORMAL,
} from '../../../src/core/alarms/state-machine.ts';

/** In the standard's abbreviations: from, what happens, to. */
const DIAGRAM: readonly (readonly [string, AlarmChange, string])[] = [
  ['NORM', 'active', 'UNACK'],
  ['UNACK', 'acknowledged', 'ACKED'],
  ['UNACK', 'returned', 'RTNUN'],
  ['ACKED', 'returned', 'NORM'],
  ['RTNUN', 'acknowledged', 'NORM'],
  ['RTNUN', 'active', 'UNACK'],
  ['NORM', 'shelved', 'SHLVD'],
  ['UNACK', 'shelved', 'SHLVD'],
  ['ACKED', 'shelved', 'SHLVD'],
  ['RTNUN', 'shelved', 'SHLVD'],
  ['NORM', 'suppressed', 'DSUPR'],
  ['UNACK', 'suppressed', 'DSUPR'],
  ['ACKED', 'suppressed', 'DSUPR'],
  ['RTNUN', 'suppressed', 'DSUPR'],
  ['DSUPR', 'active', 'UNACK'],
];
const NAMES: Readonly<Record<string, AlarmState>> = {
  NORM: 'normal',
  UNACK: 'unacknowledged',
  ACKED: 'acknowledged',
  RTNUN: 'returned-unacknowledged',
  SHLVD: 'shelved',
  DSUPR: 'suppressed',
};
const state = (name: string): AlarmState => NAMES[name] as AlarmState;
const IS_ACTIVE: readonly AlarmState[] = ['unacknowledged', 'acknowledged'];
const at = (stands: AlarmState, active = IS_ACTIVE.includes(stands)): AlarmStands => ({ stands, active });

describe('the states of an alarm', () => {
  test.each(DIAGRAM)('%s, %s: %s', (from, change, to) => {
    expect(afterChange(at(state(from)), change).stands).toBe(state(to));
  });

  test('every state of the diagram can be reached, and none else', () => {
    expect(new Set(DIAGRAM.flatMap(([from, , to]) => [state(from), state(to)]))).toEqual(new Set(ALARM_STATES));
  });

  test('the condition is known in every state: active as long as it holds', () => {
    for (const stands of ALARM_STATES) {
      expect(afterChange(at(stands), 'active').active, stands).toBe(true);
      expect(afterChange(at(stands), 'returned').active, stands).toBe(false);
      for (const change of ['acknowledged', 'shelved'] as const)
        expect(afterChange(at(stands), change).active, `${stands} ${change}`).toBe(at(stands).active);
    }
  });

  test('an alarm told again while it lasts needs no second acknowledgement', () => {
    expect(afterChange(at('acknowledged'), 'active')).toEqual(at('acknowledged'));
  });

  test('one that came again after it was over needs a new one', () => {
    const changes = ['active', 'acknowledged', 'returned', 'active'] as const;
    expect(changes.reduce(afterChange, NORMAL)).toEqual(at('unacknowledged'));
  });

  test('a shelved one stays on the shelf whatever its condition does, and comes back as that is by then', () => {
    const shelved = afterChange(at('acknowledged'), 'shelved');
    expect(afterChange(shelved, 'unshelved')).toEqual(at('unacknowledged'));
    const gone = afterChange(shelved, 'returned');
    expect(gone).toEqual({ stands: 'shelved', active: false });
    expect(afterChange(gone, 'unshelved')).toEqual(NORMAL);
    expect(afterChange(afterChange(gone, 'active'), 'unshelved')).toEqual(at('unacknowledged'));
    expect(afterChange(shelved, 'suppressed')).toEqual({ stands: 'shelved', active: false });
  });

  test('what has no place in a state leaves it as it is', () => {
    for (const stands of ['normal', 'acknowledged', 'suppressed'] as const)
      expect(afterChange(at(stands), 'acknowledged')).toEqual(at(stands));
    for (const stands of ALARM_STATES)
      if (stands !== 'shelved') expect(afterChange(at(stands), 'unshelved')).toEqual(at(stands));
  });

  test('no way leads out of the six states', () => {
    const seen = new Set<string>();
    const walk = (from: AlarmStands): void => {
      const key = `${from.stands} ${from.active}`;
      if (seen.has(key)) return;
      seen.add(key);
      for (const change of ALARM_CHANGES) walk(afterChange(from, change));
    };
    walk(NORMAL);
    expect([...seen].sort()).toEqual([
      'acknowledged true',
      'normal false',
      'returned-unacknowledged false',
      'shelved false',
      'shelved true',
      'suppressed false',
      'unacknowledged true',
    ]);
  });
});
