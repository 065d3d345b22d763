import type { Random } from './random.ts';

/** A quantity that swings slowly about its middle, read with a little noise. */
export interface Wander {
  readonly middle: number;
  readonly swing: number;
  readonly periodS: number;
  readonly noise: number;
}

export function wandering({ middle, swing, periodS, noise }: Wander, tS: number, random: Random): number {
  return middle + swing * Math.sin((2 * Math.PI * tS) / periodS) + random.normal(0, noise);
}
