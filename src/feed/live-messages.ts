/** The latest values, as messages of the feed carry them. */
import { z } from 'zod';
import { DISCARD_REASONS, GATE_IDS, LINK_REASONS, LINK_STATES } from '../core/events.ts';
import { count, tUs, utc } from './message-parts.ts';

export const timeToGo = z.strictObject({
  s: z.number().describe('best estimate, seconds'),
  lowS: z.number().describe('earliest that can be expected'),
  highS: z.number().nullable().describe('null: no upper bound can be given'),
});

export const gate = z.strictObject({
  id: z.enum(GATE_IDS),
  open: z.boolean(),
  why: z.string().describe('code for the reason'),
  words: z.string().describe('the reason in English'),
  value: z.number().nullable().describe('as it stands; null where there is none yet'),
  limit: z.number().nullable().describe('what the value is held against'),
  unit: z.string().describe('UCUM unit of value and limit'),
  toGo: timeToGo.nullable().describe('until a shut gate is expected to open'),
  shutsIn: timeToGo.nullable().describe('until an open gate is expected to shut'),
});

export const channelValue = z.strictObject({
  value: z.number().describe('in the unit given in the snapshot'),
  quality: z.enum(['good', 'suspect', 'bad']),
  reason: z.string().nullable().describe('code for why it is not good'),
  ageS: z.number().describe('seconds since it came in'),
  stale: z.boolean().describe('older than three expected intervals: show it as old'),
});

export const instrumentHealth = z.strictObject({
  state: z.enum(LINK_STATES),
  reason: z.enum(LINK_REASONS),
  words: z.string().describe('what happened and what to do, in English'),
  connection: count.describe('connections in this run'),
  frames: count,
  floods: z.boolean().describe('sends so much more than the bench file says that it cannot be kept'),
  silentS: z.number().nullable().describe('seconds since the last frame; null before the first'),
  discarded: z.partialRecord(z.enum(DISCARD_REASONS), count).describe('frames and fragments that gave no number'),
});

export const live = z.strictObject({
  utc,
  tUs,
  ready: z.boolean(),
  gates: z.array(gate),
  levelMm: z.number().nullable().describe('at referenceC'),
  referenceC: z.number().describe('temperature that the level is brought to'),
  temperatureC: z.number().nullable().describe('of the fluid'),
  volumeL: z.number().nullable().describe('litres in the vessel, as level and temperature are; null without a vessel'),
  channels: z.record(z.string(), channelValue),
  instruments: z.record(z.string(), instrumentHealth),
  recording: z.boolean().describe('false while the disk cannot follow: nothing is being kept'),
});
