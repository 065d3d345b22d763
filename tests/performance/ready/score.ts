/** What one detector did on one bench, against the truth. */
import { both, firstWithin, lengthOf, type Span } from './spans.ts';
import { CAUSES, type Cause, type Truth } from './truth.ts';

/** Ready may outlast the onset of unfit by so long. */
const GRACE_S = 1;
/** A fit spell of this length ought to be found. */
export const SPELL_S = 30;

export interface Spell {
  readonly span: Span;
  /** From fit to the oracle's ready. */
  readonly oracleS: number;
}

export interface DetectorScore {
  /** Ready within unfit time, the grace taken off. */
  readonly falseS: number;
  /** The same where the grace begins with the first sample that could have told. */
  readonly knowableFalseS: number;
  readonly falseByCause: Readonly<Record<Cause, number>>;
  /** From fit to ready, for each spell; null where it never came. */
  readonly delaysS: readonly (number | null)[];
  /** Times that ready came on within the spells. */
  readonly onsets: number;
}

/** Fit spells of at least SPELL_S in which the oracle could call ready. */
export function spellsOf(truth: Truth, oracle: readonly Span[]): Spell[] {
  return truth.fit.flatMap((span) => {
    const [from, to] = span;
    if (to - from < SPELL_S) return [];
    const at = firstWithin(oracle, from, to);
    return at === null ? [] : [{ span, oracleS: at - from }];
  });
}

/** `samplesS`: when anything was sent. */
export function scoreDetector(
  ready: readonly Span[],
  truth: Truth,
  spells: readonly Spell[],
  samplesS: readonly number[],
): DetectorScore {
  const falseByCause = Object.fromEntries(CAUSES.map((cause) => [cause, 0])) as Record<Cause, number>;
  let falseS = 0;
  let knowableFalseS = 0;
  for (const { span, parts } of truth.unfit) {
    const [from, to] = span;
    const shown = both(ready, [[from + GRACE_S, to]]);
    falseS += lengthOf(shown);
    for (const part of parts) falseByCause[part.cause] += lengthOf(both(shown, [part.span]));
    const told = firstAtOrAfter(samplesS, from);
    knowableFalseS += lengthOf(both(ready, [[told + GRACE_S, to]]));
  }
  return {
    falseS,
    knowableFalseS,
    falseByCause,
    delaysS: spells.map(({ span: [from, to] }) => {
      const at = firstWithin(ready, from, to);
      return at === null ? null : at - from;
    }),
    onsets: spells.reduce(
      (sum, { span: [from, to] }) => sum + ready.filter(([on, off]) => off > from && on < to).length,
      0,
    ),
  };
}

function firstAtOrAfter(samplesS: readonly number[], tS: number): number {
  let low = 0;
  let high = samplesS.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((samplesS[middle] as number) < tS) low = middle + 1;
    else high = middle;
  }
  return samplesS[low] ?? Number.POSITIVE_INFINITY;
}
