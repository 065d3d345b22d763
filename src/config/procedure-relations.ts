/**
 * What must go together across a procedure file: names with what they name, steps with what comes before them. Each check
 * holds its tongue while a part that it needs is not understood.
 */
import type { MEANINGS } from '../core/job/procedure.ts';
import type { Measured } from './fields.ts';
import { type Finding, finding, nearest, oneOf, type Path, quote } from './mistake.ts';
import type { DoseMeasure, Entry, Hold, Named, ProcedureDraft, StepDraft } from './procedure-draft.ts';
import { ofFlow } from './procedure-flow.ts';
import { STEP_KEYS } from './procedure-steps.ts';
import type { Draft } from './understand.ts';
import { KINDS, type Kind } from './units.ts';

/** `isWhole`: all of it was understood; only then the ways through the steps are followed. */
export function checkProcedure(draft: ProcedureDraft, isWhole: boolean): Finding[] {
  const { head, steps, measures, holds } = draft;
  const found = [
    ...steps.flatMap((step) => ofOneThing(step)),
    ...sameNames(steps),
    ...steps.flatMap((step, index) => ofStep(step, index, draft)),
    ...measures.flatMap(ofMeasure),
    ...holds.flatMap((hold) => ofHold(hold, steps)),
    ...ofResult(draft),
  ];
  const ways = isWhole && found.length === 0 ? ofFlow(steps, head.result === 'level') : [];
  return [...found, ...ways].map((one) => (one.nature === 'absent' ? one : { ...one, nature: 'across' }));
}

function ofOneThing({ path, keys, answers, isStrange }: StepDraft): Finding[] {
  const does = STEP_KEYS.filter((name) => name in keys);
  const [first, second] = does;
  if (first === undefined)
    // What it does may be the key that was told as unknown, or all of it was.
    return isStrange
      ? []
      : [finding(path, 'this step does nothing', oneOf(STEP_KEYS), { at: 'key', nature: 'absent' })];
  if (second !== undefined)
    return [
      finding([...path, second], `a step does one thing, and this one does "${first}" already`, 'a step of its own', {
        at: 'key',
      }),
    ];
  const spare = first === 'tick' ? [] : (['note', 'photo'] as const).filter((name) => keys[name] === true);
  return [
    ...spare.map((name) =>
      finding([...path, name], `${quote(name)} stands beside "tick" only`, 'no such key here', { at: 'key' }),
    ),
    ...(first === 'ask' && answers.length === 1
      ? [finding([...path, 'ask'], 'a question with one answer', 'two answers at least', { at: 'key' })]
      : []),
  ];
}

function sameNames(steps: readonly StepDraft[]): Finding[] {
  const seen = new Set<string>();
  const twice = (name: string | undefined): boolean => {
    if (name === undefined) return false;
    const known = seen.has(name);
    seen.add(name);
    return known;
  };
  const found = steps
    .filter(({ keys }) => twice(keys.step))
    .map(({ path, keys }) =>
      finding([...path, 'step'], `there is a step ${quote(keys.step ?? '')} already`, 'another name'),
    );
  seen.clear();
  for (const { path, entries } of steps) {
    for (const { id } of entries.filter((one) => twice(one.id)))
      found.push(
        finding([...path, 'enter', id], `there is an entry ${quote(id)} already`, 'another name', { at: 'key' }),
      );
  }
  return found;
}

function ofStep(step: StepDraft, index: number, draft: ProcedureDraft): Finding[] {
  const { path, keys } = step;
  const { steps, measures } = draft;
  const names = namesOf(steps);
  const found: Finding[] = [];
  const refer = (where: Path, name: string | undefined, known: readonly string[], what: string): boolean => {
    if (name === undefined || known.includes(name)) return name !== undefined;
    found.push(
      finding(where, `no ${what.replace(/^an? /, '')} is called ${quote(name)}`, someOf(known, what), {
        nearest: nearest(name, known),
      }),
    );
    return false;
  };

  const before = steps.slice(0, index);
  const elsewhere = (where: Path, to: string | undefined): void => {
    if (names !== null && refer(where, to, names, 'a step') && to === keys.step)
      found.push(finding(where, 'this leads to the step itself', 'another step'));
  };
  elsewhere([...path, 'go-to'], keys['go-to']);
  elsewhere([...path, 'decide', 'otherwise'], keys.decide?.otherwise);
  for (const { id, keys: answer } of step.answers) {
    elsewhere([...path, 'ask', id, 'go-to'], answer['go-to']);
  }

  const earlier = before.flatMap(({ entries }) => entries);
  for (const [place, one] of step.entries.entries()) {
    found.push(...ofEntry([...path, 'enter', one.id], one));
    const texts = [...earlier, ...step.entries.slice(0, place)].filter(
      ({ keys: entry }) => !('range' in entry) && !('choices' in entry),
    );
    refer(
      [...path, 'enter', one.id, 'same-as'],
      one.keys['same-as'],
      texts.map(({ id }) => id),
      'an earlier text',
    );
  }
  for (const [place, name] of (keys.needs?.entered ?? []).entries()) {
    const known = [...earlier, ...step.entries].map(({ id }) => id);
    const where = [...path, 'needs', 'entered'];
    // A single name stands there by itself.
    refer(keys.needs?.entered?.length === 1 ? where : [...where, place], name, known, 'an earlier entry');
  }
  found.push(...ofDose(step, before, measures, refer), ...ofFilled(step, before));
  return found;
}

