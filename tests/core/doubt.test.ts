import { describe, expect, test } from 'vitest';
import type { ChannelDescription } from '../../src/core/description.ts';
import { TYPED } from '../../src/core/description.ts';
import { type DoubtState, doubt } from '../../src/core/doubt.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig } from '../support/core-rig.ts';

const [temperature, level] = testBench.channels as [ChannelDescription, ChannelDescription];
const probe: ChannelDescription = { ...temperature, sentinels: [85, -127, -0.0625, 999.9, 32768, 65535] };
const sonar: ChannelDescription = { ...level, echo: { strengthSignal: 'q', leastStrength: 40, nearest: 8 } };

/** Feeds signals one after the other, remembering as the channel does. */
function doubts(channel: ChannelDescription, signals: readonly (number | readonly [number, number])[]) {
  const state: DoubtState = { signal: null, strength: null };
  return signals.map((one) => {
    const [signal, strength] = typeof one === 'number' ? [one, null] : one;
    if (strength !== null) state.strength = strength;
    const found = doubt(channel, signal, state);
    if (found === null) state.signal = signal;
    return found;
  });
}

describe('S19: values that stand for a fault', () => {
  test.each([85, -127, -0.0625, 999.9, 32768, 65535])(
    '%d is doubted when jumped to, and as a first value',
    (sentinel) => {
      expect(doubts(probe, [21.5, sentinel, 21.6])).toEqual([null, 'sentinel', null]);
      expect(doubts(probe, [sentinel, 21.6])).toEqual(['sentinel', null]);
    },
  );

  test('85 is accepted when the temperature comes to it', () => {
    expect(doubts(probe, [83, 84, 84.5, 85, 85, 85.5])).toEqual([null, null, null, null, null, null]);
  });

  test('−0.0625 is accepted around the freezing point', () => {
    expect(doubts(probe, [0.125, 0, -0.0625, -0.125])).toEqual([null, null, null, null]);
  });

  test('a sensor stuck on its fault stays doubted', () => {
    expect(doubts(probe, [21.5, -127, -127, -127])).toEqual([null, 'sentinel', 'sentinel', 'sentinel']);
  });
});

describe('false echoes', () => {
  test('twice the way is the second echo, however long it lasts', () => {
    expect(doubts(sonar, [62, 124.3, 123.8, 124, 62.1])).toEqual([
      null,
      'second-echo',
      'second-echo',
      'second-echo',
      null,
    ]);
  });

  test('a level that rises by itself to twice the height is no second echo', () => {
    const rising = Array.from({ length: 70 }, (_, i) => 62 + i);
    expect(doubts(sonar, rising).every((found) => found === null)).toBe(true);
  });

  test('a weak echo is doubted, none at all is lost', () => {
    expect(
      doubts(sonar, [
        [62, 80],
        [61, 20],
        [61, 0],
        [62, 81],
      ]),
    ).toEqual([null, 'echo-weak', 'echo-lost', null]);
  });

  test('as near as the sensor rings is its own wall', () => {
    expect(doubts(sonar, [62, 7.9, 8, 62])).toEqual([null, 'ring-down', 'ring-down', null]);
  });
});

describe('through the core', () => {
  const bench = {
    ...testBench,
    channels: [probe, { ...sonar, echo: { strengthSignal: null, leastStrength: 0, nearest: 8 } }],
  };

  test('a doubted value is shown as such, counts for nothing, and is forgotten with the connection', () => {
    const rig = new CoreRig(bench);
    rig.open('sonar');
    rig.line('sonar', 'sonar;62.00;mm;q=80');
    const [sample] = rig.line('sonar', 'sonar;124.00;mm;q=80');
    expect(sample).toMatchObject({ kind: 'sample', quality: 'suspect', reason: 'second-echo' });
    expect(rig.state?.channels.level?.good).toBe(62);
    expect(rig.line('sonar', 'sonar;124.10;mm;q=80')[0]).toMatchObject({ reason: 'second-echo' });
    rig.open('sonar', 2);
    const [anew] = rig.line('sonar', 'sonar;124.00;mm;q=80');
    expect(anew).toMatchObject({ quality: 'good' });
  });
});

test('a false echo at half the way does not make second echoes of the true ones after it', () => {
  const rig = new CoreRig({
    ...testBench,
    channels: [probe, { ...sonar, echo: { strengthSignal: null, leastStrength: 0, nearest: 8 } }],
  });
  rig.open('sonar');
  const reasons = ['62.00', '62.02', '61.99', '62.01', '62.00', '31.00', '62.01', '62.00', '61.98'].map(
    (mm) => rig.line('sonar', `sonar;${mm};mm;q=80`)[0],
  );
  expect(reasons[5]).toMatchObject({ reason: 'outlier' });
  for (const after of reasons.slice(6)) expect(after).toMatchObject({ quality: 'good' });
});

describe('a typed channel', () => {
  const typed = { ...temperature, instrument: TYPED, signal: '', intervalUs: 40e6 };
  const bench = { ...testBench, channels: [typed, level] };
  const type = (value: number, channel = 'temperature') =>
    ({
      kind: 'action',
      actionId: `type-${value}`,
      actor: 'Ines',
      role: 'technician',
      expectedRevision: 0,
      body: { type: 'type-value', channel, value },
    }) as const;

  test('a value read from another display drives the window, with reader and age, and goes stale', () => {
    const rig = new CoreRig(bench);
    rig.open('sonar');
    rig.admit(type(50));
    expect(rig.outcomes('action')).toMatchObject([{ accepted: true, actor: 'Ines', body: { value: 50 } }]);
    for (let ms = 0; ms <= 10_000; ms += 200) {
      rig.advanceTo(ms * 1000);
      rig.line('sonar', 'sonar;62.00;mm;q=80');
    }
    expect(rig.outcomes('reading')).toHaveLength(1);
    rig.advanceTo(121e6);
    expect(rig.gate('fresh').words).toMatch(/No new value for .* s: (temperature|level)\./);
    expect(rig.state?.channels.temperature?.stale).toBe(true);
  });

  test('a measured channel cannot be typed, and a typed value must be possible', () => {
    const rig = new CoreRig(bench);
    rig.admit(type(60, 'level'));
    rig.admit(type(900));
    expect(rig.outcomes('action').map(({ refusal }) => refusal)).toEqual(['not-typed', 'out-of-range']);
  });
});
