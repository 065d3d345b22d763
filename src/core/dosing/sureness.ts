/** How sure a level is against its target, as dosing wants to know it: what readings share cancels, what each has for itself stays. */
import type { MatchDescription } from '../description.ts';
import type { Reading } from '../events.ts';
import { guardBand } from '../match/conformity.ts';
import { againstLevel, match } from '../match/difference.ts';
import type { Target } from '../match/verdict.ts';

export interface Sureness {
  /** Standard uncertainty of one reading by itself. */
  readonly uOwnMm: number;
  /** Of level minus target besides. */
  readonly uTargetMm: number;
  readonly toleranceMm: number;
  /** A reading so near to the target is accepted. */
  readonly acceptMm: number;
  /** Some level would surely be within. */
  readonly surely: boolean;
}

/** Without a guard band that fits, this share of the tolerance is aimed for. */
const LEAST_ACCEPTED = 0.25;
const K95 = 1.959963984540054;

/** Null target: a reading like this one. Without a tolerance, twice what the difference is unsure by. */
export function sureness(
  reading: Reading,
  target: Target | null,
  description: MatchDescription | null,
  toleranceAsked?: number,
): Sureness {
  const again = { ...reading, id: reading.id + 1 };
  const own = description ?? undefined;
  const alone = match(reading, again);
  const held =
    target?.from === 'level' && own !== undefined
      ? { comparable: true as const, difference: againstLevel(target, reading, own) }
      : match(target?.from === 'reading' ? target.reading : reading, again, own);
  if (!alone.comparable) throw new Error('a reading does not compare with itself');
  // Readings that do not compare are not dosed by; what holds for this one alone serves until they do.
  const { uMm, degreesOfFreedom } = held.comparable ? held.difference : alone.difference;
  const uOwnMm = alone.difference.uMm / Math.SQRT2;
  const toleranceMm = toleranceAsked ?? description?.toleranceMm ?? 2 * K95 * uMm;
  const rule = description?.rule ?? { by: 'probability' as const, probability: 0.95 };
  const guardMm =
    rule.by === 'guard' ? rule.guardMm : guardBand({ u: uMm, degreesOfFreedom }, toleranceMm, rule.probability);
  const left = guardMm === null ? 0 : toleranceMm - guardMm;
  return {
    uOwnMm,
    uTargetMm: Math.sqrt(Math.max(0, uMm * uMm - uOwnMm * uOwnMm)),
    toleranceMm,
    acceptMm: Math.max(left, LEAST_ACCEPTED * toleranceMm),
    surely: left > 0,
  };
}
