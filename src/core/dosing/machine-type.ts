/**
 * What the jobs on machines of one kind have taught, kept as plain data and used as prior for the next one: mm per litre,
 * slope of the warm-up, time to warm up. Mean and spread between machines by the conjugate update of a normal sample with
 * unknown mean and variance (Gelman et al., Bayesian Data Analysis, 3rd ed., 3.3).
 */
import type { ResponsePrior } from './response.ts';

/** A figure that machines of one kind have in common, more or less. */
export interface Kept {
  readonly mean: number;
  /** Standard deviation between machines. */
  readonly spread: number;
  /** Jobs that it comes from; 0: nobody has measured it, mean and spread are cautious guesses. */
  readonly count: number;
}

export interface MachineType {
  readonly name: string;
  readonly mmPerLitre: Kept;
  /** mm/K and s; null while no job has told them. */
  readonly mmPerK: Kept | null;
  readonly warmUpS: Kept | null;
}

/**
 * Any vessel on a vehicle or a bench: plans from 0.045 to 0.5 m², 22 to 2 mm per litre, within about two spreads. Our
 * estimate, no source.
 */
export const ANY_MACHINE: Kept = { mean: 12, spread: 5, count: 0 };
/** The guess counts as much as this many jobs for the mean, and as twice as many for the spread. Our choice, no source. */
const GUESS_COUNTS = 0.1;
const GUESS_SPREAD_COUNTS = 2;
/** Machines of one kind differ by this share at least, however alike the first few looked. Our estimate, no source. */
const LEAST_SPREAD_SHARE = 0.02;

/** With what one more job found, `u` its standard uncertainty, which is taken off the spread that it adds. */
export function keptWith({ mean, spread, count }: Kept, found: number, u: number): Kept {
  const weight = count === 0 ? GUESS_COUNTS : count;
  const n = count + 1;
  const away = found - mean;
  const between = (weight / (weight + 1)) * Math.max(0, away * away - u * u);
  const freedom = GUESS_SPREAD_COUNTS + count;
  const next = mean + away / (weight + 1);
  const variance = (freedom * spread * spread + between) / (freedom + 1);
  const least = LEAST_SPREAD_SHARE * Math.abs(next);
  // One machine says nothing of how others differ, but the guess was for any kind: half of it is enough for one kind.
  const narrowed = count === 0 ? Math.min(Math.sqrt(variance), Math.max(spread / 2, u)) : Math.sqrt(variance);
  return { mean: next, spread: Math.max(narrowed, least), count: n };
}

/** For the next machine: the spread, and how well the mean itself is known. */
export function priorOf({ mean, spread, count }: Kept): ResponsePrior {
  return { mmPerLitre: mean, spread: count === 0 ? spread : spread * Math.sqrt(1 + 1 / count) };
}
