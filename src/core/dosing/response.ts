/**
 * What litres do to the level. A response has a factor that is learned from the doses of the job: of a known vessel, how
 * much of what it promises comes true (1 for all of it); of an unknown one, the mm that a litre moves.
 */
import type { Vessel } from '../vessels/vessel.ts';

export interface Move {
  /** What the factor is multiplied by: mm that a known vessel promises, or the litres themselves. */
  readonly x: number;
  /** ∂x/∂level. */
  readonly perLevel: number;
  /** ∂x/∂litres. */
  readonly perLitre: number;
  /** False outside what is known of the vessel. */
  readonly inRange: boolean;
}

export interface Response {
  readonly kind: 'known' | 'unknown';
  /** The factor before the first dose, and its standard uncertainty: 1, or mm per litre. */
  readonly factor: number;
  readonly uFactor: number;
  /** Standard uncertainty that the factor gains with each mm of level, as a share of it: shapes differ from what is told. */
  readonly shapePerMm: number;
  /** Litres count at the temperature that the levels stand for, above 0 poured in, below 0 drained. */
  move(levelMm: number, litres: number): Move;
}

/** Mean and spread of the factor of an unknown vessel, from machines of its kind or from none. */
export interface ResponsePrior {
  readonly mmPerLitre: number;
  readonly spread: number;
}

/** An unknown vessel does not keep its plan over its height: our estimate, no source. A pan that widens by a third over 100 mm. */
const UNKNOWN_SHAPE_PER_MM = 0.003;

/** Table or shape, its walls at `wallC`. Its volumes are unsure by a common share, and so is what it promises. */
export function knownVessel(vessel: Vessel, wallC: number): Response {
  return {
    kind: 'known',
    factor: 1,
    uFactor: vessel.description.uVolumeShare,
    shapePerMm: 0,
    move(levelMm, litres) {
      const here = vessel.litresAt(levelMm, wallC);
      const there = vessel.levelAt(here.value + litres, wallC);
      return {
        x: there.value - levelMm,
        perLevel: there.derivative * here.derivative - 1,
        perLitre: there.derivative,
        inRange: here.inRange && there.inRange,
      };
    },
  };
}

/** Throws a RangeError for a prior that allows no level to rise. */
export function unknownVessel({ mmPerLitre, spread }: ResponsePrior): Response {
  if (!(mmPerLitre > 0 && spread > 0 && Number.isFinite(mmPerLitre) && Number.isFinite(spread)))
    throw new RangeError('mm per litre and its spread must be above 0');
  return {
    kind: 'unknown',
    factor: mmPerLitre,
    uFactor: spread,
    shapePerMm: UNKNOWN_SHAPE_PER_MM,
    move: (_levelMm, litres) => ({ x: litres, perLevel: 0, perLitre: 1, inRange: true }),
  };
}
