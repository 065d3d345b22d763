/** Which way a job can go through the steps: what is passed before a decision, what can never be reached. */
import { type Finding, finding, quote } from './mistake.ts';
import type { StepDraft } from './procedure-draft.ts';

/**
 * Findings on the ways through. Only for steps that do one thing each and lead to steps that exist; the end is one
 * behind the last.
 */
export function ofFlow(steps: readonly StepDraft[], isLevel: boolean): Finding[] {
  const ways = waysOf(steps);
  const found: Finding[] = [];
  const all = reached(ways, [0], () => false);
  for (const [index, { path }] of steps.entries()) {
    if (!all.has(index))
      found.push(finding([...path, 'step'], 'no way leads to this step', 'an answer or another step to lead here'));
  }
  // All that lead into a ring are stuck; the last of them is where it closes.
  const stuck = steps.findLast((_, index) => all.has(index) && !reached(ways, [index], () => false).has(steps.length));
  if (stuck !== undefined)
    found.push(finding([...stuck.path, 'step'], 'no way leads from this step to the end', 'a way out of its ring'));
  if (found.length > 0 || !isLevel) return found;

  const at = (index: number): StepDraft => steps[index] as StepDraft;
  const isRead = (index: number): boolean => at(index).keys.read !== undefined && at(index).keys.optional !== true;
  const withoutRead = reached(ways, [0], isRead);
  const withoutTarget = reached(ways, [0], (index) => setsTarget(at(index)));
  for (const [index, { path, keys }] of steps.entries()) {
    const kind = keys.decide !== undefined ? 'decide' : keys.dose?.way === 'advice' ? 'dose' : null;
    if (kind === null) continue;
    const what = kind === 'decide' ? 'a decision' : 'a dose by advice';
    if (withoutRead.has(index))
      found.push(
        finding([...path, kind], `${what} can come before a reading`, 'a step that reads on every way here', {
          at: 'key',
        }),
      );
    if (withoutTarget.has(index)) {
      const expected = '"read: target", or an entry that means target-level, on every way here';
      found.push(finding([...path, kind], `${what} can come before a target`, expected, { at: 'key' }));
    }
  }
  return [...found, ...steps.flatMap((_, index) => ofLoop(steps, ways, index, isRead))];
}

/** Another way round changes nothing unless something is done on it, and read again before it comes back. */
function ofLoop(
  steps: readonly StepDraft[],
  ways: readonly (readonly number[])[],
  index: number,
  isRead: (index: number) => boolean,
): Finding[] {
  const { path, keys } = steps[index] as StepDraft;
  const to = keys.decide?.otherwise;
  if (to === undefined) return [];
  const from = steps.findIndex((one) => one.keys.step === to);
  const isDone = (one: number): boolean => {
    const { tick, dose, optional } = (steps[one] as StepDraft).keys;
    return (tick !== undefined || dose !== undefined) && optional !== true;
  };
  const lacks = (passes: (one: number) => boolean): boolean =>
    reached(ways, [from], (one) => one === index || passes(one)).has(index);
  const where = [...path, 'decide', 'otherwise'];
  if (lacks(isDone))
    return [
      finding(where, `nothing is done between ${quote(to)} and here`, 'a dose or a tick list on the way back here'),
    ];
  if (lacks(isRead))
    return [finding(where, `nothing is read between ${quote(to)} and here`, 'a step that reads on the way back here')];
  return [];
}

function setsTarget({ keys, entries }: StepDraft): boolean {
  if (keys.optional === true) return false;
  return (
    keys.read === 'target' || entries.some(({ keys: one }) => one.means === 'target-level' && one.required !== false)
  );
}

/** From each step the steps that may follow. */
function waysOf(steps: readonly StepDraft[]): number[][] {
  const byName = new Map(steps.map(({ keys }, index) => [keys.step, index]));
  const to = (name: string | undefined, index: number): number =>
    name === undefined ? index + 1 : (byName.get(name) ?? index + 1);
  return steps.map(({ keys, answers }, index) => {
    const on = to(keys['go-to'], index);
    if (keys.ask !== undefined)
      return answers.map((one) => (one.keys['go-to'] === undefined ? on : to(one.keys['go-to'], index)));
    return keys.decide === undefined ? [on] : [on, to(keys.decide.otherwise, index)];
  });
}

/** All that can be reached without passing through what stops; what stops is reached itself. */
function reached(
  ways: readonly (readonly number[])[],
  from: readonly number[],
  stops: (index: number) => boolean,
): Set<number> {
  const seen = new Set<number>();
  const waiting = [...from];
  for (let index = waiting.pop(); index !== undefined; index = waiting.pop()) {
    if (seen.has(index)) continue;
    seen.add(index);
    if (index < ways.length && !stops(index)) waiting.push(...(ways[index] ?? []));
  }
  return seen;
}
