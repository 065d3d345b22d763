/** Decaying waves in closed form, so that they may be asked for at any time in any order. */

export interface Kick {
  readonly atS: number;
  readonly mm: number;
}

export class Waves {
  readonly #kicks: Kick[] = [];
  readonly #hz: number;
  readonly #decayS: number;

  constructor(hz: number, decayS: number) {
    this.#hz = hz;
    this.#decayS = decayS;
  }

  kick(kick: Kick): void {
    this.#kicks.push(kick);
  }

  /** Height of the wave above the calm surface. */
  heightMm(tS: number): number {
    let sum = 0;
    for (const { atS, mm } of this.#kicks) {
      const age = tS - atS;
      if (age >= 0) sum += mm * Math.exp(-age / this.#decayS) * Math.sin(2 * Math.PI * this.#hz * age);
    }
    return sum;
  }

  /** Amplitude: the length of the sum of the phasors. */
  amplitudeMm(tS: number): number {
    let sine = 0;
    let cosine = 0;
    for (const { atS, mm } of this.#kicks) {
      const age = tS - atS;
      if (age < 0) continue;
      const size = mm * Math.exp(-age / this.#decayS);
      sine += size * Math.sin(2 * Math.PI * this.#hz * age);
      cosine += size * Math.cos(2 * Math.PI * this.#hz * age);
    }
    return Math.hypot(sine, cosine);
  }
}
