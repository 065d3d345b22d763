/** One law after another: the first one's value is the second one's signal. */
import { findRoot } from '../find-root.ts';
import type { Context, ContextName, Law, Range } from './law.ts';

/** Throws a RangeError where the units do not meet. */
export function through(first: Law, second: Law): Law {
  if (first.unit !== second.signalUnit)
    throw new RangeError(`a law that gives ${first.unit} cannot feed one that takes ${second.signalUnit}`);
  const needs = [...new Set([...first.needs, ...second.needs])];
  return {
    signalUnit: first.signalUnit,
    unit: second.unit,
    source: `${first.source}; ${second.source}`,
    needs,
    validContext: { ...first.validContext, ...second.validContext },
    validSignal: (context) => signalsFor(first, second.validSignal(context), context),
    at(signal, context) {
      const inner = first.at(signal, context);
      const outer = second.at(inner.value, context);
      const partial = (name: ContextName) =>
        (outer.partials[name] ?? 0) + outer.derivative * (inner.partials[name] ?? 0);
      return {
        value: outer.value,
        derivative: outer.derivative * inner.derivative,
        partials: Object.fromEntries(needs.map((name) => [name, partial(name)])),
        flag: inner.flag ?? outer.flag,
      };
    },
  };
}

/** Which signals of `first` give values from `wanted.low` to `wanted.high`, as far as it reaches. */
function signalsFor(first: Law, wanted: Range, context: Context): Range {
  const own = first.validSignal(context);
  const signalAt = (value: number) =>
    findRoot(
      (signal) => {
        const at = first.at(signal, context);
        return { value: at.value - value, derivative: at.derivative };
      },
      own.low,
      own.high,
    );
  const ends = [signalAt(wanted.low), signalAt(wanted.high)];
  return { low: Math.min(...ends), high: Math.max(...ends) };
}
