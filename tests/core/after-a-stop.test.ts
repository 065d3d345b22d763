/** What the record says of a run that ended without a word, and of an instrument that stays lost. */
import { expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { carry, NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { LinkReason, LinkState } from '../../src/core/events.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig } from '../support/core-rig.ts';

test('a run that was cut off while ready is told to have ended, first of all in the next one', () => {
  const rig = new CoreRig(testBench, drivers, { ...NOTHING_CARRIED, lastEvent: 7, ready: true });
  const [first, ...others] = rig.outcomes('ready');
  expect(first).toMatchObject({ event: 8, ready: false, shut: expect.arrayContaining(['fresh', 'window']) });
  expect(others).toEqual([]);
  rig.advanceTo(5_000_000);
  expect(rig.outcomes('ready')).toHaveLength(1);
  expect(rig.state?.carried.ready).toBe(false);
});

test('a run that was not ready at its end needs no such word', () => {
  const rig = new CoreRig(testBench, drivers, { ...NOTHING_CARRIED, lastEvent: 7, ready: false });
  expect(rig.outcomes('ready')).toEqual([]);
});

test('whether it was ready is carried over from the last change that was told', () => {
  const change = (ready: boolean, event: number) =>
    ({ kind: 'ready', ready, shut: [], numbers: null, event, run: 1, seq: event, tUs: 0 }) as const;
  const ready = carry(NOTHING_CARRIED, change(true, 1));
  expect(ready.ready).toBe(true);
  expect(
    carry(ready, { kind: 'fault', source: 'x', code: 'y', detail: '', event: 2, run: 1, seq: 2, tUs: 0 }).ready,
  ).toBe(true);
  expect(carry(ready, change(false, 2)).ready).toBe(false);
});

function whys(rig: CoreRig) {
  return rig.outcomes('alarm').flatMap(({ source, state, why }) => (source === 'sonar' ? [`${state}: ${why}`] : []));
}

test('the reason of an alarm is told again when it becomes another one, and only then', () => {
  const rig = new CoreRig();
  const link = (state: LinkState, reason: LinkReason) =>
    rig.admit({ kind: 'link', instrument: 'sonar', state, reason, connection: 1, detail: '' });
  rig.open('sonar');
  rig.advanceTo(4_000_000);
  const mute = 'active: open, but no value that can be read';
  expect(whys(rig)).toEqual([mute]);

  // Opening a mute instrument anew, again and again, is no news.
  for (let i = 0; i < 5; i++) {
    rig.advanceTo(rig.tUs + 250_000);
    link('closed', 'mute');
    rig.advanceTo(rig.tUs + 250_000);
    link('open', 'connected');
  }
  expect(whys(rig)).toEqual([mute]);

  link('closed', 'unplugged');
  rig.advanceTo(rig.tUs + 10_000_000);
  link('closed', 'forbidden');
  link('open', 'connected');
  rig.line('sonar', 'sonar;62.00;mm;q=80');
  expect(whys(rig)).toEqual([mute, 'active: unplugged', 'active: forbidden', mute, 'returned: values again']);
});
