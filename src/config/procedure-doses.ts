/** What the doses of a procedure file and the needs for fluid poured in ask of the steps before. */
import type { Measured } from './fields.ts';
import { type Finding, finding, type Path, quote } from './mistake.ts';
import type { DoseMeasure, Named, StepDraft } from './procedure-draft.ts';

/** Tells where a name is none of those known; true where it is one. */
export type Refer = (where: Path, name: string | undefined, known: readonly string[], what: string) => boolean;

export function ofDose(
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

export function ofFilled({ path, keys }: StepDraft, before: readonly StepDraft[]): Finding[] {
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
