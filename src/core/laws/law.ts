/**
 * What every law of measurement has in common: it turns one raw signal into one quantity and says how the quantity
 * moves with the signal and with everything else that it needs to know.
 *
 * Total: any number in gives finite numbers out. An argument outside its range is held at the nearer end of that range;
 * the derivative with respect to it is then 0 and the flag says what is wrong.
 */

/** What a law may need besides its signal; a name carries its unit. */
export const CONTEXT_NAMES = [
  /** Temperature of the reference junction of a thermocouple. */
  'coldJunctionC',
  /** Speed of sound in the fluid, along the way of the echo. */
  'soundMPerS',
  /** Air along the way of an echo from above; relative humidity from 0 to 1. */
  'airC',
  'relativeHumidity',
  'airPressureKPa',
  /** Density of the fluid at its own temperature. */
  'densityKgPerM3',
  'gravityMPerS2',
  /** Supply of a ratiometric sensor. */
  'supplyV',
] as const;
export type ContextName = (typeof CONTEXT_NAMES)[number];
export type Context = Readonly<Partial<Record<ContextName, number>>>;

/** Why a value must not be trusted: a closed list, the gravest that applies. */
export const LAW_FLAGS = [
  /** The signal lies outside the law's range. */
  'out-of-range',
  /** Current loop at or below 3.6 mA: wire broken, or a transmitter that reports its own failure. */
  'broken-loop',
  /** Current loop at or above 21 mA: a transmitter that reports its own failure. */
  'failure-current',
  /** Divider: the sensor, or its wiring, conducts nothing. */
  'open-circuit',
  /** Divider: the sensor, or its wiring, is bridged. */
  'short-circuit',
  /** Two temperatures give the same signal (thermocouple B near its beginning). */
  'ambiguous',
  /** A context quantity is not there. */
  'context-missing',
  /** A context quantity lies outside the range that the law was made for. */
  'context-out-of-range',
] as const;
export type LawFlag = (typeof LAW_FLAGS)[number];

export interface LawResult {
  /** In the law's `unit`. */
  readonly value: number;
  /** ∂value/∂signal. */
  readonly derivative: number;
  /** ∂value/∂context quantity, for each that the law needs. */
  readonly partials: Context;
  readonly flag: LawFlag | null;
}

/** Closed interval. */
export interface Range {
  readonly low: number;
  readonly high: number;
}

/** The inside units that a law can give: °C, mm, L, Ω, or whatever the description says of its own values. */
export interface Law {
  readonly signalUnit: string;
  readonly unit: string;
  /** Where equation and coefficients come from. */
  readonly source: string;
  readonly needs: readonly ContextName[];
  /** The range that the law was made for, of each quantity that it needs. */
  readonly validContext: Readonly<Partial<Record<ContextName, Range>>>;
  /** Signals that give a value without a flag; with some laws they move with the context. */
  validSignal(context: Context): Range;
  at(signal: number, context: Context): LawResult;
}

/** A law as its equation alone: `at` is only called inside the ranges. */
export interface Equation<Need extends ContextName> {
  readonly signalUnit: string;
  readonly unit: string;
  readonly source: string;
  readonly context: Readonly<Record<Need, Range>>;
  /** With a context, the ends are those signals that give the ends of the value's range. */
  readonly validSignal: (context: Readonly<Record<Need, number>>) => Range;
  readonly at: (
    signal: number,
    context: Readonly<Record<Need, number>>,
  ) => {
    readonly value: number;
    readonly derivative: number;
    readonly partials: Readonly<Record<Need, number>>;
  };
  /** Names what a signal outside means, where that is more than `out-of-range`. */
  readonly outside?: (signal: number, context: Readonly<Record<Need, number>>) => LawFlag;
}

/** Makes an equation total: holds every argument inside its range, and flags what had to be held. */
export function lawFrom<Need extends ContextName>(equation: Equation<Need>): Law {
  const { signalUnit, unit, source, context: validContext } = equation;
  const needs = Object.keys(validContext) as Need[];
  const holdAll = (context: Context) =>
    Object.fromEntries(needs.map((name) => [name, hold(context[name], validContext[name])])) as Record<Need, number>;
  return {
    signalUnit,
    unit,
    source,
    needs,
    validContext: validContext as Law['validContext'],
    validSignal: (context) => equation.validSignal(holdAll(context)),
    at(signal, context) {
      const held = holdAll(context);
      const inside = hold(signal, equation.validSignal(held));
      const { value, derivative, partials } = equation.at(inside, held);
      if (inside !== signal) {
        const still = Object.fromEntries(needs.map((name) => [name, 0]));
        return { value, derivative: 0, partials: still, flag: equation.outside?.(signal, held) ?? 'out-of-range' };
      }
      const moving = needs.map((name) => [name, held[name] === context[name] ? partials[name] : 0]);
      return { value, derivative, partials: Object.fromEntries(moving), flag: contextFlag(needs, held, context) };
    },
  };
}

function contextFlag(needs: readonly ContextName[], held: Context, context: Context): LawFlag | null {
  if (needs.some((name) => context[name] === undefined)) return 'context-missing';
  return needs.some((name) => held[name] !== context[name]) ? 'context-out-of-range' : null;
}

/** The nearer end for a number outside, the low end for no number at all. */
export function hold(x: number | undefined, { low, high }: Range): number {
  if (x === undefined || !(x >= low)) return low;
  return x <= high ? x : high;
}

/** A number above 0; throws a RangeError that names it. */
export function checkedPositive(what: string, x: number): number {
  if (!(Number.isFinite(x) && x > 0)) throw new RangeError(`${what} must be a number above 0, not ${x}`);
  return x;
}

/** A range that is one: finite, and not empty. Throws a RangeError that names it. */
export function checkedRange(what: string, { low, high }: Range): Range {
  if (!(Number.isFinite(low) && Number.isFinite(high) && low < high))
    throw new RangeError(`${what} must run from a lower to a higher number, not from ${low} to ${high}`);
  return { low, high };
}
