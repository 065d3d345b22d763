/** One example of every message, for docs/feed.md: an invented bench that has just given its first reading. */

import type { z } from 'zod';
import type { eventsPage, httpError } from './http-messages.ts';
import { JOB_EXAMPLE } from './job-example.ts';
import type { ClientMessage, EventMessage, History, Live, ServerMessage, Snapshot } from './messages.ts';

const live: Live = {
  utc: '2031-05-06T09:41:07.250Z',
  tUs: 182_250_000,
  ready: true,
  gates: [
    {
      id: 'window',
      open: true,
      why: 'inside',
      words: '41.2 °C is within 38.0 to 44.0 °C.',
      value: 41.2,
      limit: 44,
      unit: 'Cel',
      toGo: null,
      shutsIn: { s: 340, lowS: 250, highS: 520 },
    },
    {
      id: 'settled',
      open: true,
      why: 'settled',
      words: 'The level has settled: within 0.11 mm of where it comes to rest, 0.60 mm allowed.',
      value: 0.11,
      limit: 0.6,
      unit: 'mm',
      toGo: null,
      shutsIn: null,
    },
  ],
  levelMm: 63.42,
  referenceC: 40,
  temperatureC: 41.2,
  volumeL: 2.41,
  channels: {
    'oil-temperature': { value: 41.2, quality: 'good', reason: null, ageS: 0.25, stale: false },
    'oil-level': { value: 63.71, quality: 'good', reason: null, ageS: 0.05, stale: false },
  },
  instruments: {
    probe: {
      state: 'open',
      reason: 'connected',
      words: 'Connected.',
      connection: 1,
      frames: 364,
      floods: false,
      silentS: 0.25,
      discarded: { 'first-partial': 1, 'no-match': 3 },
    },
  },
  recording: true,
};

const reading: NonNullable<Snapshot['lastReading']>['reading'] = {
  id: 1,
  cause: 'ready',
  job: 1,
  levelMm: 63.42,
  referenceC: 40,
  U95Mm: 0.31,
  coverageFactor: 2.03,
  budget: [
    {
      component: 'repeatability',
      type: 'A',
      shared: null,
      value: 0.03,
      distribution: 't',
      divisor: 1,
      u: 0.03,
      unit: 'mm',
      sensitivity: 1,
      contributionMm: 0.03,
      degreesOfFreedom: 38,
    },
    {
      component: 'level instrument',
      type: 'B',
      shared: 'instrument oil-level',
      value: 0.15,
      distribution: 'normal',
      divisor: 1,
      u: 0.15,
      unit: 'mm',
      sensitivity: 1,
      contributionMm: 0.15,
      degreesOfFreedom: null,
    },
  ],
  words: { level: '63.4 mm', sure: 'sure to four tenths of a millimetre' },
  basis: {
    levelChannel: 'oil-level',
    temperatureChannel: 'oil-temperature',
    compensation: 'slope 0.24 mm/K',
    calibrations: [],
  },
  rawLevelMm: 63.71,
  temperatureC: 41.2,
  volumeL: 2.41,
  volumeU95L: 0.02,
  machineState: 'not stated',
  used: 196,
  setAside: 2,
  firstSeq: 2210,
  lastSeq: 2611,
  fromUs: 162_000_000,
  toUs: 182_000_000,
};

const numbered = { event: 7, run: 2, seq: 2611, tUs: 182_000_000, algorithm: 1 };

