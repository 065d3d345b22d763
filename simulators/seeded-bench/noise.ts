import type { Random } from '../random.ts';

/**
 * First-order autoregressive noise at any times: x(t + Δ) = φ x(t) + √(1 − φ²) σ e, φ = exp(−Δ/τ), so its
 * autocorrelation is exp(−Δ/τ) whatever the rate.
 */
export class CorrelatedNoise {
  readonly #deviation: number;
  readonly #correlationS: number;
  readonly #random: Random;
  #value: number;
  #tS: number | null = null;

  constructor(deviation: number, correlationS: number, random: Random) {
    this.#deviation = deviation;
    this.#correlationS = correlationS;
    this.#random = random;
    this.#value = random.normal(0, deviation);
  }

  /** The noise at `tS`, which must not lie before the last one asked for. */
  at(tS: number): number {
    const phi = this.#tS === null ? 1 : Math.exp(-(tS - this.#tS) / this.#correlationS);
    this.#tS = tS;
    this.#value = phi * this.#value + Math.sqrt(1 - phi * phi) * this.#random.normal(0, this.#deviation);
    return this.#value;
  }
}

/** The nearest whole number of steps; 0 for no steps. */
export function quantised(value: number, step: number): number {
  return step > 0 ? Math.round(value / step) * step : value;
}
