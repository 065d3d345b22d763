/** Alarms of the bench file: every slip at its place, with what was meant. */
import { describe, expect, test } from 'vitest';
import { loadBench } from '../../src/config/load.ts';
import { BENCH, tell } from './bench-text.ts';
import { REGISTRY } from './drivers.ts';

/** The alarm begins at line 36, its keys at line 37. */
function withAlarm(...keys: readonly string[]): string {
  return `${BENCH}alarms:\n  hot:\n${keys.map((one) => `    ${one}\n`).join('')}`;
}
const GOOD = ['channel: oil', 'above: 92 °C', 'priority: high', 'message: Stop heating.'];
const with_ = (from: string, to: string, ...more: readonly string[]) => [
  ...GOOD.map((one) => (one === from ? to : one)),
  ...more,
];

describe('an alarm', () => {
  test('with the fewest keys returns at its limit, without delays, in all states of the machine', () => {
    const loaded = loadBench(withAlarm(...GOOD), '/bay/bench.yaml', REGISTRY);
    expect(loaded.ok && loaded.bench.alarms).toEqual([
      {
        id: 'hot',
        channel: 'oil',
        side: 'above',
        limit: 92,
        deadband: 0,
        onDelayUs: 0,
        offDelayUs: 0,
        priority: 'high',
        message: 'Stop heating.',
      },
    ]);
  });

  test('is in the unit that was written, and kept in the one inside', () => {
    const keys = with_('above: 92 °C', 'above: 212 °F', 'deadband: 9 [degF]', 'on-delay: 0.1 min', 'off-delay: 500 ms');
    const loaded = loadBench(withAlarm(...keys), '/bay/bench.yaml', REGISTRY);
    expect(loaded.ok && loaded.bench.alarms?.[0]).toMatchObject({
      limit: 100,
      deadband: 5,
      onDelayUs: 6_000_000,
      offDelayUs: 500_000,
    });
  });

  test('a bench without any says nothing of them', () => {
    const loaded = loadBench(BENCH, '/bay/bench.yaml', REGISTRY);
    expect(loaded.ok && loaded.bench).not.toHaveProperty('alarms');
  });

  const SLIPS: readonly (readonly [string, string, readonly string[]])[] = [
    [
      'a channel that is not there',
      withAlarm(...with_('channel: oil', 'channel: oill')),
      ['37:14 no channel is called "oill": one of "oil", "depth" → oil'],
    ],
    [
      'a unit of something else',
      withAlarm(...with_('above: 92 °C', 'above: 92 mm')),
      ['38:12 "mm" is a unit of length: a temperature such as "50 °C"'],
    ],
    [
      'a limit that no good value can pass',
      withAlarm(...with_('above: 92 °C', 'above: 150 °C')),
      [
        '38:12 no good value of the channel can pass this limit: a limit within the range of the channel, −20.0 °C to 150.0 °C',
      ],
    ],
    [
      'the same below',
      withAlarm(...with_('above: 92 °C', 'below: -30 °C')),
      [
        '38:12 no good value of the channel can pass this limit: a limit within the range of the channel, −20.0 °C to 150.0 °C',
      ],
    ],
    [
      'a deadband from which it never comes back',
      withAlarm(...GOOD, 'deadband: 113 K'),
      [
        '41:15 the alarm could never return to normal: the deadband reaches beyond the range of the channel: a deadband that stays within the range of the channel, −20.0 °C to 150.0 °C',
      ],
    ],
    [
      'a deadband below 0',
      withAlarm(...GOOD, 'deadband: -1 K'),
      ['41:15 "-1 K" is too small: a temperature difference from 0 K such as "0.3 K"'],
    ],
    [
      'a delay of a day',
      withAlarm(...GOOD, 'on-delay: 24 h'),
      ['41:15 "24 h" is too large: a time from 0 s to 1 h such as "5 s"'],
    ],
    [
      'no limit',
      withAlarm('channel: oil', 'priority: high', 'message: Stop.'),
      ['36:3 an alarm has a limit: above or below, such as above: 92 °C'],
    ],
    [
      'two limits',
      withAlarm(...GOOD, 'below: 10 °C'),
      ['41:5 an alarm is either above or below a limit: one of them, and a second alarm'],
    ],
    [
      'a priority of its own',
      withAlarm(...with_('priority: high', 'priority: hihg')),
      ['39:15 "hihg" is not known here: one of "low", "medium", "high" → high'],
    ],
    [
      'a key that is misspelt',
      withAlarm(...GOOD, 'ondelay: 5 s'),
      [
        '41:5 unknown key "ondelay": one of "channel", "above", "below", "deadband", "on-delay", "off-delay", "priority", "message", "while-machine" → on-delay',
      ],
    ],
    [
      'nothing to do',
      withAlarm(...GOOD.slice(0, 3)),
      [
        '36:3 missing key "message": a text of at most 200 characters, such as message: Switch the heater off and wait.',
      ],
    ],
    [
      'a state that the machine has not',
      `${withAlarm(...GOOD, 'while-machine: [idlin]')}machine: { states: [idling, stopped] }\n`,
      ['41:21 the machine has no state "idlin": one of "idling", "stopped" → idling'],
    ],
    [
      'states of no machine',
      withAlarm(...GOOD, 'while-machine: [idling]'),
      ['41:21 the machine has no state "idling": a section "machine" with its states'],
    ],
    [
      'the name of an alarm that every bench has',
      withAlarm(...GOOD).replace('  hot:', '  instrument-lost:'),
      ['36:3 "instrument-lost" is the name of an alarm that every bench has: another name'],
    ],
    [
      'a name in capitals',
      withAlarm(...GOOD).replace('  hot:', '  Hot Oil:'),
      [
        '36:3 "Hot Oil" cannot be the name of an alarm: small letters, digits and hyphens, a letter first, at most 40 → hot-oil',
      ],
    ],
  ];
  test.each(SLIPS)('%s', (_, text, told) => {
    expect(tell(text)).toEqual(told);
  });
});
