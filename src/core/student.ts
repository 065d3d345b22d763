/**
 * Student's t for a two-sided coverage of 95 %: JCGM 100:2008 (GUM), Table G.2, column 95. Between rows the next lower
 * number of degrees of freedom holds, as GUM G.4.1 asks for a truncated effective number.
 */
const T95: readonly (readonly [degreesOfFreedom: number, t: number])[] = [
  [1, 12.71],
  [2, 4.3],
  [3, 3.18],
  [4, 2.78],
  [5, 2.57],
  [6, 2.45],
  [7, 2.36],
  [8, 2.31],
  [9, 2.26],
  [10, 2.23],
  [11, 2.2],
  [12, 2.18],
  [13, 2.16],
  [14, 2.14],
  [15, 2.13],
  [16, 2.12],
  [17, 2.11],
  [18, 2.1],
  [19, 2.09],
  [20, 2.09],
  [25, 2.06],
  [30, 2.04],
  [35, 2.03],
  [40, 2.02],
  [45, 2.01],
  [50, 2.01],
  [100, 1.984],
];
const T95_INFINITE = 1.96;
/** From here on the infinite row differs by less than its rounding. */
const INFINITE_FROM = 1000;

/** Coverage factor for 95 % at `degreesOfFreedom` (Infinity allowed; below 1 counts as 1). */
export function studentT95(degreesOfFreedom: number): number {
  if (degreesOfFreedom >= INFINITE_FROM) return T95_INFINITE;
  let t = T95[0]?.[1] ?? T95_INFINITE;
  for (const [row, value] of T95) if (row <= degreesOfFreedom) t = value;
  return t;
}
