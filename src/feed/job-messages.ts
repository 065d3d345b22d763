/** What the feed says of jobs that follow a procedure, and what may be done with them. */
import { z } from 'zod';
import { INSIDE_UNITS, type QuantityKind } from '../core/description.ts';
import { ENTRY_KINDS } from '../core/dosing/balance.ts';
import { GATE_IDS } from '../core/events.ts';
import { BLOCKS } from '../core/job/blocked.ts';
import { MEANINGS, MEASURE_KINDS, STEP_KINDS } from '../core/job/procedure.ts';
import { AMOUNT_KINDS } from '../core/requests.ts';

const count = z.int().nonnegative();
const id = z.string().min(1).max(80);
const reason = z.string().max(500);
const event = count.describe('number of the event that told it: what a correction names');
const quantity = z.enum(Object.keys(INSIDE_UNITS) as [QuantityKind, ...QuantityKind[]]);

/** Of `start-job`, beside its label. */
export const startWith = {
  procedure: id.exactOptional().describe('id of one of the procedures in the snapshot; without: a job without steps'),
  machineType: z.string().min(1).max(120).exactOptional().describe('what the shop calls machines of this kind'),
  fields: z.record(z.string(), z.string().max(500)).exactOptional().describe('of customer and machine, by field id'),
};

export const jobActions = [
  z.strictObject({
    type: z.literal('confirm'),
    step: id.describe('the step that the job is at'),
    ticks: z
      .array(id)
      .max(100)
      .readonly()
      .describe('ticks of a list, by id; those of earlier are kept. Empty: the step is done'),
    note: z.string().max(2000).exactOptional(),
    photos: z
      .array(z.string().regex(/^[0-9a-f]{64}$/))
      .max(20)
      .readonly()
      .exactOptional()
      .describe('SHA-256 of pictures sent before'),
  }),
  z.strictObject({
    type: z.literal('enter'),
    name: id,
    value: z.union([z.number(), z.string().max(500)]).describe('quantities in the unit of the inside'),
    override: reason.exactOptional().describe('why it differs from what it should be the same as'),
    corrects: count.exactOptional().describe('event of an earlier entry of the same name'),
  }),
  z.strictObject({
    type: z.literal('record-amount'),
    kind: z.enum(AMOUNT_KINDS).describe('poured in, caught, spilled, left in old pan or hose'),
    amount: z.number().nonnegative().describe('in the unit of the measure; 0 takes back what is corrected'),
    measure: id.describe('one of the measures of the step, or hand'),
    tC: z.number().describe('°C of the fluid as it was measured'),
    corrects: count.exactOptional().describe('event of an earlier amount of the same kind'),
  }),
  z.strictObject({ type: z.literal('answer'), step: id, answer: id, note: z.string().max(2000).exactOptional() }),
  z.strictObject({
    type: z.literal('skip-step'),
    step: id,
    reason: reason.describe('may be empty for an optional step'),
  }),
  z.strictObject({ type: z.literal('go-back'), to: id.describe('a step that was done'), reason }),
  z.strictObject({ type: z.literal('engine'), running: z.boolean().describe('started or stopped between the steps') }),
  z.strictObject({ type: z.literal('pause-job'), reason }),
  z.strictObject({ type: z.literal('resume-job') }),
] as const;

const entered = z.strictObject({
  event,
  name: z.string(),
  value: z.union([z.number(), z.string()]),
  actor: z.string(),
  override: z.string().nullable(),
  corrects: count.nullable(),
});

const made = {
  step: z.string().nullable(),
  kind: z.enum(AMOUNT_KINDS),
  amount: z.number(),
  unit: z.enum(['L', 'kg']).describe('kg as a scale in air shows them'),
  measure: z.string(),
  uShare: z.number().describe('standard uncertainty as a share, the same in all that is measured with it'),
  uEach: z.number().describe('standard uncertainty of each amount by itself'),
  tC: z.number(),
  uTemperatureK: z.number(),
  afterReading: count.describe('newest reading when it was told'),
  actor: z.string(),
  corrects: count.nullable(),
};

