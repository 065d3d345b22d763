/** What goes over HTTP only: queries, and replies that have no message of the WebSocket. */
import { z } from 'zod';
import { actionRequest, eventMessage } from './messages.ts';

/** Numbers in a query are plain digits: no sign, exponent or space. */
const whole = z
  .string()
  .regex(/^\d{1,15}$/, 'expected a whole number')
  .transform(Number);

export const eventsQuery = z.strictObject({
  since: whole.default(0).describe('events after this number; 0 when left out'),
  limit: whole
    .refine((n) => n >= 1 && n <= 1000, 'expected 1 to 1000')
    .default(100)
    .describe('at most this many, 1 to 1000; 100 when left out'),
});

export const historyQuery = z.strictObject({
  channel: z.string().min(1).max(200).describe('id of a channel of the snapshot'),
  seconds: whole
    .refine((n) => n >= 1 && n <= 2_678_400, 'expected 1 to 2678400 (31 days)')
    .default(600)
    .describe('how far back from now, 1 to 2678400; 600 when left out'),
  most: whole
    .refine((n) => n >= 2 && n <= 5000, 'expected 2 to 5000')
    .default(1000)
    .describe('at most this many points, 2 to 5000; 1000 when left out'),
});

export const eventsPage = z.strictObject({
  journal: z.string().describe('id of the journal that the numbers belong to'),
  lastEvent: z.int().nonnegative().describe('newest number: ask again while it is above the last one received'),
  events: z.array(eventMessage),
});

/** The envelope alone, or the whole message as it goes over the WebSocket. */
export const httpAction = actionRequest.extend({ type: z.literal('action').optional() });

export const httpError = z.strictObject({
  code: z.string(),
  words: z.string().describe('what is wrong, in English'),
  id: z.string().describe('names this error in the log'),
});
