/**
 * Every message of the feed, once: validated with these schemas, published as JSON Schema, described in docs/feed.md.
 * The server speaks first: hello, then (with ?since=N) the missed events or cannot-replay, then snapshot, then events
 * and live values as they come. A change here that an old client could trip over is a new PROTOCOL_VERSION.
 */
import { z } from 'zod';
import { DISCARD_REASONS, GATE_IDS, LINK_REASONS, LINK_STATES, REFUSALS, ROLES } from '../core/events.ts';
import { NOT_COMPARABLE } from '../core/match/difference.ts';
import { VERDICTS } from '../core/match/verdict.ts';
import { DISTRIBUTIONS } from '../core/uncertainty/line.ts';

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
  stale: z.boolean().describe('older than three expected intervals and 0.6 s: show it as old'),
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

export const budgetLine = z.strictObject({
  component: z.string(),
  type: z.enum(['A', 'B']).describe('A: from statistics of this reading, B: from elsewhere'),
  shared: z.string().nullable().describe('lines with the same key are the same quantity and add with their signs'),
  value: z.number().describe('as stated, in unit: half a width, a standard deviation, an expanded uncertainty'),
  distribution: z.enum(DISTRIBUTIONS),
  divisor: z.number().describe('u = value / divisor'),
  u: z.number().describe('standard uncertainty in unit'),
  unit: z.string(),
  sensitivity: z.number().describe('mm per unit, with its sign'),
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
  words: z
    .strictObject({ level: z.string(), sure: z.string() })
    .describe('in English, in the figures that its uncertainty allows; with a comma between it is a sentence'),
  basis: z
    .strictObject({
      levelChannel: z.string(),
      temperatureChannel: z.string(),
      compensation: z.string().describe('the way to referenceC, with its figures'),
      calibrations: z.array(z.string()).describe('certificates in force'),
    })
    .describe('what it was made with: only readings of one basis are compared'),
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

export const job = z.strictObject({
  id: count,
  label: z.string(),
  readings: count,
  referenceC: z.number().nullable().describe('temperature that its readings are brought to; null before the first'),
});

export const machine = z.strictObject({
  stated: z.string().nullable().describe('in the words of the bench; null while nobody has said'),
  circuit: z.string().nullable().describe('state of the circuit; null without one'),
});

const slope = z.strictObject({ mmPerK: z.number(), uMmPerK: z.number().describe('standard uncertainty') });

export const target = z.discriminatedUnion('from', [
  z.strictObject({ from: z.literal('reading'), reading: count.describe('id of a reading of the open job') }),
  z.strictObject({
    from: z.literal('level'),
    levelMm: z.number().describe('at the reference temperature'),
    uMm: z.number().nonnegative().describe('its standard uncertainty'),
  }),
]);

export const verdict = z.strictObject({
  reading: count.describe('id of the reading that is judged'),
  target,
  result: z.enum(VERDICTS).describe('undecided: as near as this bench can tell'),
  why: z.enum(NOT_COMPARABLE).nullable().describe('why it is not comparable'),
  words: z.string().describe('the same in English'),
  judged: z
    .strictObject({
      differenceMm: z.number().describe('reading minus target'),
      U95Mm: z.number().describe('expanded uncertainty of the difference, about 95 %'),
      coverageFactor: z.number(),
      budget: z.array(budgetLine).describe('of the difference: what both have in common has cancelled'),
      toleranceMm: z.number(),
      guardMm: z.number().nullable().describe('so far inside the tolerance it counts as within; null: nothing would'),
      probability: z.strictObject({ below: z.number(), within: z.number(), above: z.number() }),
      improve: z.string().nullable().describe('what would make it surer'),
    })
    .nullable()
    .describe('null where it is not comparable'),
  accepted: z
    .strictObject({ actor: z.string(), reason: z.string() })
    .nullable()
    .describe('who took an undecided one as good, and why'),
});

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
  z.strictObject({
    type: z.literal('state-machine'),
    state: z.string().min(1).max(80).describe('one of machineStates of the bench'),
  }),
  z.strictObject({ type: z.literal('start-job'), label: z.string().min(1).max(200) }),
  z.strictObject({ type: z.literal('set-target'), target }),
  z.strictObject({ type: z.literal('accept'), reason: z.string().min(1).max(500) }),
  z.strictObject({ type: z.literal('close-job') }),
  z.strictObject({
    type: z.literal('check-zero'),
    expectedMm: z.number().describe('what the level sensor ought to show on the block that it stands on'),
  }),
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
  z.strictObject({ kind: z.literal('target'), ...numbered, target }),
  z.strictObject({ kind: z.literal('verdict'), ...numbered, verdict }),
  z.strictObject({
    kind: z.literal('alarm'),
    ...numbered,
    alarm: z.string().describe('code'),
    source: z.string().describe('instrument, channel or part of the software'),
    state: z.enum(['active', 'returned']).describe('returned: normal again'),
    why: z.string(),
  }),
  z.strictObject({
    kind: z.literal('machine'),
    ...numbered,
    machine,
    cause: z.enum(['stated', 'level-fell', 'level-rose']).describe('a person said so, or the level showed it'),
  }),
  z.strictObject({
    kind: z.literal('slope'),
    ...numbered,
    learned: slope
      .extend({ fromC: z.number(), toC: z.number(), points: count.describe('temperature steps that it rests on') })
      .nullable()
      .describe('what the warm-up taught; null where it taught nothing'),
    refusal: z.enum(['too-short', 'curved', 'jumped']).nullable().describe('why it taught nothing'),
    model: slope.nullable().describe('what the bench says of itself'),
    agrees: z.boolean().nullable().describe('within twice the uncertainty of their difference'),
    inUse: z.boolean().describe('readings use what was learned from here on'),
  }),
  z.strictObject({
    kind: z.literal('zero-check'),
    ...numbered,
    check: z.strictObject({
      job: count,
      channel: z.string(),
      expectedMm: z.number(),
      meanMm: z.number().describe('as shown on the block'),
      uMm: z.number().describe('standard uncertainty of that mean'),
      count,
      errorMm: z.number().describe('shown minus expected'),
      driftMm: z.number().nullable().describe('since the check before in this job; null for the first'),
      limitMm: z.number().describe('drift allowed'),
      suspect: z.array(count).describe('readings since the check before, where the drift is over the limit'),
    }),
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
    referenceC: z.number().describe('temperature that levels are brought to, until the first reading of a job decides'),
    machineStates: z.array(z.string()).describe('words for the states of the machine'),
    matchToleranceMm: z.number().nullable().describe('how far a level may lie from its target; null: no targets here'),
    toleranceMm: z.number().describe('how far the level may be from where it comes to rest'),
    wavesMm: z.number().describe('how high waves may be'),
  }),
  live,
  lastReading: z.strictObject({ event: count, utc, reading }).nullable(),
  job: job.nullable(),
  machine,
  target: target.nullable().describe('of the open job'),
  verdict: verdict.nullable().describe('the newest of the open job'),
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
