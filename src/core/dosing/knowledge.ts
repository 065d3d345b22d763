/**
 * What is known of level and response while a job doses: an extended Kalman filter with two states (Kalman, J. Basic
 * Engineering 82, 1960; the same as weighted least squares over all doses and readings, one after the other). The error of
 * a reading is in the level and in what was learned from it, and the filter keeps count of both together.
 */
import type { Response } from './response.ts';

/** Plain data. Level in mm at the temperature of the readings, factor as in `response.ts`. */
export interface Knowledge {
  readonly levelMm: number;
  readonly factor: number;
  readonly varLevel: number;
  readonly varFactor: number;
  readonly covariance: number;
  /** Doses that were followed by a reading that fits. */
  readonly learnedFrom: number;
}

/** A level and what is its own of its uncertainty: what all readings of the job share cancels between them. */
export interface Level {
  readonly mm: number;
  readonly uMm: number;
}

/** Litres at the temperature of the levels, above 0 poured in, below 0 drained; standard uncertainty of this dose alone. */
export interface DoseMade {
  readonly litres: number;
  readonly uLitres: number;
}

export interface Learned {
  readonly knowledge: Knowledge;
  /** Reading minus what was expected, mm, and the standard uncertainty of that difference. */
  readonly surpriseMm: number;
  readonly uSurpriseMm: number;
  /** False: the dose did not do what it should. Nothing is learned from it; the level is what the reading says. */
  readonly fits: boolean;
}

/** Beyond this many standard uncertainties something else has happened: one in two thousand by chance. */
const FARTHEST = 3.5;
/** A factor never falls below this share of the one that the job began with: fluid poured in does not lower a level. */
const LEAST_SHARE = 0.05;

/** `uShare` of the measure counts with the factor: it is in every dose, so that what a dose does is learned with it. */
export function knowledgeAt(response: Response, { mm, uMm }: Level, uShare: number): Knowledge {
  const byMeasure = response.factor * uShare;
  return {
    levelMm: mm,
    factor: response.factor,
    varLevel: uMm * uMm,
    varFactor: response.uFactor * response.uFactor + byMeasure * byMeasure,
    covariance: 0,
    learnedFrom: 0,
  };
}

/** After a dose, before it is read: null where the vessel says nothing. */
export function afterDose(response: Response, before: Knowledge, { litres, uLitres }: DoseMade): Knowledge | null {
  const { levelMm, factor, varLevel, covariance } = before;
  const { x, perLevel, perLitre, inRange } = response.move(levelMm, litres);
  if (!inRange) return null;
  const shape = factor * response.shapePerMm * factor * x;
  const varFactor = before.varFactor + shape * shape;
  const stays = 1 + factor * perLevel;
  // Variance of a product of two unsure things (Goodman, J. American Statistical Association 55, 1960): the error of the
  // dose is worth more mm in a vessel that may be narrower than thought.
  const own = (factor * factor + varFactor) * perLitre * perLitre * uLitres * uLitres;
  return {
    ...before,
    levelMm: levelMm + factor * x,
    varLevel: stays * stays * varLevel + 2 * stays * x * covariance + x * x * varFactor + own,
    varFactor,
    covariance: stays * covariance + x * varFactor,
  };
}

/** With a reading after the dose. */
export function afterReading(response: Response, expected: Knowledge, { mm, uMm }: Level): Learned {
  const { levelMm, factor, varLevel, varFactor, covariance } = expected;
  const surpriseMm = mm - levelMm;
  const variance = varLevel + uMm * uMm;
  const uSurpriseMm = Math.sqrt(variance);
  const learned = variance > 0 ? factor + (covariance / variance) * surpriseMm : factor;
  const fits = Math.abs(surpriseMm) <= FARTHEST * uSurpriseMm && learned > LEAST_SHARE * response.factor;
  const told = { surpriseMm, uSurpriseMm, fits };
  if (!fits) return { ...told, knowledge: { ...expected, levelMm: mm, varLevel: uMm * uMm, covariance: 0 } };
  if (!(variance > 0)) return { ...told, knowledge: { ...expected, learnedFrom: expected.learnedFrom + 1 } };
  return {
    ...told,
    knowledge: {
      levelMm: levelMm + (varLevel / variance) * surpriseMm,
      factor: learned,
      varLevel: (varLevel * uMm * uMm) / variance,
      varFactor: Math.max(0, varFactor - (covariance * covariance) / variance),
      covariance: (covariance * uMm * uMm) / variance,
      learnedFrom: expected.learnedFrom + 1,
    },
  };
}
