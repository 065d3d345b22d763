/**
 * Every message of the feed, once: validated with these schemas, published as JSON Schema, described in docs/feed.md.
 * The server speaks first: hello, then (with ?since=N) the missed events or cannot-replay, then snapshot, then events
 * and live values as they come. A change here that an old client could trip over is a new PROTOCOL_VERSION.
 */
import { z } from 'zod';
import { DISCARD_REASONS, GATE_IDS, LINK_REASONS, LINK_STATES, REFUSALS, ROLES } from '../core/events.ts';

export const PROTOCOL_VERSION = 1;

const count = z.int().nonnegative();
const utc = z.iso.datetime().describe('UTC, ISO 8601 with milliseconds');
const tUs = count.describe('µs of the monotonic clock since the run began');

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
  silentS: z.number().nullable().describe('seconds since the last frame; null before the first'),
  discarded: z.partialRecord(z.enum(DISCARD_REASONS), count).describe('frames and fragments that gave no number'),
});

export const live = z.strictObject({
  utc,
  tUs,
  ready: z.boolean(),
  gates: z.array(gate),
  levelMm: z.number().nullable().describe('at the reference temperature'),
  temperatureC: z.number().nullable().describe('of the fluid'),
  volumeL: z.number().nullable().describe('litres in the vessel, as level and temperature are; null without a vessel'),
  channels: z.record(z.string(), channelValue),
  instruments: z.record(z.string(), instrumentHealth),
  recording: z.boolean().describe('false while the disk cannot follow: nothing is being kept'),
});

export const budgetLine = z.strictObject({
  component: z.string(),
  type: z.enum(['A', 'B']),
  u: z.number().describe('standard uncertainty in unit'),
  unit: z.string(),
  sensitivity: z.number().describe('mm per unit'),
  contributionMm: z.number().describe('size of sensitivity × u'),
  degreesOfFreedom: z.number().nullable().describe('null: infinite'),
});

export const reading = z.strictObject({
  id: count.describe('counts the readings of the journal, from 1'),
  cause: z
    .enum(['ready', 'asked', 'anyway'])
    .describe('became ready by itself, a person asked, or a person took it although it was not ready'),
  job: count.nullable().describe('job that it belongs to'),
  levelMm: z.number().describe('at referenceC'),
  referenceC: z.number(),
  U95Mm: z.number().describe('expanded uncertainty, about 95 %'),
  coverageFactor: z.number().describe('expanded = this factor × combined standard uncertainty'),
  budget: z.array(budgetLine),
  rawLevelMm: z.number().describe('as measured, before compensation'),
  temperatureC: z.number().describe('of the fluid, over the same time'),
  volumeL: z.number().nullable().describe('litres in the vessel at rawLevelMm; null without a vessel'),
  volumeU95L: z.number().nullable().describe('its expanded uncertainty, about 95 %'),
  machineState: z.string(),
  used: count.describe('values that it rests on'),
  setAside: count.describe('values left out as outliers'),
  firstSeq: count.describe('first frame that it rests on, by sequence number in the journal'),
  lastSeq: count.describe('last frame that it rests on'),
  fromUs: tUs,
  toUs: tUs,
});

export const job = z.strictObject({ id: count, label: z.string(), readings: count });

export const actionBody = z.discriminatedUnion('type', [
  z.strictObject({
    type: z.literal('take-reading'),
    anyway: z.string().min(1).max(500).exactOptional().describe('why it is taken although not every gate is open'),
  }),
  z.strictObject({
    type: z.literal('type-value'),
    channel: z.string().describe('a channel that is typed by a person'),
    value: z.number().describe('as read from the other display, in the unit of the channel'),
  }),
  z.strictObject({ type: z.literal('note'), text: z.string().min(1).max(2000) }),
  z.strictObject({ type: z.literal('start-job'), label: z.string().min(1).max(200) }),
  z.strictObject({ type: z.literal('close-job') }),
]);

/** The one envelope for every action, over WebSocket and HTTP. */
export const actionRequest = z.strictObject({
  actionId: z.string().min(8).max(64).describe('made by the client; the same id again returns the first outcome'),
  actor: z.string().min(1).max(80),
  role: z.enum(ROLES),
  expectedRevision: count.describe('revision of the snapshot or action-result acted upon'),
  body: actionBody,
});

const numbered = {
  event: count.describe('counts over the whole journal, from 1'),
  run: count.describe('counts the starts of this bench'),
  seq: count.describe('input that led to it, by sequence number in the journal'),
  tUs,
  algorithm: count.describe('version of the mathematics'),
};

export const steadyNumbers = z.strictObject({
  driftMmPerMin: z.number().describe('speed of the level'),
  uDriftMmPerMin: z.number().describe('its standard uncertainty'),
  noiseMm: z.number().describe('standard deviation of single values'),
  used: count.describe('values that it rests on'),
  effective: z.number().describe('independent values that those are worth'),
  setAsideShare: z.number().describe('share of values set aside as wild'),
  boundMm: z.number().describe('no farther than this from where it comes to rest'),
});