const snapshot: Snapshot = {
  type: 'snapshot',
  event: 7,
  revision: 3,
  bench: {
    name: 'Bay 3',
    channels: [
      { id: 'oil-temperature', instrument: 'probe', quantity: 'temperature', unit: 'Cel', intervalS: 0.5 },
      { id: 'oil-level', instrument: 'sounder', quantity: 'length', unit: 'mm', intervalS: 0.1 },
    ],
    levelChannel: 'oil-level',
    temperatureChannel: 'oil-temperature',
    windowLowC: 38,
    windowHighC: 44,
    referenceC: 40,
    machineStates: ['idling in park', 'idling in neutral'],
    matchToleranceMm: 1,
    toleranceMm: 0.6,
    wavesMm: 0.9,
    procedures: [],
  },
  live,
  lastReading: { event: 7, utc: '2031-05-06T09:41:07.000Z', reading },
  job: { id: 1, label: 'Morning check', readings: 1, referenceC: 40 },
  progress: null,
  machineTypes: [],
  lastStart: { procedure: null, machineType: null },
  machine: { stated: 'idling in park', circuit: null },
  target: null,
  verdict: null,
  alarms: [
    {
      alarm: 'low-oil',
      source: 'oil-level',
      state: 'acknowledged',
      active: true,
      priority: 'high',
      why: 'oil-level 63.7 mm is below 65.0 mm',
      message: 'Top up before the machine runs under load.',
      value: 63.68,
      limit: 65,
      unit: 'mm',
      utc: '2031-05-06T09:41:05.100Z',
      acknowledgedBy: 'Mira',
      shelved: null,
    },
  ],
};

const event: EventMessage = {
  type: 'event',
  utc: '2031-05-06T09:41:07.000Z',
  outcome: { kind: 'reading', ...numbered, reading },
};

const becameReady: EventMessage = {
  type: 'event',
  utc: '2031-05-06T09:41:06.500Z',
  outcome: {
    kind: 'ready',
    ...numbered,
    event: 6,
    seq: 2604,
    tUs: 181_500_000,
    ready: true,
    shut: [],
    numbers: {
      driftMmPerMin: 0.04,
      uDriftMmPerMin: 0.11,
      noiseMm: 0.16,
      used: 84,
      effective: 52.5,
      setAsideShare: 0.012,
      boundMm: 0.11,
    },
  },
};

const history: History = {
  channel: 'oil-temperature',
  unit: 'Cel',
  utcMs: [1_935_826_860_000, 1_935_826_861_000],
  min: [41.15, 41.2],
  max: [41.2, 41.25],
};

const page: z.infer<typeof eventsPage> = { journal: 'b7f0c2a4', lastEvent: 7, events: [becameReady] };

const httpFailure: z.infer<typeof httpError> = {
  code: 'bad-query',
  words: 'limit: expected 1 to 1000. GET /api/schema has the form.',
  id: '6d0f1c7e-52a1-4b39-9a57-0c2d7f5d9c11',
};

export const SERVER_EXAMPLES: { readonly [Type in ServerMessage['type']]: Extract<ServerMessage, { type: Type }> } = {
  hello: { type: 'hello', protocol: 1, software: '0.1.0', bench: 'Bay 3', journal: 'b7f0c2a4', lastEvent: 7 },
  'cannot-replay': {
    type: 'cannot-replay',
    since: 41,
    lastEvent: 7,
    why: 'ahead',
    words: 'This number is not given yet. Start from the snapshot.',
  },
  snapshot,
  event,
  job: JOB_EXAMPLE,
  live: { type: 'live', ...live },
  'action-result': {
    type: 'action-result',
    actionId: 'tablet-2-0000018',
    accepted: true,
    refusal: null,
    words: 'Done, and on record.',
    revision: 4,
    event: 8,
  },
  error: { type: 'error', code: 'not-json', words: 'This is not JSON.' },
};

export const CLIENT_EXAMPLES: { readonly [Type in ClientMessage['type']]: Extract<ClientMessage, { type: Type }> } = {
  action: {
    type: 'action',
    actionId: 'tablet-2-0000018',
    actor: 'Mira',
    role: 'technician',
    expectedRevision: 3,
    body: { type: 'note', text: 'Topped up before the second reading.' },
  },
};

export const HTTP_EXAMPLES = { history, 'events-page': page, 'http-error': httpFailure } as const;
