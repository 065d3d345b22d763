/** An alarm of the bench file, key by key; limit and deadband are quantities of what its channel measures. */
import { z } from 'zod';
import { type AlarmDescription, OWN_ALARMS } from '../core/alarms/description.ts';
import { amountWords } from '../core/alarms/words.ts';
import { INSIDE_UNITS, type QuantityKind } from '../core/description.ts';
import { VALUE_KINDS, WRITTEN } from './channel-schema.ts';
import type { Alarm, Channel } from './draft.ts';
import { key, quantity, text, word } from './fields.ts';
import { type Finding, finding, nearest, oneOf, quote } from './mistake.ts';
import type { Span } from './quantities.ts';
import type { Draft } from './understand.ts';
import type { Kind } from './units.ts';

const LONGEST_DELAY = '1 h';

const made = new Map<QuantityKind | null, ReturnType<typeof schemaOf>>();

/** Keys of an alarm on a channel of this quantity; null while that is not known. */
export function alarmSchema(of: QuantityKind | null) {
  const known = made.get(of) ?? schemaOf(of);
  made.set(of, known);
  return known;
}

function schemaOf(of: QuantityKind | null) {
  const all = Object.values(WRITTEN);
  const points: Kind[] = of === null ? [...VALUE_KINDS] : [WRITTEN[of].value];
  const steps: Kind[] = of === null ? all.map(({ step }) => step) : [WRITTEN[of].step];
  const { zero, stepSample } = WRITTEN[of ?? 'temperature'];
  return z.strictObject({
    channel: key(z.string(), {
      meaning:
        'The channel that is watched, with its good values only. A stale one neither raises nor clears the alarm.',
      form: 'the name of a channel',
      example: 'temperature',
    }),
    above: key(quantity(points).optional(), {
      meaning: 'The limit above which it is active; within the range of the channel.',
      form: 'a quantity in a unit of the channel',
      example: '92 °C',
      otherwise: 'needs `below`',
    }),
    below: key(quantity(points).optional(), {
      meaning: 'The limit below which it is active; within the range of the channel.',
      form: 'a quantity in a unit of the channel',
      example: '5 °C',
      otherwise: 'needs `above`',
    }),
    deadband: key(quantity(steps, of === null ? {} : { from: zero }, stepSample).optional(), {
      meaning: 'How far back inside the limit the value must come before the alarm returns to normal.',
      form: 'a difference in a unit of the channel, not below 0',
      example: '2 K',
      otherwise: 'it returns at the limit',
    }),
    'on-delay': key(quantity('time', { from: '0 s', to: LONGEST_DELAY }, '5 s').prefault('0 s'), {
      meaning: 'For so long without interruption the value must be beyond the limit before the alarm is active.',
      form: 'a time up to 1 h',
      example: '5 s',
    }),
    'off-delay': key(quantity('time', { from: '0 s', to: LONGEST_DELAY }, '30 s').prefault('0 s'), {
      meaning: 'For so long without interruption the value must be back inside before the alarm returns to normal.',
      form: 'a time up to 1 h',
      example: '30 s',
    }),
    priority: key(word('low', 'medium', 'high'), {
      meaning: 'How urgent it is that somebody does something: it orders the list and makes the sound.',
      form: 'low, medium or high',
      example: 'high',
    }),
    message: key(text(200), {
      meaning: 'What to do when it comes. An alarm to which nobody need do anything is none.',
      form: 'a text of at most 200 characters',
      example: 'Switch the heater off and wait.',
    }),
    'while-machine': key(z.array(text(80)).min(1).optional(), {
      meaning:
        'The states of the machine in which it is watched; in others it is suppressed by design. While nobody has stated one it is watched.',
      form: 'a list of texts out of machine.states',
      example: '[idling in park]',
      otherwise: 'in all states',
    }),
  });
}

