/** What the feed says of alarms, and what it takes: parts of the messages in messages.ts. */
import { z } from 'zod';
import { ALARM_PRIORITIES, LEAST_SHELF_S, MOST_SHELF_S } from '../core/alarms/description.ts';
import { ALARM_CHANGES, ALARM_STATES } from '../core/alarms/state-machine.ts';
import { tUs, utc } from './message-parts.ts';

const whichAlarm = {
  alarm: z.string().describe('name or code of the alarm'),
  source: z.string().describe('its channel or instrument'),
};

/** What an alarm says of itself, in an event and in the snapshot. */
const alarmWords = {
  priority: z.enum(ALARM_PRIORITIES),
  why: z.string().describe('of its condition'),
  message: z.string().nullable().describe('what to do; null where nothing is said'),
  value: z.number().nullable().describe('what was measured when it last became active or returned'),
  limit: z.number().nullable().describe('what the value is held against'),
  unit: z.string().nullable().describe('UCUM unit of value and limit'),
};

export const standingAlarm = z.strictObject({
  ...whichAlarm,
  state: z.enum(ALARM_STATES).describe('as in the events; an alarm that is normal or suppressed is not in this list'),
  active: z.boolean().describe('whether its condition holds; known of a shelved one too'),
  ...alarmWords,
  utc: utc.describe('since when: when it last became active, or was shelved while normal'),
  acknowledgedBy: z.string().nullable().describe('null while it is not acknowledged'),
  shelved: z
    .strictObject({ by: z.string(), reason: z.string(), until: utc.describe('when it ends by itself') })
    .nullable()
    .describe('null while it is not shelved'),
});

/** Bodies of actions. */
export const alarmActions = [
  z.strictObject({ type: z.literal('acknowledge-alarm'), ...whichAlarm }),
  z.strictObject({
    type: z.literal('shelve-alarm'),
    ...whichAlarm,
    forS: z.number().min(LEAST_SHELF_S).max(MOST_SHELF_S).describe('seconds, then it is unshelved by itself'),
    reason: z.string().min(1).max(500),
  }),
  z.strictObject({ type: z.literal('unshelve-alarm'), ...whichAlarm }),
] as const;

/** Fields of an event of kind `alarm`. */
export const alarmFields = {
  ...whichAlarm,
  state: z.enum(ALARM_CHANGES).describe('what happened; returned: its condition is normal again'),
  stands: z.enum(ALARM_STATES).describe('the state that it is in since, after ISA-18.2'),
  ...alarmWords,
  why: z.string().describe('of its condition; of shelving, the reason given; of unshelving, what ended it'),
  by: z.string().nullable().describe('who acknowledged, shelved or unshelved it; null: nobody did'),
  untilUs: tUs.nullable().describe('where it was shelved: until when in its run, in µs'),
};