type Refer = (where: Path, name: string | undefined, known: readonly string[], what: string) => boolean;

function ofDose(
  { path, keys }: StepDraft,
  before: readonly StepDraft[],
  measures: readonly Named<DoseMeasure>[],
  refer: Refer,
): Finding[] {
  const { dose } = keys;
  if (dose === undefined) return [];
  const found: Finding[] = [];
  const seen = new Set<string>();
  for (const [place, name] of (dose.with ?? []).entries()) {
    const where = [...path, 'dose', 'with', place];
    if (
      refer(
        where,
        name,
        measures.map(({ id }) => id),
        'a measure',
      ) &&
      seen.has(name)
    )
      found.push(finding(where, `${quote(name)} stands here twice`, 'each measure once'));
    seen.add(name);
  }
  if (dose.plan !== undefined && dose.way !== undefined && dose.way !== 'in')
    found.push(finding([...path, 'dose', 'plan'], 'a refill is poured in', '"way: in" beside it', { at: 'key' }));
  else if (dose.plan !== undefined && !before.some((one) => one.keys.dose?.way === 'out'))
    found.push(
      finding(
        [...path, 'dose', 'plan'],
        'a refill plan without fluid that was drained',
        'a step before with "dose: { way: out, … }"',
      ),
    );
  return found;
}

function ofFilled({ path, keys }: StepDraft, before: readonly StepDraft[]): Finding[] {
  const filled = keys.needs?.filled as Measured | undefined;
  if (filled === undefined) return [];
  const where = [...path, 'needs', 'filled'];
  const doses = [...before.map((one) => one.keys.dose), keys.dose];
  if (filled.value <= 0) return [finding(where, 'this asks for nothing', 'an amount above 0')];
  if (filled.kind === 'share' && filled.value > 1)
    return [finding(where, 'this is more than the whole refill', 'a share up to 100 %')];
  if (filled.kind === 'share' && !doses.some((dose) => dose?.plan === 'refill'))
    return [
      finding(
        where,
        'a share of a refill that nothing plans',
        'litres, or a step before that pours in with "plan: refill"',
      ),
    ];
  if (!doses.some((dose) => dose?.way === 'in'))
    return [finding(where, 'nothing has been poured in by then', 'a step before with "dose: { way: in, … }"')];
  return [];
}

const MEANT: Readonly<Record<(typeof MEANINGS)[number], Kind>> = {
  'target-level': 'length',
  'target-uncertainty': 'length',
  'fluid-held': 'volume',
  'fresh-temperature': 'temperature',
  'overflow-temperature': 'temperature',
  'overflow-caught': 'volume',
};

function ofEntry(path: Path, { keys }: Named<Entry>): Finding[] {
  const { range, means } = keys;
  const forms = (['range', 'choices', 'same-as'] as const).filter((name) => name in keys);
  if (forms[1] !== undefined)
    return [finding([...path, forms[1]], `an entry has ${forms.join(' or ')}`, 'one of them', { at: 'key' })];
  if (means === undefined || ('range' in keys && range === undefined)) return [];
  const kind = MEANT[means];
  if (range?.kind === kind) return [];
  return [
    finding(
      [...path, 'means'],
      `${quote(means)} is not ${KINDS[kind].noun} here`,
      `a range of ${KINDS[kind].noun.replace(/^an? /, '')}, such as range: ${KINDS[kind].sample} to …`,
    ),
  ];
}