export const ALARM_SECTIONS = [{ title: 'An alarm', at: 'alarms.<name>', schema: alarmSchema('temperature') }] as const;

/** What must go together: the channel, one limit within its range, a way back inside, states that the machine has. */
export function ofAlarm(
  alarm: Draft<Alarm>,
  channels: readonly Draft<Channel>[],
  states: readonly string[] | undefined,
  rangeOf: (channel: Draft<Channel>) => Span | undefined,
): Finding[] {
  const { id = '', channel: name } = alarm;
  const path = ['alarms', id];
  const found: Finding[] = [];
  if ((OWN_ALARMS as readonly string[]).includes(id))
    found.push(
      finding(path, `${quote(id)} is the name of an alarm that every bench has`, 'another name', { at: 'key' }),
    );
  const sides = (['above', 'below'] as const).filter((side) => side in alarm);
  // An alarm that is no block was told already.
  if (sides.length === 0 && 'on-delay' in alarm)
    found.push(
      finding(path, 'an alarm has a limit', 'above or below, such as above: 92 °C', { at: 'key', nature: 'absent' }),
    );
  if (sides.length === 2)
    found.push(
      finding([...path, 'below'], 'an alarm is either above or below a limit', 'one of them, and a second alarm', {
        at: 'key',
      }),
    );
  const channel = channels.find((one) => one.id === name);
  if (name !== undefined && channels.length > 0 && channel === undefined) {
    const names = channels.map((one) => one.id ?? '');
    found.push(
      finding([...path, 'channel'], `no channel is called ${quote(name)}`, oneOf(names), {
        nearest: nearest(name, names),
      }),
    );
  }
  const range = channel === undefined ? undefined : rangeOf(channel);
  const within = `within the range of the channel, ${rangeWords(range, channel?.quantity)}`;
  const [side] = sides;
  const limit = side === undefined ? undefined : alarm[side];
  if (range !== undefined && side !== undefined && limit !== undefined && sides.length === 1) {
    const back = side === 'above' ? limit - (alarm.deadband ?? 0) : limit + (alarm.deadband ?? 0);
    // A value at the end of the range or beyond is bad, so a limit there would never be passed.
    const passed =
      side === 'above' ? limit < range.high && limit >= range.low : limit > range.low && limit <= range.high;
    if (!passed)
      found.push(finding([...path, side], 'no good value of the channel can pass this limit', `a limit ${within}`));
    else if (back < range.low || back > range.high)
      found.push(
        finding(
          [...path, 'deadband'],
          'the alarm could never return to normal: the deadband reaches beyond the range of the channel',
          `a deadband that stays ${within}`,
        ),
      );
  }
  for (const [i, state] of (alarm['while-machine'] ?? []).entries())
    if (states === undefined || !states.includes(state))
      found.push(
        finding(
          [...path, 'while-machine', i],
          `the machine has no state ${quote(state)}`,
          states === undefined ? 'a section "machine" with its states' : oneOf(states),
          { nearest: nearest(state, states ?? []) },
        ),
      );
  return found;
}

/** In the unit inside, as channels are kept. */
function rangeWords(range: Span | undefined, quantity: QuantityKind | undefined): string {
  if (range === undefined || quantity === undefined) return 'which is not understood';
  return `${amountWords(range.low, INSIDE_UNITS[quantity])} to ${amountWords(range.high, INSIDE_UNITS[quantity])}`;
}

export function resolveAlarm(keys: Alarm): AlarmDescription {
  const { id, channel, above, below, deadband, priority, message, 'while-machine': whileMachine } = keys;
  return {
    id,
    channel,
    side: above === undefined ? 'below' : 'above',
    limit: above ?? below ?? Number.NaN,
    deadband: deadband ?? 0,
    onDelayUs: keys['on-delay'],
    offDelayUs: keys['off-delay'],
    priority,
    message,
    ...(whileMachine === undefined ? {} : { whileMachine }),
  };
}
