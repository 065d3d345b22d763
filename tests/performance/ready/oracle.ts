/**
 * The shortest time that statistics allow on a bench, for somebody who knows what no instrument can: the standard
 * deviations and the correlation of the noise, which samples are wild, the slosh, and the law by which the level
 * settles. Not known to it: the plateau, how much is still to come down, and the constant error of the probe.
 *
 *   y(t) = plateau + remainder · exp(−(t − t₀)/τ) + correlated noise + white noise
 *
 * The covariance of the best linear estimate of (plateau, remainder, correlated noise) is that of a Kalman filter; it
 * does not depend on the data, so no data are needed. A reading counts only within a spell that is fit, so only samples
 * of the spell count. The oracle calls ready when both hold:
 *   1. the level as it stands is known well enough for a reading: 1.96 standard errors ≤ a third of the tolerance;
 *   2. a level off by more than the tolerance is excluded with 99.9 %: true remainder + 3.09 standard errors of the
 *      remainder ≤ the tolerance.
 * τ is that of the slowest thing that was stirred up lately: air where there was any, drain-back otherwise.
 */
import type { Row } from '../../../simulators/seeded-bench/gauge.ts';
import type { SeededBench } from '../../../simulators/seeded-bench/generate.ts';
import { GRID_S } from '../../../simulators/seeded-bench/world.ts';
import { type Span, SpanBuilder } from './spans.ts';
import { judgeMoment } from './truth.ts';

const READING_SHARE = 1 / 3;
const Z_READING = 1.96;
const Z_UNFIT = 3.09;
/** Nothing is known before: standard deviations in tolerances. */
const PLATEAU_UNKNOWN = 1000;
const REMAINDER_UNKNOWN = 10;
/** After so many time constants nothing is left worth a thought. */
const LONG_GONE = 6;

export interface NoiseModel {
  readonly whiteMm: number;
  readonly correlatedMm: number;
  readonly correlationS: number;
}

/** Covariance of plateau, remainder and correlated noise, and its two steps. */
export class Covariance {
  // Upper triangle of a symmetric matrix: plateau, remainder, noise.
  #pp: number;
  #pr = 0;
  #pn = 0;
  #rr: number;
  #rn = 0;
  #nn: number;
  readonly #noise: NoiseModel;
  readonly #settlingS: number;

  constructor(noise: NoiseModel, settlingS: number, uPlateauMm: number, uRemainderMm: number) {
    this.#noise = noise;
    this.#settlingS = settlingS;
    this.#pp = uPlateauMm * uPlateauMm;
    this.#rr = uRemainderMm * uRemainderMm;
    this.#nn = noise.correlatedMm * noise.correlatedMm;
  }

  /** Time passes: the remainder decays, the correlated noise is renewed. */
  advance(dtS: number): void {
    const f = Math.exp(-dtS / this.#settlingS);
    const phi = Math.exp(-dtS / this.#noise.correlationS);
    const variance = this.#noise.correlatedMm * this.#noise.correlatedMm;
    this.#pr *= f;
    this.#pn *= phi;
    this.#rr *= f * f;
    this.#rn *= f * phi;
    this.#nn = phi * phi * this.#nn + (1 - phi * phi) * variance;
  }

  /** One more sample, the sum of all three and white noise of this variance. */
  sample(whiteVariance: number): void {
    const p = this.#pp + this.#pr + this.#pn;
    const r = this.#pr + this.#rr + this.#rn;
    const n = this.#pn + this.#rn + this.#nn;
    const s = p + r + n + whiteVariance;
    this.#pp -= (p * p) / s;
    this.#pr -= (p * r) / s;
    this.#pn -= (p * n) / s;
    this.#rr -= (r * r) / s;
    this.#rn -= (r * n) / s;
    this.#nn -= (n * n) / s;
  }

  get seRemainderMm(): number {
    return Math.sqrt(Math.max(this.#rr, 0));
  }

  /** Of the level as it stands: plateau and remainder together. */
  get seLevelMm(): number {
    return Math.sqrt(Math.max(this.#pp + 2 * this.#pr + this.#rr, 0));
  }
}

export function oracleReady(bench: SeededBench): readonly Span[] {
  const { p, world, rows } = bench;
  const { toleranceMm, lowC, highC } = p.declared;
  const spans = new SpanBuilder();
  let known: Covariance | null = null;
  let lastS = 0;
  for (const row of rows) {
    if (row.level === null) continue;
    const i = Math.min(Math.round(row.tS / GRID_S), world.levelMm.length - 1);
    const shownC = (world.temperatureC[i] as number) + p.probe.offsetK;
    if (!judgeMoment(bench, i).fit) {
      known = null;
      spans.set(row.tS, false);
      continue;
    }
    if (known === null)
      known = new Covariance(
        p.gauge,
        settlingS(bench, row.tS),
        PLATEAU_UNKNOWN * toleranceMm,
        REMAINDER_UNKNOWN * toleranceMm,
      );
    else known.advance(row.tS - lastS);
    lastS = row.tS;
    if (row.sound) known.sample(whiteVariance(bench, row, i));
    const remainder = Math.abs((world.referenceMm[i] as number) - (world.plateauMm[i] as number));
    spans.set(
      row.tS,
      shownC >= lowC &&
        shownC <= highC &&
        Z_READING * known.seLevelMm <= READING_SHARE * toleranceMm &&
        remainder + Z_UNFIT * known.seRemainderMm <= toleranceMm,
    );
  }
  return spans.end(p.lastsS);
}

function settlingS({ p, happenings }: SeededBench, tS: number): number {
  const airy = happenings.flatMap((one) =>
    one.kind === 'air' && one.atS <= tS && tS - one.atS < LONG_GONE * one.decayS ? [one.decayS] : [],
  );
  return Math.max(p.drainBackS, ...airy);
}

/** White noise, one step of the gauge, ripple; slosh too where it is sampled too seldom to be seen as what it is. */
function whiteVariance({ p, world }: SeededBench, { tS }: Row, i: number): number {
  const { whiteMm, resolutionMm, vibrationMm, intervalS } = p.gauge;
  const ripple = world.running[i] === 1 ? (vibrationMm * vibrationMm) / 2 : 0;
  const amplitude = 4 * p.sloshHz * intervalS > 1 ? world.waves.amplitudeMm(tS) : 0;
  const airShare = Math.min((world.airMm[i] as number) / (2 * p.declared.toleranceMm), 1);
  const white = whiteMm * (1 + airShare);
  return white * white + (resolutionMm * resolutionMm) / 12 + ripple + (amplitude * amplitude) / 2;
}
