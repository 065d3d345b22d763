/**
 * Invented scenes of an invented bench, in the messages of the feed: a lift pump whose tank warms up. The tank's
 * curves are plain formulas, so that the pictures look like a warm-up.
 */
import type { EventMessage, History, Live, Snapshot } from '../../src/feed/messages.ts';

type Verdict = NonNullable<Snapshot['verdict']>;
type Reading = NonNullable<Snapshot['lastReading']>['reading'];
type Gate = Live['gates'][number];

export const TEMPERATURE = 'tank-temperature';
export const LEVEL = 'tank-level';
const SLOPE_MM_PER_K = 0.11;
const START_US = 812_400_000;

export const BENCH: Snapshot['bench'] = {
  name: 'Bay 2, lift pump tank',
  channels: [
    { id: TEMPERATURE, instrument: 'dip probe', quantity: 'temperature', unit: 'Cel', intervalS: 0.5 },
    { id: LEVEL, instrument: 'echo board', quantity: 'length', unit: 'mm', intervalS: 0.1 },
  ],
  levelChannel: LEVEL,
  temperatureChannel: TEMPERATURE,
  windowLowC: 45,
  windowHighC: 55,
  referenceC: 50,
  machineStates: [],
  matchToleranceMm: 1,
  toleranceMm: 0.5,
  wavesMm: 0.75,
};

/** °C of the tank, `s` seconds from now, on its way through `nowC`. */
function temperatureAt(s: number, nowC: number): number {
  const goal = 61;
  return goal - (goal - nowC) * Math.exp(-s / 900);
}

/** A wave that repeats slowly enough to look like noise. */
function ripple(s: number, size: number): number {
  return size * (Math.sin(s * 7.3) + Math.sin(s * 3.1 + 1) + Math.sin(s * 12.7 + 2)) * 0.5;
}

function gate(id: Gate['id'], open: boolean, words: string, over: Partial<Gate> = {}): Gate {
  return {
    id,
    open,
    why: open ? 'open' : 'shut',
    words,
    value: null,
    limit: null,
    unit: '1',
    toGo: null,
    shutsIn: null,
    ...over,
  };
}

const healthy: Live['instruments'] = {
  'dip probe': {
    state: 'open',
    reason: 'connected',
    words: 'Connected.',
    connection: 1,
    frames: 1184,
    floods: false,
    silentS: 0.2,
    discarded: { 'first-partial': 1 },
  },
  'echo board': {
    state: 'open',
    reason: 'connected',
    words: 'Connected.',
    connection: 2,
    frames: 5821,
    floods: false,
    silentS: 0,
    discarded: { 'first-partial': 2, 'cut-tail': 1, 'no-match': 7, 'bad-number': 3 },
  },
};

/** µs of the bench's own clock: its run began with the day. */
function clockOfRun(utcMs: number): number {
  return (utcMs % 86_400_000) * 1000;
}

/** Live values at `nowC`; `utcMs` is the bench's clock. */
function live(utcMs: number, nowC: number, ready: boolean, gates: Gate[]): Live {
  const levelMm = 62.31 + ripple(utcMs / 1000, 0.04);
  const raw = levelMm + SLOPE_MM_PER_K * (nowC - BENCH.referenceC);
  return {
    utc: new Date(utcMs).toISOString(),
    tUs: clockOfRun(utcMs),
    ready,
    gates,
    levelMm,
    referenceC: BENCH.referenceC,
    temperatureC: nowC,
    volumeL: 2.41,
    channels: {
      [TEMPERATURE]: { value: nowC, quality: 'good', reason: null, ageS: 0.1, stale: false },
      [LEVEL]: { value: raw, quality: 'good', reason: null, ageS: 0, stale: false },
    },
    instruments: structuredClone(healthy),
    recording: true,
  };
}

