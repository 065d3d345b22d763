/**
 * Lines of an uncertainty budget: JCGM 100:2008 (GUM), clauses 4.2, 4.3 and 5. A line is a quantity as it was stated, and
 * the part that it plays in the result:
 *
 *     line('level resolution', rectangular(step / 2, 'mm'))
 *     line('temperature instrument', normal(0.3, 'K'), { sensitivity: perK, shared: instrumentError('temperature') })
 */
import { cholesky } from './triangle.ts';

/** Shapes of what is known of a quantity; 't' is the mean of a few values that scatter normally. */
export const DISTRIBUTIONS = ['normal', 'rectangular', 'triangular', 'arcsine', 't'] as const;
export type Distribution = (typeof DISTRIBUTIONS)[number];

/** One component of an uncertainty budget. */
export interface BudgetLine {
  readonly component: string;
  /** 'A' from statistics of this reading, 'B' from elsewhere. */
  readonly type: 'A' | 'B';
  /**
   * Lines with the same key are one and the same quantity, within a reading and from one reading to another: they add
   * with their signs before they are squared. Null: nothing else has to do with it.
   */
  readonly shared: string | null;
  /** As it was stated, in `unit`: half a width, a standard deviation, an expanded uncertainty. */
  readonly value: number;
  readonly distribution: Distribution;
  /** u = value / divisor. */
  readonly divisor: number;
  /** Standard uncertainty in `unit` (UCUM). */
  readonly u: number;
  readonly unit: string;
  /** ∂result/∂quantity with its sign, mm per unit. */
  readonly sensitivity: number;
  /** |sensitivity| × u, mm. */
  readonly contributionMm: number;
  /** Degrees of freedom; null for infinite. */
  readonly degreesOfFreedom: number | null;
}

/** What is known of a quantity, before it plays a part in a result. */
export type Stated = Pick<BudgetLine, 'type' | 'value' | 'distribution' | 'divisor' | 'unit' | 'degreesOfFreedom'>;

export interface Part {
  readonly sensitivity?: number;
  readonly shared?: string | null;
}

export function line(component: string, stated: Stated, { sensitivity = 1, shared = null }: Part = {}): BudgetLine {
  const u = stated.value / stated.divisor;
  // + 0: the record knows one zero only.
  return { component, ...stated, u, shared, sensitivity: sensitivity + 0, contributionMm: Math.abs(sensitivity) * u };
}

/** Type A: a standard deviation from values that scatter (GUM 4.2). */
export function scatter(u: number, unit: string, degreesOfFreedom: number | null): Stated {
  return { type: 'A', value: u, distribution: 't', divisor: 1, unit, degreesOfFreedom };
}

/** A stated standard uncertainty, or an expanded one with its coverage factor (GUM 4.3.3). */
export function normal(value: number, unit: string, factor = 1, degreesOfFreedom: number | null = null): Stated {
  return { type: 'B', value, distribution: 'normal', divisor: factor, unit, degreesOfFreedom };
}

/** Anywhere within ± half a width, all alike (GUM 4.3.7). One step of a display: half a step (F.2.2.1). */
export function rectangular(halfWidth: number, unit: string, degreesOfFreedom: number | null = null): Stated {
  return bounded('rectangular', halfWidth, Math.sqrt(3), unit, degreesOfFreedom);
}

/** Within ± half a width, near the middle more often than at the ends (GUM 4.3.9). */
export function triangular(halfWidth: number, unit: string): Stated {
  return bounded('triangular', halfWidth, Math.sqrt(6), unit);
}

/** What swings to and fro between two ends, at an unknown moment (JCGM 101, 6.4.6). */
export function arcsine(halfWidth: number, unit: string): Stated {
  return bounded('arcsine', halfWidth, Math.sqrt(2), unit);
}

function bounded(
  distribution: Distribution,
  halfWidth: number,
  divisor: number,
  unit: string,
  degreesOfFreedom: number | null = null,
): Stated {
  return { type: 'B', value: halfWidth, distribution, divisor, unit, degreesOfFreedom };
}

/**
 * Several quantities that are known together, by their covariance matrix: one line for each independent factor of it
 * (Cholesky), shared under `key`, so that correlations (GUM 5.2) come out right within a result and between results.
 * Throws a TypeError where the matrix is none of a covariance.
 */
export function correlated(
  component: string,
  covariance: readonly (readonly number[])[],
  sensitivities: readonly number[],
  key: string,
  degreesOfFreedom: number | null = null,
): BudgetLine[] {
  const factor = cholesky(covariance);
  return sensitivities.map((_, j) => {
    const perFactor = sensitivities.reduce((sum, sensitivity, i) => sum + sensitivity * (factor[i]?.[j] ?? 0), 0);
    const name = sensitivities.length === 1 ? component : `${component}, part ${j + 1}`;
    const stated = normal(1, '1', 1, degreesOfFreedom);
    return line(name, stated, { sensitivity: perFactor, shared: `${key} ${j + 1}` });
  });
}

// Keys of what is shared, so that the same quantity is called the same wherever it comes in.

/** The error of a channel's instrument, the same in all its values; of one calibration only. */
export function instrumentError(channel: string): string {
  return `instrument ${channel}`;
}

/** A figure that the bench states once for the law of a channel. */
export function statedConstant(name: string, channel: string): string {
  return `${name} of ${channel}`;
}

/** A constant that properties of the bench's fluid rest on, by its name there. */
export function fluidConstant(name: string): string {
  return `fluid ${name}`;
}

export const COMPENSATION_SLOPE = 'compensation slope';
