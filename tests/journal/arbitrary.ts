/** Any input and any outcome, of every kind: a new kind without an arbitrary does not compile. */
import fc from 'fast-check';
import {
  type ActionBody,
  DISCARD_REASONS,
  GATE_IDS,
  type Input,
  LINK_REASONS,
  LINK_STATES,
  type Outcome,
  REFUSALS,
  ROLES,
} from '../../src/core/events.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { BENCH } from './scenario.ts';

type Body<T, K> = T extends { kind: K } ? Omit<T, 'seq' | 'tUs' | 'event' | 'run' | 'algorithm'> : never;

/** Objects with the usual prototype: what is decoded has it too. */
const record = <T>(model: { [K in keyof T]: fc.Arbitrary<T[K]> }) =>
  fc.record(model, { noNullPrototype: true }) as fc.Arbitrary<T>;

const count = fc.maxSafeNat();
const small = fc.nat({ max: 1e6 });
/** Any finite double but -0, which comes back as 0 (a test of its own). */
const number = fc.double({ noNaN: true, noDefaultInfinity: true }).map((value) => (value === 0 ? 0 : value));
const text = fc.string({ unit: 'binary' });
const bytes = fc.uint8Array({ maxLength: 64 });
const role = fc.constantFrom(...ROLES);

const ACTIONS: { readonly [K in ActionBody['type']]: fc.Arbitrary<Extract<ActionBody, { type: K }>> } = {
  'take-reading': record({ type: fc.constant('take-reading' as const) }),
  note: record({ type: fc.constant('note' as const), text }),
  'type-value': record({ type: fc.constant('type-value' as const), channel: text, value: number }),
  'start-job': record({ type: fc.constant('start-job' as const), label: text }),
  'close-job': record({ type: fc.constant('close-job' as const) }),
};
const actionBody: fc.Arbitrary<ActionBody> = fc.oneof(...(Object.values(ACTIONS) as fc.Arbitrary<ActionBody>[]));
const job = record({ id: small, label: text, readings: small });
const budgetLine = record({
  component: text,
  type: fc.constantFrom('A' as const, 'B' as const),
  u: number,
  unit: text,
  sensitivity: number,
  contributionMm: number,
  degreesOfFreedom: fc.option(number),
});
const reading = record({
  id: small,
  cause: fc.constantFrom('ready' as const, 'asked' as const),
  job: fc.option(small),
  levelMm: number,
  referenceC: number,
  U95Mm: number,
  coverageFactor: number,
  budget: fc.array(budgetLine, { maxLength: 4 }),
  rawLevelMm: number,
  temperatureC: number,
  volumeL: fc.option(number),
  volumeU95L: fc.option(number),
  machineState: text,
  used: small,
  setAside: small,
  firstSeq: count,
  lastSeq: count,
  fromUs: count,
  toUs: count,
});
const carried = record({
  lastEvent: small,
  revision: small,
  job: fc.option(job),
  lastJobId: small,
  lastReadingId: small,
  lastReading: fc.option(reading),
});

const INPUTS: { readonly [K in Input['kind']]: fc.Arbitrary<Body<Input, K>> } = {
  'run-start': record({
    kind: fc.constant('run-start' as const),
    run: small,
    schema: small,
    algorithm: small,
    software: text,
    bench: fc.constant(BENCH),
    drivers: fc.dictionary(
      text.filter((key) => key !== '__proto__'),
      text,
      { maxKeys: 3, noNullPrototype: true },
    ),
    numerics: text,
    carried,
  }),
  wall: record({
    kind: fc.constant('wall' as const),
    utcMs: count,
    zone: text,
    offsetMin: fc.integer({ min: -900, max: 900 }),
    cause: fc.constantFrom('start' as const, 'hourly' as const, 'step' as const),
  }),
  link: record({
    kind: fc.constant('link' as const),
    instrument: text,
    state: fc.constantFrom(...LINK_STATES),
    reason: fc.constantFrom(...LINK_REASONS),
    connection: small,
    detail: text,
  }),
  frame: record({ kind: fc.constant('frame' as const), instrument: text, connection: small, bytes, request: count }),
  discard: record({
    kind: fc.constant('discard' as const),
    instrument: text,
    connection: small,
    reason: fc.constantFrom(...DISCARD_REASONS),
    count,
    bytes,
  }),
  'write-result': record({
    kind: fc.constant('write-result' as const),
    instrument: text,
    request: count,
    ok: fc.boolean(),
    detail: text,
  }),
  gap: record({
    kind: fc.constant('gap' as const),
    cause: fc.constantFrom('clock-jump' as const, 'journal-behind' as const),
    lostUs: count,
    lostFrames: count,
    ongoing: fc.boolean(),
  }),
  tick: record({ kind: fc.constant('tick' as const) }),
  action: record({
    kind: fc.constant('action' as const),
    actionId: text,
    actor: text,
    role,
    expectedRevision: count,
    body: actionBody,
  }),
};

const OUTCOMES: { readonly [K in Outcome['kind']]: fc.Arbitrary<Body<Outcome, K>> } = {
  ready: record({
    kind: fc.constant('ready' as const),
    ready: fc.boolean(),
    shut: fc.array(fc.constantFrom(...GATE_IDS), { maxLength: 6 }),
    numbers: fc.option(
      record({
        driftMmPerMin: number,
        uDriftMmPerMin: number,
        noiseMm: number,
        used: count,
        effective: number,
        setAsideShare: number,
        boundMm: number,
      }),
    ),
  }),
  reading: record({ kind: fc.constant('reading' as const), reading }),
  action: record({
    kind: fc.constant('action' as const),
    actionId: text,
    actor: text,
    role,
    body: actionBody,
    accepted: fc.boolean(),
    refusal: fc.option(fc.constantFrom(...REFUSALS)),
    revision: small,
  }),
  job: record({
    kind: fc.constant('job' as const),
    change: fc.constantFrom('started' as const, 'closed' as const),
    job,
  }),
  alarm: record({
    kind: fc.constant('alarm' as const),
    alarm: text,
    source: text,
    state: fc.constantFrom('active' as const, 'returned' as const),
    why: text,
  }),
  fault: record({ kind: fc.constant('fault' as const), source: text, code: text, detail: text }),
};

const stamp = record({ seq: count, tUs: count });
const outcomeStamp = record({ seq: count, tUs: count, event: small, run: small, algorithm: small });

export const anyInput: fc.Arbitrary<Entry> = fc
  .tuple(stamp, fc.oneof(...(Object.values(INPUTS) as fc.Arbitrary<object>[])))
  .map(([place, body]) => ({ kind: 'input', input: { ...body, ...place } as Input }));

export const anyOutcome: fc.Arbitrary<Entry> = fc
  .tuple(outcomeStamp, fc.oneof(...(Object.values(OUTCOMES) as fc.Arbitrary<object>[])))
  .map(([place, body]) => ({ kind: 'outcome', outcome: { ...body, ...place } as Outcome }));

export const anyEntry: fc.Arbitrary<Entry> = fc.oneof(anyInput, anyOutcome);