/** Too cold still: the window is the gate that holds everything up. */
export function waiting(utcMs: number, toGoS = 38): Live {
  return live(utcMs, 41.6, false, [
    gate('fresh', true, 'New values keep coming: temperature and level.', { value: 0.1, limit: 1.5, unit: 's' }),
    gate('record', true, 'The record is being kept.'),
    gate('window', false, '41.6 °C: too cold for the window of 45.0 to 55.0 °C.', {
      value: 41.6,
      limit: 45,
      unit: 'Cel',
      toGo: { s: toGoS, lowS: toGoS * 0.82, highS: toGoS * 1.4 },
    }),
    gate('answers', true, 'No sign that the level sensor is stuck.', { unit: 's' }),
    gate('air', true, 'The level sensor sees the surface well: no sign of air bubbles.', { value: 0, limit: 0.3 }),
    gate('calm', true, 'The surface is calm: waves of 0.21 mm.', {
      value: 0.21,
      limit: 0.75,
      unit: 'mm',
    }),
    gate('settled', false, 'The level still rises: up to 0.62 mm to go, 0.50 mm allowed.', {
      value: 0.62,
      limit: 0.5,
      unit: 'mm',
    }),
  ]);
}

export function ready(utcMs: number): Live {
  return live(utcMs, 48.3, true, [
    gate('fresh', true, 'New values keep coming: temperature and level.', { value: 0.1, limit: 1.5, unit: 's' }),
    gate('record', true, 'The record is being kept.'),
    gate('window', true, '48.3 °C is within 45.0 to 55.0 °C.', { value: 48.3, limit: 55, unit: 'Cel' }),
    gate('answers', true, 'No sign that the level sensor is stuck.', { unit: 's' }),
    gate('air', true, 'The level sensor sees the surface well: no sign of air bubbles.', { value: 0, limit: 0.3 }),
    gate('calm', true, 'The surface is calm: waves of 0.18 mm.', {
      value: 0.18,
      limit: 0.75,
      unit: 'mm',
    }),
    gate('settled', true, 'The level has settled: within 0.12 mm of where it comes to rest, 0.50 mm allowed.', {
      value: 0.12,
      limit: 0.5,
      unit: 'mm',
    }),
  ]);
}

/** The probe says nothing any more: its value is stale, its instrument closed. */
export function stale(utcMs: number): Live {
  const scene = waiting(utcMs);
  const value = scene.channels[TEMPERATURE];
  if (value !== undefined) Object.assign(value, { ageS: 7.4, stale: true });
  Object.assign(scene.instruments['dip probe'] ?? {}, {
    state: 'closed',
    reason: 'unplugged',
    words: 'Unplugged. Plug it in again; it is picked up by itself.',
    floods: false,
    silentS: 7.4,
  });
  scene.gates[0] = gate('fresh', false, `No new value for 7.4 s: ${TEMPERATURE}.`, {
    value: 7.4,
    limit: 1.5,
    unit: 's',
  });
  return scene;
}

export function reading(over: Partial<Reading> = {}): Reading {
  return {
    id: 17,
    cause: 'ready',
    job: 3,
    levelMm: 62.31,
    referenceC: 50,
    U95Mm: 0.37,
    coverageFactor: 2.03,
    budget: [
      line('level, repeated samples', 'A', 0.031, 'mm', 1, 41),
      line('level sensor', 'B', 0.15, 'mm', 1, null),
      line('level resolution', 'B', 0.029, 'mm', 1, null),
      line('temperature', 'B', 0.5, 'Cel', -0.11, null),
      line('slope of the level', 'B', 0.04, 'mm/K', 1.7, null),
    ],
    words: { level: '62.3 mm', sure: 'sure to four tenths of a millimetre' },
    basis: { levelChannel: LEVEL, temperatureChannel: TEMPERATURE, compensation: 'slope 0.11 mm/K', calibrations: [] },
    rawLevelMm: 62.12,
    temperatureC: 48.3,
    volumeL: 2.41,
    volumeU95L: 0.02,
    machineState: 'running, selector in neutral',
    used: 196,
    setAside: 4,
    firstSeq: 10_214,
    lastSeq: 10_455,
    fromUs: START_US - 20_000_000,
    toUs: START_US,
    ...over,
  };
}

