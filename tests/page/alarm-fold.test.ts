/** The page's own list of alarms: it must say after every event what the bench's next snapshot would say. */
import { describe, expect, it } from 'vitest';
import { NOTHING_CARRIED } from '../../src/core/carried.ts';
import { View as BenchView } from '../../src/feed/view.ts';
import { type AlarmEvent, alarmsAfter, inOrder, toSound } from '../../src/page/alarm-fold.ts';
import { AlarmRig, alarmBench, OVERHEATED } from '../support/alarm-rig.ts';
import { alarm } from './scenes.ts';

describe('The list of alarms', () => {
  it('is that of the snapshot, after every event of a long story', () => {
    const rig = new AlarmRig();
    const shelve = { type: 'shelve-alarm', ...OVERHEATED, forS: 120, reason: 'The heater is off.' } as const;
    rig.hold(10, 80);
    rig.hold(10, 95);
    rig.act({ type: 'acknowledge-alarm', ...OVERHEATED });
    rig.hold(20, 80);
    rig.hold(10, 95);
    rig.act(shelve);
    rig.hold(20, 80, 10);
    rig.hold(10, 95);
    rig.act({ type: 'state-machine', state: 'stopped' });
    rig.act({ ...shelve, reason: 'Still at it.' });
    rig.hold(130, 95);
    rig.act({ type: 'acknowledge-alarm', ...OVERHEATED });
    rig.advanceTo(300e6);
    const startMs = Date.UTC(2031, 4, 6);
    const bench = new BenchView(alarmBench, [], NOTHING_CARRIED, null);
    let list: ReturnType<typeof alarmsAfter> = [];
    let events = 0;
    for (const output of rig.outputs) {
      if (output.kind !== 'outcome') continue;
      const { outcome } = output;
      const utcMs = startMs + outcome.tUs / 1000;
      bench.takeDurable({ utcMs, outcome });
      if (outcome.kind !== 'alarm') continue;
      list = alarmsAfter(list, outcome as AlarmEvent, new Date(utcMs).toISOString());
      expect(list, `event ${outcome.event}`).toEqual(bench.snapshot(outcome.tUs, utcMs).alarms);
      events++;
    }
    expect(events).toBeGreaterThan(10);
  });

  it('puts first what wants somebody first, and sounds only for what nobody has acknowledged', () => {
    const alarms = [
      alarm({ alarm: 'a', state: 'shelved' }),
      alarm({ alarm: 'b', state: 'acknowledged' }),
      alarm({ alarm: 'c', priority: 'low' }),
      alarm({ alarm: 'd', state: 'returned-unacknowledged', active: false }),
      alarm({ alarm: 'e', priority: 'medium' }),
    ];
    expect(inOrder(alarms).map((one) => one.alarm)).toEqual(['e', 'c', 'd', 'b', 'a']);
    expect(toSound(alarms)?.alarm).toBe('e');
    expect(toSound(alarms.filter(({ state }) => state !== 'unacknowledged'))).toBeNull();
  });
});