export const outcome = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('ready'),
    ...numbered,
    ready: z.boolean(),
    shut: z.array(z.enum(GATE_IDS)).describe('gates that are shut'),
    numbers: steadyNumbers.nullable().describe('what the level does; null while too little is known of it'),
  }),
  z.strictObject({ kind: z.literal('reading'), ...numbered, reading }),
  z.strictObject({
    kind: z.literal('action'),
    ...numbered,
    actionId: z.string(),
    actor: z.string(),
    role: z.enum(ROLES),
    body: actionBody,
    accepted: z.boolean(),
    refusal: z.enum(REFUSALS).nullable(),
    revision: count.describe('after it'),
  }),
  z.strictObject({ kind: z.literal('job'), ...numbered, change: z.enum(['started', 'closed']), job }),
  z.strictObject({
    kind: z.literal('alarm'),
    ...numbered,
    alarm: z.string().describe('code'),
    source: z.string().describe('instrument, channel or part of the software'),
    state: z.enum(['active', 'returned']).describe('returned: normal again'),
    why: z.string(),
  }),
  z.strictObject({
    kind: z.literal('fault'),
    ...numbered,
    source: z.string(),
    code: z.string(),
    detail: z.string(),
  }),
]);

export const hello = z.strictObject({
  type: z.literal('hello'),
  protocol: z.literal(PROTOCOL_VERSION),
  software: z.string(),
  bench: z.string(),
  journal: z.string().describe('id of the journal: event numbers of another journal mean nothing here'),
  lastEvent: count.describe('newest event number; 0 before the first'),
});

export const snapshot = z.strictObject({
  type: z.literal('snapshot'),
  event: count.describe('everything up to this event number is in here'),
  revision: count.describe('to be given with an action'),
  bench: z.strictObject({
    name: z.string(),
    channels: z.array(
      z.strictObject({
        id: z.string(),
        instrument: z.string(),
        quantity: z.string(),
        unit: z.string().describe('UCUM unit of every value of this channel'),
        intervalS: z.number().describe('expected time between two values'),
      }),
    ),
    levelChannel: z.string(),
    temperatureChannel: z.string(),
    windowLowC: z.number().describe('a reading counts from here'),
    windowHighC: z.number().describe('to here'),
    referenceC: z.number().describe('temperature that levels are brought to'),
    toleranceMm: z.number().describe('how far the level may be from where it comes to rest'),
    wavesMm: z.number().describe('how high waves may be'),
  }),
  live,
  lastReading: z.strictObject({ event: count, utc, reading }).nullable(),
  job: job.nullable(),
  alarms: z.array(z.strictObject({ alarm: z.string(), source: z.string(), why: z.string(), utc })),
});

export const liveMessage = live.extend({ type: z.literal('live') });

export const eventMessage = z.strictObject({ type: z.literal('event'), utc, outcome });

export const cannotReplay = z.strictObject({
  type: z.literal('cannot-replay'),
  since: count,
  lastEvent: count,
  why: z.enum(['other-journal', 'ahead', 'too-many']),
  words: z.string(),
});

export const actionResult = z.strictObject({
  type: z.literal('action-result'),
  actionId: z.string(),
  accepted: z.boolean(),
  refusal: z.enum(REFUSALS).nullable(),
  words: z.string().describe('the same in English'),
  revision: count.describe('to be given with the next action'),
  event: count.nullable().describe('number of the durable outcome; null if it never reached the core'),
});

export const errorMessage = z.strictObject({
  type: z.literal('error'),
  code: z.string(),
  words: z.string(),
});

export const serverMessage = z.discriminatedUnion('type', [
  hello,
  snapshot,
  liveMessage,
  eventMessage,
  cannotReplay,
  actionResult,
  errorMessage,
]);

export const clientMessage = z.discriminatedUnion('type', [actionRequest.extend({ type: z.literal('action') })]);

/** GET /api/history: columns, ready for a chart. */
export const history = z.strictObject({
  channel: z.string(),
  unit: z.string().describe('UCUM unit of min and max'),
  utcMs: z.array(z.number()).describe('start of each stretch, ms since 1970'),
  min: z.array(z.number()).describe('least of each stretch'),
  max: z.array(z.number()).describe('most of each stretch'),
});

export type Live = z.infer<typeof live>;
export type Snapshot = z.infer<typeof snapshot>;
export type EventMessage = z.infer<typeof eventMessage>;
export type Hello = z.infer<typeof hello>;
export type ActionResult = z.infer<typeof actionResult>;
export type ServerMessage = z.infer<typeof serverMessage>;
export type ClientMessage = z.infer<typeof clientMessage>;
export type History = z.infer<typeof history>;

/** What the feed server needs of the bench. */
export interface FeedSource {
  hello(): Hello;
  /** Announced (durable) state and the latest live values. */
  snapshot(): Snapshot;
  live(): Live;
  /** Newest durable event number. */
  lastEvent(): number;
  /** Durable events after `since`, ascending, at most `limit`. */
  events(since: number, limit: number): Promise<readonly EventMessage[]>;
  history(channel: string, seconds: number, most: number): Promise<History | null>;
  /** Settles once the outcome is durable, or at once where it is refused before the core. */
  act(request: z.infer<typeof actionRequest>): Promise<ActionResult>;
  /** `onEvents` when lastEvent() grew; `onLive` when live values changed (the server decides how often to send). */
  subscribe(listener: { onEvents(): void; onLive(): void }): () => void;
}