function line(
  component: string,
  type: 'A' | 'B',
  u: number,
  unit: string,
  sensitivity: number,
  degreesOfFreedom: number | null,
): Reading['budget'][number] {
  const contributionMm = Math.abs(u * sensitivity);
  const distribution = type === 'A' ? 't' : 'normal';
  const stated = { shared: null, value: u, distribution, divisor: 1 } as const;
  return { component, type, ...stated, u, unit, sensitivity, contributionMm, degreesOfFreedom };
}

/** A level that lies too near to the edge of its tolerance. */
export function verdict(over: Partial<Verdict> = {}): Verdict {
  return {
    reading: 17,
    target: { from: 'reading', reading: 12 },
    result: 'undecided',
    why: null,
    words: 'As near as this bench can tell: 0.8 mm below the target. To tell more: leave the sensor fitted.',
    judged: {
      differenceMm: -0.81,
      U95Mm: 0.42,
      coverageFactor: 1.99,
      budget: [
        line('level sensor', 'B', 0.15, 'mm', 0, null),
        line('refitting the sensor', 'B', 0.15, 'mm', Math.SQRT2, null),
      ],
      toleranceMm: 1,
      guardMm: 0.35,
      probability: { below: 0.18, within: 0.82, above: 0 },
      improve: 'leave the sensor fitted',
    },
    accepted: null,
    ...over,
  };
}

export function verdictEvent(event: number, utcMs: number, over: Partial<Verdict> = {}): EventMessage {
  const utc = new Date(utcMs).toISOString();
  return { type: 'event', utc, outcome: { kind: 'verdict', ...numbered(event, utcMs), verdict: verdict(over) } };
}

export function snapshot(now: Live, over: Partial<Omit<Snapshot, 'type' | 'live'>> = {}): Snapshot {
  return {
    type: 'snapshot',
    event: 40,
    revision: 12,
    bench: BENCH,
    lastReading: null,
    job: { id: 3, label: 'Pump overhaul, first fill', readings: 2, referenceC: null },
    machine: { stated: null, circuit: null },
    target: null,
    verdict: null,
    alarms: [],
    ...over,
    live: now,
  };
}

const numbered = (event: number, utcMs: number) => ({
  event,
  run: 5,
  seq: 10_000 + event,
  tUs: clockOfRun(utcMs),
  algorithm: 1,
});

export function readingEvent(event: number, utcMs: number, over: Partial<Reading> = {}): EventMessage {
  const utc = new Date(utcMs).toISOString();
  return { type: 'event', utc, outcome: { kind: 'reading', ...numbered(event, utcMs), reading: reading(over) } };
}

export function readyEvent(event: number, utcMs: number, isReady: boolean): EventMessage {
  const utc = new Date(utcMs).toISOString();
  return {
    type: 'event',
    utc,
    outcome: { kind: 'ready', ...numbered(event, utcMs), ready: isReady, shut: [], numbers: null },
  };
}

/** The last minutes up to `nowMs` at one point a second, with a hole of half a minute where the cable was out. */
export function history(channel: string, seconds: number, nowMs: number, nowC: number): History {
  const found: History = { channel, unit: channel === LEVEL ? 'mm' : 'Cel', utcMs: [], min: [], max: [] };
  for (let s = -Math.min(seconds, 400); s < 0; s += 1) {
    if (s > -190 && s < -160) continue;
    const celsius = temperatureAt(s, nowC);
    const slosh = s > -330 && s < -270 ? 2.2 * Math.exp(-(s + 330) / 14) : 0;
    const level = 62.31 + SLOPE_MM_PER_K * (celsius - BENCH.referenceC) + ripple(s, 0.06);
    const noise = 0.09 + 0.05 * Math.abs(Math.sin(s * 1.7)) + slosh;
    const middle = channel === LEVEL ? level : celsius + ripple(s, 0.03);
    const half = channel === LEVEL ? noise : 0.05;
    found.utcMs.push(Math.round(nowMs + s * 1000));
    found.min.push(middle - half);
    found.max.push(middle + half);
  }
  return found;
}
