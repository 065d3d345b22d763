/** What must go together within one entry, measure or hold of a procedure file. */
import type { MEANINGS } from '../core/job/procedure.ts';
import type { Measured } from './fields.ts';
import { type Finding, finding, nearest, type Path, quote } from './mistake.ts';
import type { DoseMeasure, Entry, Hold, Named, StepDraft } from './procedure-draft.ts';
import { namesOf, someOf } from './procedure-names.ts';
import { KINDS, type Kind } from './units.ts';

const MEANT: Readonly<Record<(typeof MEANINGS)[number], Kind>> = {
  'target-level': 'length',
  'target-uncertainty': 'length',
  'fluid-held': 'volume',
  'fresh-temperature': 'temperature',
  'overflow-temperature': 'temperature',
  'overflow-caught': 'volume',
};

export function ofEntry(path: Path, { keys }: Named<Entry>): Finding[] {
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

export function ofMeasure({ id, keys }: Named<DoseMeasure>): Finding[] {
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

export function ofHold({ id, keys }: Named<Hold>, steps: readonly StepDraft[]): Finding[] {
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
