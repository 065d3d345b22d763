/**
 * A resistive sensor in series with a fixed resistor, read by a converter that shares the divider's supply, so that the
 * supply drops out. With the fraction f = counts / full scale:
 *   sensor to ground   R = Rf f/(1 − f)          sensor to supply   R = Rf (1 − f)/f
 */
import { checkedPositive, checkedRange, type Law, lawFrom } from './law.ts';

/** Converter counts → Ω. */
export interface DividerDescription {
  readonly kind: 'divider';
  readonly fixedOhm: number;
  /** The count that stands for the whole supply, such as 4096. */
  readonly fullScaleCounts: number;
  readonly sensorTo: 'ground' | 'supply';
  /** Closer than this to either end means a bridged or an open sensor. */
  readonly guardCounts: number;
}

export function divider({ fixedOhm, fullScaleCounts, sensorTo, guardCounts }: DividerDescription): Law {
  checkedPositive('the fixed resistor', fixedOhm);
  checkedPositive('the guard at the ends of the converter', guardCounts);
  const valid = checkedRange('the counts between the guards', {
    low: guardCounts,
    high: fullScaleCounts - guardCounts,
  });
  const toGround = sensorTo === 'ground';
  return lawFrom({
    signalUnit: '{count}',
    unit: 'Ohm',
    source: 'two resistors in series',
    context: {},
    validSignal: () => valid,
    at(counts) {
      const rest = fullScaleCounts - counts;
      return toGround
        ? { value: (fixedOhm * counts) / rest, derivative: (fixedOhm * fullScaleCounts) / (rest * rest), partials: {} }
        : {
            value: (fixedOhm * rest) / counts,
            derivative: (-fixedOhm * fullScaleCounts) / (counts * counts),
            partials: {},
          };
    },
    outside: (counts) => (counts > valid.high === toGround ? 'open-circuit' : 'short-circuit'),
  });
}