export const advice = z.strictObject({
  step: z.string(),
  way: z.enum(['in', 'out', 'nothing']),
  amount: z.number(),
  unit: z.enum(['L', 'kg']),
  measure: z.string(),
  U95: z.number().describe('expanded uncertainty of what is needed, about 95 %'),
  stopMarkMm: z.number().nullable().describe('level, as levels are told, at which to shut the tap'),
  takesS: z.number().describe('what a dose with its reading takes'),
  words: z.strictObject({ todo: z.string(), why: z.string(), expected: z.string().nullable() }),
});

export const balance = z.strictObject({
  litres: z.strictObject(
    Object.fromEntries(ENTRY_KINDS.map((kind) => [kind, z.number()])) as Record<
      (typeof ENTRY_KINDS)[number],
      z.ZodNumber
    >,
  ),
  countedL: z.number().describe('in − out − spilled − left, at the temperature of the levels'),
  changeL: z.number().describe('by the level'),
  misclosureL: z.number().describe('counted minus change: above 0 fluid is missing'),
  U95L: z.number(),
  closed: z.boolean(),
  causes: z.array(
    z.strictObject({
      kind: z.enum(['typing', 'leak', 'uncounted', 'echo']),
      entry: z.string().nullable(),
      words: z.string(),
    }),
  ),
  inRange: z.boolean(),
});

export const jobOutcomes = <N extends z.ZodRawShape>(numbered: N) =>
  [
    z.strictObject({
      kind: z.literal('step'),
      ...numbered,
      step: z.string(),
      how: z.enum(['done', 'skipped', 'back']),
      next: z.string().nullable().describe('where the job goes on; null: all steps are done'),
      actor: z.string().nullable().describe('null: it passed by itself'),
      words: z.string().nullable(),
      answer: z.string().nullable(),
      photos: z.array(z.string()),
      temperatureC: z.number().nullable(),
      engine: z.enum(['running', 'stopped']).nullable().describe('what the step made of it; null: nothing'),
    }),
    z.strictObject({ kind: z.literal('ticked'), ...numbered, step: z.string(), ticks: z.array(z.string()) }),
    z.strictObject({ kind: z.literal('entered'), ...numbered, ...entered.omit({ event: true }).shape }),
    z.strictObject({ kind: z.literal('amount'), ...numbered, made: z.strictObject(made) }),
    z.strictObject({ kind: z.literal('advice'), ...numbered, advice }),
    z.strictObject({ kind: z.literal('balance'), ...numbered, balance }),
    z.strictObject({ kind: z.literal('engine'), ...numbered, running: z.boolean(), actor: z.string() }),
    z.strictObject({
      kind: z.literal('machine-type'),
      ...numbered,
      machineType: z
        .looseObject({ name: z.string() })
        .describe('what the job taught of its kind of machine: mean, spread and count of each figure'),
    }),
  ] as const;

/** Of a job outcome, beside the job. */
export const jobChange = {
  begins: z
    .strictObject({
      procedure: z.looseObject({ id: z.string() }).describe('as it stood; docs/procedures.md says what is in it'),
      prior: z.looseObject({}).nullable().describe('what is known of its kind of machine'),
    })
    .exactOptional(),
  reason: z.string().nullable().exactOptional().describe('why it is paused, or closed with steps left'),
};

export const jobFollows = {
  procedure: z
    .strictObject({ id: z.string(), title: z.string(), version: z.string(), digest: z.string() })
    .nullable()
    .exactOptional()
    .describe('what it follows'),
  machineType: z.string().nullable().exactOptional(),
  fields: z.record(z.string(), z.string()).exactOptional(),
};

/** What a job may be started with. */
export const procedureOffered = z.strictObject({
  id: z.string(),
  title: z.string(),
  version: z.string(),
  purpose: z.string(),
  result: z.enum(['level', 'overflow']),
  cautions: z.array(z.string()),
  fields: z.array(z.strictObject({ id: z.string(), words: z.string(), required: z.boolean() })),
});

