/**
 * Tolerance classes of platinum thermometers, IEC 60751:2008, 5.1.3 and Table 3: ±(a + b |t|), each class with the
 * range in which it may be claimed, by the way the resistor is made.
 */
import type { Range } from './law.ts';

export const RTD_CLASSES = ['AA', 'A', 'B', 'C'] as const;
export type RtdClass = (typeof RTD_CLASSES)[number];
export const RTD_BUILDS = ['wire-wound', 'film'] as const;
export type RtdBuild = (typeof RTD_BUILDS)[number];

interface ToleranceRow extends Readonly<Record<RtdBuild, Range>> {
  readonly a: number;
  readonly b: number;
}

const CLASSES: Readonly<Record<RtdClass, ToleranceRow>> = {
  AA: { a: 0.1, b: 0.0017, 'wire-wound': { low: -50, high: 250 }, film: { low: 0, high: 150 } },
  A: { a: 0.15, b: 0.002, 'wire-wound': { low: -100, high: 450 }, film: { low: -30, high: 300 } },
  B: { a: 0.3, b: 0.005, 'wire-wound': { low: -196, high: 600 }, film: { low: -50, high: 500 } },
  C: { a: 0.6, b: 0.01, 'wire-wound': { low: -196, high: 600 }, film: { low: -50, high: 600 } },
};

export interface RtdTolerance {
  /** Half the width of a rectangular distribution, K; divided by √3 it is a standard uncertainty. */
  readonly halfWidthK: number;
  /** ∂halfWidthK/∂t; at 0 °C that of the warm side. */
  readonly derivative: number;
  /** False where the class makes no promise; the half-width is then the formula's, and no more than a guess. */
  readonly inRange: boolean;
}

/** What the class promises of a new thermometer at `tC`. */
export function rtdTolerance(rtdClass: RtdClass, build: RtdBuild, tC: number): RtdTolerance {
  const { a, b, [build]: valid } = CLASSES[rtdClass];
  return {
    halfWidthK: a + b * Math.abs(tC),
    derivative: tC >= 0 ? b : -b,
    inRange: tC >= valid.low && tC <= valid.high,
  };
}
