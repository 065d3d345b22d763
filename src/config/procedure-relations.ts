/**
 * What must go together across a procedure file: names with what they name, steps with what comes before them. Each check
 * holds its tongue while a part that it needs is not understood.
 */
import { type Finding, finding, nearest, oneOf, type Path, quote } from './mistake.ts';
import { ofDose, ofFilled } from './procedure-doses.ts';
import type { Entry, ProcedureDraft, StepDraft } from './procedure-draft.ts';
import { ofFlow } from './procedure-flow.ts';
import { namesOf, someOf } from './procedure-names.ts';
import { ofEntry, ofHold, ofMeasure } from './procedure-parts.ts';
import { STEP_KEYS } from './procedure-steps.ts';
import type { Draft } from './understand.ts';

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
