/**
 * The surface above the gauge as a damped oscillator, stepped by its exact solution, so that the size of the steps
 * does not matter. Height in mm, speed in mm/s.
 */
export class Slosh {
  readonly #decayS: number;
  #heightMm = 0;
  #speedMmPerS = 0;

  /** @param decayS time in which the amplitude falls to 1/e. */
  constructor(decayS: number) {
    this.#decayS = decayS;
  }

  get heightMm(): number {
    return this.#heightMm;
  }

  get speedMmPerS(): number {
    return this.#speedMmPerS;
  }

  kick(speedMmPerS: number): void {
    this.#speedMmPerS += speedMmPerS;
  }

  /** x(t) = e^(−t/τ) (x₀ cos ωt + (v₀ + x₀/τ)/ω sin ωt); `frequencyHz` is that of the damped oscillation. */
  advance(dtS: number, frequencyHz: number): void {
    const omega = 2 * Math.PI * frequencyHz;
    const rate = 1 / this.#decayS;
    const damped = Math.exp(-rate * dtS);
    if (omega === 0) {
      // an empty pot
      this.#heightMm *= damped;
      this.#speedMmPerS *= damped;
      return;
    }
    const c = Math.cos(omega * dtS);
    const s = Math.sin(omega * dtS);
    const x = this.#heightMm;
    const v = this.#speedMmPerS;
    const quadrature = (v + rate * x) / omega;
    this.#heightMm = damped * (x * c + quadrature * s);
    this.#speedMmPerS = damped * (v * c - (x * omega + rate * quadrature) * s);
  }
}
