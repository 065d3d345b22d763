/** Any input and any outcome, of every kind: a new kind without an arbitrary does not compile. */
import fc from 'fast-check';
import { ALARM_PRIORITIES } from '../../src/core/alarms/description.ts';
import { ALARM_CHANGES, ALARM_STATES } from '../../src/core/alarms/state-machine.ts';
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
  type TargetAsked,
} from '../../src/core/events.ts';
import { beginning } from '../../src/core/job/progress.ts';
import { NOT_COMPARABLE } from '../../src/core/match/difference.ts';
import { VERDICTS } from '../../src/core/match/verdict.ts';
import { AMOUNT_KINDS } from '../../src/core/requests.ts';
import { DISTRIBUTIONS } from '../../src/core/uncertainty/line.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { PROCEDURE } from '../support/procedure.ts';
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

const target: fc.Arbitrary<TargetAsked> = fc.oneof(
  record({ from: fc.constant('reading' as const), reading: small }),
  record({ from: fc.constant('level' as const), levelMm: number, uMm: number }),
);

const ACTIONS: { readonly [K in ActionBody['type']]: fc.Arbitrary<Extract<ActionBody, { type: K }>> } = {
  'take-reading': record({ type: fc.constant('take-reading' as const) }),
  note: record({ type: fc.constant('note' as const), text }),
  'type-value': record({ type: fc.constant('type-value' as const), channel: text, value: number }),
  'state-machine': record({ type: fc.constant('state-machine' as const), state: text }),
  'start-job': record({ type: fc.constant('start-job' as const), label: text }),
  'set-target': record({ type: fc.constant('set-target' as const), target }),
  accept: record({ type: fc.constant('accept' as const), reason: text }),
  'close-job': record({ type: fc.constant('close-job' as const) }),
  'check-zero': record({ type: fc.constant('check-zero' as const), expectedMm: number }),
  confirm: record({ type: fc.constant('confirm' as const), step: text, ticks: fc.array(text, { maxLength: 3 }) }),
  enter: record({ type: fc.constant('enter' as const), name: text, value: fc.oneof(number, text) }),
  'record-amount': record({
    ...{ type: fc.constant('record-amount' as const), kind: fc.constantFrom(...AMOUNT_KINDS) },
    ...{ amount: number, measure: text, tC: number },
  }),
  answer: record({ type: fc.constant('answer' as const), step: text, answer: text }),
  'skip-step': record({ type: fc.constant('skip-step' as const), step: text, reason: text }),
  'go-back': record({ type: fc.constant('go-back' as const), to: text, reason: text }),
  engine: record({ type: fc.constant('engine' as const), running: fc.boolean() }),
  'pause-job': record({ type: fc.constant('pause-job' as const), reason: text }),
  'resume-job': record({ type: fc.constant('resume-job' as const) }),
  'acknowledge-alarm': record({ type: fc.constant('acknowledge-alarm' as const), alarm: text, source: text }),
  'shelve-alarm': record({
    type: fc.constant('shelve-alarm' as const),
    ...{ alarm: text, source: text, forS: number, reason: text },
  }),
  'unshelve-alarm': record({ type: fc.constant('unshelve-alarm' as const), alarm: text, source: text }),
};
const actionBody: fc.Arbitrary<ActionBody> = fc.oneof(...(Object.values(ACTIONS) as fc.Arbitrary<ActionBody>[]));
const job = record({ id: small, label: text, readings: small, referenceC: fc.option(number) });
const machine = record({ stated: fc.option(text), circuit: fc.option(text) });
const slope = { mmPerK: number, uMmPerK: number };
const learned = record({ ...slope, fromC: number, toC: number, points: small });
const budgetLine = record({
  component: text,
  type: fc.constantFrom('A' as const, 'B' as const),
  shared: fc.option(text),
  value: number,
  distribution: fc.constantFrom(...DISTRIBUTIONS),
  divisor: number,
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
  words: record({ level: text, sure: text }),
  basis: record({
    levelChannel: text,
    temperatureChannel: text,
    compensation: text,
    calibrations: fc.array(text, { maxLength: 2 }),
  }),
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
const verdict = record({
  reading: small,
  target,
  result: fc.constantFrom(...VERDICTS),
  why: fc.option(fc.constantFrom(...NOT_COMPARABLE)),
  words: text,
  judged: fc.option(
    record({
      differenceMm: number,
      U95Mm: number,
      coverageFactor: number,
      budget: fc.array(budgetLine, { maxLength: 4 }),
      toleranceMm: number,
      guardMm: fc.option(number),
      probability: record({ below: number, within: number, above: number }),
      improve: fc.option(text),
    }),
  ),
  accepted: fc.option(record({ actor: text, reason: text })),
});
const zeroCheck = record({
  job: small,
  channel: text,
  expectedMm: number,
  meanMm: number,
  uMm: number,
  count: small,
  errorMm: number,
  driftMm: fc.option(number),
  limitMm: number,
  suspect: fc.array(small, { maxLength: 4 }),
});
const alarm = {
  alarm: text,
  source: text,
  stands: fc.constantFrom(...ALARM_STATES),
  priority: fc.constantFrom(...ALARM_PRIORITIES),
  why: text,
  message: fc.option(text),
  value: fc.option(number),
  limit: fc.option(number),
  unit: fc.option(text),
};
const carried = record({
  zero: fc.option(record({ checks: fc.array(zeroCheck, { maxLength: 2 }), since: fc.array(small, { maxLength: 3 }) })),
  lastEvent: small,
  revision: small,
  job: fc.option(job),
  lastJobId: small,
  lastReadingId: small,
  ready: fc.boolean(),
  lastReading: fc.option(reading),
  machine,
  learned: fc.option(learned),
  jobReadings: fc.array(reading, { maxLength: 2 }),
  target: fc.option(
    fc.oneof(
      record({ from: fc.constant('level' as const), levelMm: number, uMm: number }),
      record({ from: fc.constant('reading' as const), reading }),
    ),
  ),
  lastVerdict: fc.option(verdict),
  procedure: fc.option(fc.constant(PROCEDURE)),
  progress: fc.option(fc.constant(beginning(PROCEDURE, null, { event: 3, run: 1, tUs: 0, reading: 0, zeroChecks: 0 }))),
  learnedInJob: fc.option(learned),
  machineTypes: fc.constant({}),
  lastStart: record({ procedure: fc.option(text), machineType: fc.option(text) }),
  alarms: fc.array(
    record({
      ...alarm,
      active: fc.boolean(),
      sinceEvent: small,
      acknowledgedBy: fc.option(text),
      shelved: fc.option(record({ by: text, reason: text, untilUs: count })),
    }),
    { maxLength: 2 },
  ),
});

const stamped = { words: fc.option(text), temperatureC: fc.option(number) };
const advice = record({
  ...{ step: text, way: fc.constantFrom('in' as const, 'out' as const, 'nothing' as const), amount: number },
  ...{ unit: fc.constantFrom('L' as const, 'kg' as const), measure: text, U95: number },
  ...{ stopMarkMm: fc.option(number), takesS: number },
  words: record({ todo: text, why: text, expected: fc.option(text) }),
});
const made = record({
  ...{ step: fc.option(text), kind: fc.constantFrom(...AMOUNT_KINDS), amount: number },
  unit: fc.constantFrom('L' as const, 'kg' as const),
  ...{ measure: text, uShare: number, uEach: number, tC: number, uTemperatureK: number },
  ...{ afterReading: small, actor: text, corrects: fc.option(small) },
});
const kept = record({ mean: number, spread: number, count: small });
const litres = record({ in: number, out: number, spilled: number, left: number });
const balance = record({
  ...{ litres, countedL: number, changeL: number, misclosureL: number, U95L: number, closed: fc.boolean() },
  causes: fc.array(
    record({ kind: fc.constantFrom('leak' as const, 'typing' as const), entry: fc.option(text), words: text }),
    { maxLength: 2 },
  ),
  inRange: fc.boolean(),
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
    calibrations: fc.constant([]),
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
    change: fc.constantFrom('started' as const, 'paused' as const, 'resumed' as const, 'closed' as const),
    job,
  }),
  step: record({
    ...{ kind: fc.constant('step' as const), step: text, how: fc.constantFrom('done', 'skipped', 'back') },
    ...{ next: fc.option(text), actor: fc.option(text), answer: fc.option(text), ...stamped },
    photos: fc.array(text, { maxLength: 2 }),
    engine: fc.option(fc.constantFrom('running' as const, 'stopped' as const)),
  }),
  ticked: record({ kind: fc.constant('ticked' as const), step: text, ticks: fc.array(text, { maxLength: 3 }) }),
  entered: record({
    ...{ kind: fc.constant('entered' as const), name: text, value: fc.oneof(number, text), actor: text },
    ...{ override: fc.option(text), corrects: fc.option(small) },
  }),
  amount: record({ kind: fc.constant('amount' as const), made }),
  advice: record({ kind: fc.constant('advice' as const), advice }),
  balance: record({ kind: fc.constant('balance' as const), balance }),
  engine: record({ kind: fc.constant('engine' as const), running: fc.boolean(), actor: text }),
  'machine-type': record({
    kind: fc.constant('machine-type' as const),
    machineType: record({ name: text, mmPerLitre: kept, mmPerK: fc.option(kept), warmUpS: fc.option(kept) }),
  }),
  target: record({ kind: fc.constant('target' as const), target }),
  verdict: record({ kind: fc.constant('verdict' as const), verdict }),
  alarm: record({
    kind: fc.constant('alarm' as const),
    ...alarm,
    state: fc.constantFrom(...ALARM_CHANGES),
    by: fc.option(text),
    untilUs: fc.option(count),
  }),
  machine: record({
    kind: fc.constant('machine' as const),
    machine,
    cause: fc.constantFrom('stated' as const, 'level-fell' as const, 'level-rose' as const),
  }),
  slope: record({
    kind: fc.constant('slope' as const),
    learned: fc.option(learned),
    refusal: fc.option(fc.constantFrom('too-short' as const, 'curved' as const, 'jumped' as const)),
    model: fc.option(record(slope)),
    agrees: fc.option(fc.boolean()),
    inUse: fc.boolean(),
  }),
  'zero-check': record({ kind: fc.constant('zero-check' as const), check: zeroCheck }),
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