const measure = z.strictObject({
  id: z.string(),
  words: z.string(),
  by: z.enum(MEASURE_KINDS),
  unit: z.enum(['L', 'kg']),
  step: z.number(),
  uShare: z.number(),
  uEach: z.number(),
});

const asked = {
  name: z.string(),
  words: z.string(),
  required: z.boolean(),
  means: z.enum(MEANINGS).nullable(),
};

/** What a value is asked for as, and what else is told of it. */
const askedWith = <More extends z.ZodRawShape>(more: More) =>
  z.discriminatedUnion('of', [
    z.strictObject({ ...asked, ...more, of: z.literal('quantity'), quantity, low: z.number(), high: z.number() }),
    z.strictObject({ ...asked, ...more, of: z.literal('text'), sameAs: z.string().nullable() }),
    z.strictObject({ ...asked, ...more, of: z.literal('choice'), choices: z.array(z.string()) }),
  ]);

const nowView = z.strictObject({
  step: z.string(),
  title: z.string(),
  kind: z.enum(STEP_KINDS),
  words: z.string().nullable(),
  cautions: z.array(z.string()),
  optional: z.boolean(),
  round: count.describe('times that the job has come to it'),
  blocked: z.array(
    z.strictObject({ why: z.enum(BLOCKS), what: z.string(), words: z.string() }).describe('why it does not go on'),
  ),
  holds: z.array(
    z.strictObject({
      id: z.string(),
      channel: z.string().describe('of the bench; where it has none of this name, a person watches a gauge'),
      quantity,
      side: z.enum(['below', 'above']),
      limit: z.number(),
      deadband: z.number(),
      onDelayUs: z.number(),
      words: z.string(),
      during: z.array(z.string()),
    }),
  ),
  ticks: z.array(z.strictObject({ id: z.string(), words: z.string(), done: z.boolean() })),
  note: z.boolean(),
  photo: z.boolean(),
  asks: z.array(
    askedWith({
      entered: z.union([z.number(), z.string()]).nullable().describe('since the job came to this step'),
    }),
  ),
  answers: z.array(z.strictObject({ id: z.string(), words: z.string() })),
  gates: z.array(z.enum(GATE_IDS)).describe('waited for; empty in a step that waits: all'),
  measures: z.array(measure),
  way: z.enum(['in', 'out', 'either']).nullable(),
  several: z.boolean().describe('several amounts may make it up; confirm says that is all'),
  proposedC: z.number().nullable().describe('°C proposed for what is measured; null: as warm as the fluid'),
  advice: advice.nullable(),
});

export const jobProgress = z.strictObject({
  title: z.string(),
  version: z.string(),
  result: z.enum(['level', 'overflow']).describe('overflow: no millimetres come of it'),
  cautions: z.array(z.string()),
  paused: z.boolean(),
  engine: z.enum(['running', 'stopped']).nullable().describe('null: not told yet'),
  steps: z.array(
    z.strictObject({
      id: z.string(),
      title: z.string(),
      kind: z.enum(STEP_KINDS),
      state: z.enum(['done', 'skipped', 'now', 'ahead']),
      rounds: count,
      ended: z
        .strictObject({
          event,
          actor: z.string().nullable().describe('null: it passed by itself'),
          words: z.string().nullable(),
        })
        .nullable()
        .describe('how it ended last; null where it is still ahead'),
    }),
  ),
  now: nowView.nullable().describe('null: all steps are done, and the job may be closed'),
  entries: z.array(entered),
  asked: z.array(askedWith({})).describe('what those entries were asked for as'),
  amounts: z.array(z.strictObject({ event, ...made })).describe('those that stand'),
  told: z.array(z.strictObject({ event, ...made })).describe('every amount as it was told, those corrected since too'),
  measures: z.array(measure).describe('all that the procedure measures with'),
  filledL: z.number(),
  refill: z.strictObject({ litres: z.number(), uLitres: z.number(), pourC: z.number() }).nullable(),
  balance: balance.nullable(),
  fresh: z
    .strictObject({ share: z.number(), u: z.number() })
    .nullable()
    .describe('share of fresh fluid, once it has run'),
});
