/** A property of a fluid from a table over temperature: monotone cubic between the points. */
import { monotoneCubic } from '../monotone-cubic.ts';
import type { Curve } from './property.ts';

/**
 * `u` is the standard uncertainty of one value. Two errors stand for it: one that all values share, and one that grows
 * from the middle of the table to ±u at its ends, so that the slope of the table is not taken for exact.
 */
export function tableCurve(
  points: readonly (readonly [tC: number, value: number])[],
  u: number,
  source: string,
): Curve {
  const temperatures = points.map(([tC]) => tC);
  const cubic = monotoneCubic(
    temperatures,
    points.map(([, value]) => value),
  );
  if (points.some(([, value]) => !(value > 0))) throw new RangeError('every value of the table must be above 0');
  const lowC = temperatures[0] as number;
  const highC = temperatures.at(-1) as number;
  const halfK = (highC - lowC) / 2;
  const middleC = lowC + halfK;
  return {
    lowC,
    highC,
    source,
    covered: true,
    at(tC) {
      const { value, derivative } = cubic.at(tC);
      const after = temperatures.findIndex((edge, i) => i > 0 && tC <= edge);
      const left = temperatures[after - 1] as number;
      const h = (temperatures[after] as number) - left;
      const slopeAt = (share: number) => cubic.at(left + share * h).derivative;
      // The slope of a cubic is a parabola: three of its values give its own slope exactly.
      const s = (tC - left) / h;
      const curvature = (slopeAt(0) * (4 * s - 3) + slopeAt(0.5) * (4 - 8 * s) + slopeAt(1) * (4 * s - 1)) / h;
      return {
        value,
        slope: derivative,
        curvature,
        constants: [
          { name: 'level of the table', u, perUnit: 1, slopePerUnit: 0 },
          { name: 'slope of the table', u, perUnit: (tC - middleC) / halfK, slopePerUnit: 1 / halfK },
        ],
      };
    },
  };
}