function ofMeasure({ id, keys }: Named<DoseMeasure>): Finding[] {
  const { by } = keys;
  // What a schema understood as a whole is there as a whole.
  const step = keys.step as Measured | undefined;
  const each = keys.each as Measured | undefined;
  const found: Finding[] = [];
  if (step === undefined) return found;
  const path = ['measures', id];
  const wanted = by === 'scale' ? 'mass' : by === 'jug' ? 'volume' : step.kind;
  if (step.kind !== wanted)
    found.push(
      finding(
        [...path, 'step'],
        `a ${by} shows ${KINDS[wanted].noun}`,
        `${KINDS[wanted].noun} such as "${wanted === 'mass' ? '5 g' : '50 mL'}"`,
      ),
    );
  else if (step.value <= 0)
    found.push(finding([...path, 'step'], 'a step of nothing', `${KINDS[wanted].noun} above 0`));
  if (each !== undefined && each.kind !== step.kind)
    found.push(
      finding(
        [...path, 'each'],
        `${quote('each')} and ${quote('step')} are of two kinds`,
        `${KINDS[step.kind].noun}, as the step`,
      ),
    );
  else if (each !== undefined && each.value < 0)
    found.push(finding([...path, 'each'], 'an uncertainty below 0', `${KINDS[step.kind].noun}, not below 0`));
  return found;
}

function ofHold({ id, keys }: Named<Hold>, steps: readonly StepDraft[]): Finding[] {
  const path = ['holds', id];
  const found: Finding[] = [];
  const sides = (['below', 'above'] as const).filter((name) => name in keys);
  if (sides.length === 0 && 'channel' in keys)
    found.push(
      finding([...path, 'below'], 'a hold without a limit', 'below or above, such as below: 120 kPa', {
        at: 'key',
        nature: 'absent',
      }),
    );
  if (sides.length === 2)
    found.push(
      finding([...path, 'above'], 'a hold is below or above a limit', 'one of them; the other in a hold of its own', {
        at: 'key',
      }),
    );
  const limit = (keys.below ?? keys.above) as Measured | undefined;
  const deadband = keys.deadband as Measured | undefined;
  if (limit !== undefined && deadband !== undefined) {
    const kind = limit.kind === 'temperature' ? 'difference' : limit.kind;
    if (deadband.kind !== kind)
      found.push(
        finding(
          [...path, 'deadband'],
          'the deadband is not of the kind of the limit',
          `${KINDS[kind].noun} such as "${KINDS[kind].sample}"`,
        ),
      );
    else if (deadband.value < 0)
      found.push(finding([...path, 'deadband'], 'a deadband below 0', 'how far the channel must come back'));
  }
  const names = namesOf(steps);
  for (const [place, name] of (keys.during ?? []).entries()) {
    if (names !== null && !names.includes(name))
      found.push(
        finding([...path, 'during', place], `no step is called ${quote(name)}`, someOf(names, 'a step'), {
          nearest: nearest(name, names),
        }),
      );
  }
  return found;
}

/** By overflow there are no millimetres: nothing is read, and the answer is entered. */
function ofResult({ head, steps }: ProcedureDraft): Finding[] {
  if (head.result === undefined || steps.length === 0) return [];
  const means = (keys: Draft<Entry>, name: string): boolean => keys.means?.startsWith(name) ?? false;
  if (head.result === 'overflow') {
    const found = steps.flatMap(({ path, keys }) => {
      const level = (['read', 'zero', 'decide'] as const).find((name) => keys[name] !== undefined);
      if (level !== undefined)
        return [
          finding([...path, level], 'no level is read where fluid overflows', 'no such step, or "result: level"', {
            at: 'key',
          }),
        ];
      return keys.dose?.way === 'advice'
        ? [finding([...path, 'dose', 'way'], 'there is no advice where no level is read', '"in" or "out"')]
        : [];
    });
    const told = steps.some(({ entries }) => entries.some(({ keys }) => keys.means === 'overflow-temperature'));
    return told
      ? found
      : [
          ...found,
          finding(
            ['result'],
            'nobody enters how warm the fluid was at the lip',
            'an entry that means overflow-temperature',
            { at: 'key' },
          ),
        ];
  }
  const found = steps.flatMap(({ path, entries }) =>
    entries
      .filter(({ keys }) => means(keys, 'overflow'))
      .map(({ id }) =>
        finding(
          [...path, 'enter', id, 'means'],
          'nothing overflows where a level is read',
          'no such meaning, or "result: overflow"',
        ),
      ),
  );
  if (!steps.some(({ keys }) => 'read' in keys))
    found.push(
      finding(['result'], 'no step reads a level', 'a step with "read: level", or "result: overflow"', { at: 'key' }),
    );
  return found;
}

const MOST_NAMED = 8;

/** All names where they are few. */
function someOf(names: readonly string[], what: string): string {
  return names.length === 0 || names.length > MOST_NAMED ? `${what} of this file` : oneOf(names);
}

/** Names of all steps; null while one is not understood, which may be any. */
function namesOf(steps: readonly StepDraft[]): string[] | null {
  const names = steps.flatMap(({ keys }) => keys.step ?? []);
  return names.length < steps.length || names.length === 0 ? null : names;
}
