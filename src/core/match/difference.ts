/** A level held against another, as a difference: what both have in common cancels (GUM 5.2, F.1.2.3). */
import type { MatchDescription } from '../description.ts';
import type { Reading } from '../events.ts';
import { type Combined, combine, groupsOf } from '../uncertainty/combine.ts';
import { type BudgetLine, line, normal } from '../uncertainty/line.ts';
import { plain } from '../uncertainty/rounding.ts';

/** What a reading was made with: only readings of one basis are held against each other. */
export interface ReadingBasis {
  readonly levelChannel: string;
  readonly temperatureChannel: string;
  /** The way to the reference temperature, with its figures. */
  readonly compensation: string;
  /** Certificates in force, one for each calibrated instrument. */
  readonly calibrations: readonly string[];
}

/** Why two readings may not be held against each other. */
export const NOT_COMPARABLE = ['machine-state', 'channels', 'reference', 'compensation', 'calibration'] as const;
export type NotComparable = (typeof NOT_COMPARABLE)[number];

export interface Difference extends Combined {
  /** Reading minus target. */
  readonly mm: number;
  readonly budget: readonly BudgetLine[];
}

export type Match =
  | { readonly comparable: true; readonly difference: Difference }
  | { readonly comparable: false; readonly why: NotComparable; readonly words: string };

type Own = Pick<MatchDescription, 'refitMm' | 'refits' | 'newFluidMm'>;

const NOTHING: Own = { refitMm: 0, refits: null, newFluidMm: 0 };

/**
 * `b` minus `a`. What the two share by key counts with the difference of its sensitivities; refitting the sensor and the new
 * fluid come in with what the bench states; noise, drift and steps of each reading stay.
 */
export function match(a: Reading, b: Reading, own: Own = NOTHING): Match {
  const apart = notComparable(a, b);
  if (apart !== null) return { comparable: false, ...apart };
  const budget = [
    ...difference(a, b),
    // Two fittings, independent of each other: √2 of one.
    ...refit(own, Math.sqrt(2)),
    ...(own.newFluidMm > 0 ? [line('new fluid', normal(own.newFluidMm, 'mm'))] : []),
  ];
  return { comparable: true, difference: { mm: b.levelMm - a.levelMm, budget, ...combine(budget) } };
}

/** `b` minus a level that somebody states: nothing is shared, nothing cancels. */
export function againstLevel(
  target: { readonly levelMm: number; readonly uMm: number },
  b: Reading,
  own: Own,
): Difference {
  const budget = [
    ...b.budget,
    ...(target.uMm > 0 ? [line('target as stated', normal(target.uMm, 'mm'), { sensitivity: -1 })] : []),
    ...refit(own, 1),
  ];
  return { mm: b.levelMm - target.levelMm, budget, ...combine(budget) };
}

function refit({ refitMm, refits }: Own, fittings: number): BudgetLine[] {
  if (!(refitMm > 0)) return [];
  const degreesOfFreedom = refits === null ? null : refits - 1;
  return [line('refitting the sensor', normal(refitMm, 'mm', 1, degreesOfFreedom), { sensitivity: fittings })];
}

function notComparable(a: Reading, b: Reading): { why: NotComparable; words: string } | null {
  if (a.machineState !== b.machineState)
    return no('machine-state', `The machine was in another state: ${a.machineState} then, ${b.machineState} now.`);
  if (a.basis.levelChannel !== b.basis.levelChannel || a.basis.temperatureChannel !== b.basis.temperatureChannel)
    return no('channels', 'They were read by other channels. Take the target again.');
  if (a.referenceC !== b.referenceC)
    return no(
      'reference',
      `They stand for other temperatures: ${plain(a.referenceC, 1)} °C then, ${plain(b.referenceC, 1)} °C now.`,
    );
  if (a.basis.compensation !== b.basis.compensation)
    return no('compensation', 'They were brought to the reference in other ways. Take the target again.');
  if (a.basis.calibrations.join('\n') !== b.basis.calibrations.join('\n'))
    return no('calibration', 'An instrument was calibrated in between. Take the target again.');
  return null;
}

function no(why: NotComparable, words: string): { why: NotComparable; words: string } {
  return { why, words };
}

/** One line for each thing that both share, with what is left of it; then what each has for itself. */
function difference(a: Reading, b: Reading): BudgetLine[] {
  const turned = a.budget.map((one) => ({ ...one, sensitivity: -one.sensitivity }));
  const lines = groupsOf([...b.budget, ...turned]).flatMap(({ shared, lines, signedMm, degreesOfFreedom }) => {
    if (shared === null) return [];
    const most = lines.reduce((one, other) => (other.u > one.u ? other : one));
    const sensitivity = most.u > 0 ? signedMm / most.u : 0;
    return [{ ...most, sensitivity: sensitivity + 0, contributionMm: Math.abs(signedMm), degreesOfFreedom }];
  });
  const own = ({ id, budget }: Reading, sign: 1 | -1) =>
    budget
      .filter(({ shared }) => shared === null)
      .map((one) => ({ ...one, component: `${one.component} (No. ${id})`, sensitivity: sign * one.sensitivity + 0 }));
  return [...lines, ...own(b, 1), ...own(a, -1)];
}
