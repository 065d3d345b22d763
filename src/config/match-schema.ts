/** When two levels count as matched: the keys under measure.match. */
import { z } from 'zod';
import type { MatchDescription } from '../core/description.ts';
import { key, quantity, whole } from './fields.ts';
import { type Finding, finding } from './mistake.ts';
import type { Span } from './quantities.ts';
import type { Draft } from './understand.ts';

const targetSchema = z.strictObject({
  level: key(quantity('length', {}, '62 mm'), {
    meaning: 'The level that is to be reached, at the reference temperature.',
    form: 'a length',
    example: '62 mm',
  }),
  uncertainty: key(quantity('length', { from: '0 mm' }, '0.3 mm').prefault('0 mm'), {
    meaning: 'The standard uncertainty of that level; for limits ±a take a/√3.',
    form: 'a length, not below 0',
    example: '0.3 mm',
  }),
});

export const matchSchema = z.strictObject({
  tolerance: key(quantity('length', { above: '0 mm' }, '1 mm'), {
    meaning: 'How far a level may lie above or below its target.',
    form: 'a length above 0',
    example: '1 mm',
  }),
  probability: key(quantity('share', { from: '50 %', to: '99.99 %' }, '95 %').optional(), {
    meaning: 'How sure a verdict must be. What is less sure is as near as this bench can tell.',
    form: 'a share from 50 % to 99.99 %',
    example: '95 %',
    otherwise: '95 %, unless there is a guard',
  }),
  guard: key(quantity('length', { from: '0 mm' }, '0.3 mm').optional(), {
    meaning:
      'In place of a probability: a difference counts as within when it stays this far inside the tolerance, as outside when it lies this far beyond it.',
    form: 'a length, not below 0',
    example: '0.3 mm',
    otherwise: 'the probability decides',
  }),
  refit: key(quantity('length', { from: '0 mm' }, '0.15 mm').prefault('0 mm'), {
    meaning:
      'The standard deviation of the level when the sensor is taken off and fitted again over a level that does not move.',
    form: 'a length, not below 0',
    example: '0.15 mm',
  }),
  refits: key(whole(2, 1000, '6').optional(), {
    meaning: 'How many fittings that standard deviation comes from: few of them make it unsure itself.',
    form: 'a whole number from 2',
    example: '6',
    otherwise: 'as if they had been many',
  }),
  'new-fluid': key(quantity('length', { from: '0 mm' }, '0.2 mm').prefault('0 mm'), {
    meaning:
      'The standard uncertainty that comes in when the fluid is another one than at the target: it carries sound and expands a little differently.',
    form: 'a length, not below 0',
    example: '0.2 mm',
  }),
  target: key(targetSchema.optional(), {
    meaning: 'A fixed level as the target of every job.',
    form: 'the keys level and uncertainty',
    example: '{ level: 62 mm, uncertainty: 0.3 mm }',
    otherwise: 'the target is set in the job, from one of its readings or as a level',
  }),
});

export const MATCH_SECTIONS = [
  { title: 'Match', at: 'measure.match', schema: matchSchema },
  { title: 'A fixed target', at: 'measure.match.target', schema: targetSchema },
] as const;

type MatchKeys = z.infer<typeof matchSchema>;

const USUAL_PROBABILITY = 0.95;

export function resolveMatch(keys: MatchKeys): MatchDescription {
  const { tolerance, probability, guard, refit, refits, target } = keys;
  return {
    toleranceMm: tolerance,
    rule:
      guard === undefined
        ? // A share in % comes with the last bits of a multiplication.
          { by: 'probability', probability: Math.round((probability ?? USUAL_PROBABILITY) * 1e6) / 1e6 }
        : { by: 'guard', guardMm: guard },
    refitMm: refit,
    refits: refits ?? null,
    newFluidMm: keys['new-fluid'],
    target: target === undefined ? null : { levelMm: target.level, uMm: target.uncertainty },
  };
}

/** What must go together in it. */
export function ofMatch(keys: Draft<MatchKeys> | undefined, range: Span | undefined): Finding[] {
  if (keys === undefined) return [];
  const path = ['measure', 'match'];
  const found: Finding[] = [];
  if ('probability' in keys && 'guard' in keys)
    found.push(finding([...path, 'guard'], 'a verdict goes by probability or by guard', 'one of them', { at: 'key' }));
  if (keys.guard !== undefined && keys.tolerance !== undefined && keys.guard > keys.tolerance)
    found.push(
      finding(
        [...path, 'guard'],
        'the guard is wider than the tolerance',
        'a length up to the tolerance: nothing could be within',
      ),
    );
  if ('refits' in keys && keys.refit === 0)
    found.push(finding([...path, 'refits'], 'refits without refit', 'a refit above 0 mm beside it', { at: 'key' }));
  const level = keys.target?.level;
  if (level !== undefined && range !== undefined && (level < range.low || level > range.high))
    found.push(
      finding(
        [...path, 'target', 'level'],
        'the target is outside the range of the level channel',
        `a level from ${range.low} mm to ${range.high} mm`,
      ),
    );
  return found;
}
