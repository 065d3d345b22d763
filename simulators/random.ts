/**
 * Seeded random numbers, so that every simulated fault can be made again.
 * Generator: xoshiro128** (Blackman and Vigna, "Scrambled linear pseudorandom number generators", ACM TOMS 47, 2021).
 * Normal deviates: polar method (Marsaglia and Bray, SIAM Review 6, 1964).
 */
export class Random {
  #a: number;
  #b: number;
  #c: number;
  #d: number;
  #spare: number | null = null;

  /** From the four 32-bit words of the generator's state, not all zero. */
  constructor(a: number, b: number, c: number, d: number) {
    if ((a | b | c | d) === 0) throw new Error('random: the state must not be all zero');
    this.#a = a | 0;
    this.#b = b | 0;
    this.#c = c | 0;
    this.#d = d | 0;
  }

  /** One stream for each label of a seed, so that one part drawing more numbers does not change another's. */
  static of(seed: number, label: string): Random {
    const text = `${seed}/${label}`;
    return new Random(hash(`a${text}`), hash(`b${text}`), hash(`c${text}`), hash(`d${text}`) | 1);
  }

  /** 32 random bits as an unsigned integer. */
  bits(): number {
    const result = Math.imul(rotated(Math.imul(this.#b, 5), 7), 9) >>> 0;
    const shifted = this.#b << 9;
    this.#c ^= this.#a;
    this.#d ^= this.#b;
    this.#b ^= this.#c;
    this.#a ^= this.#d;
    this.#c ^= shifted;
    this.#d = rotated(this.#d, 11);
    return result;
  }

  /** Uniform in [low, high). */
  uniform(low = 0, high = 1): number {
    return low + (high - low) * (this.bits() / 0x1_0000_0000);
  }

  /** Uniform integer in [low, high], both included. */
  integer(low: number, high: number): number {
    return low + Math.floor(this.uniform() * (high - low + 1));
  }

  /** True with the given probability. */
  chance(probability: number): boolean {
    return this.uniform() < probability;
  }

  /** Normal deviate. */
  normal(mean = 0, standardDeviation = 1): number {
    if (this.#spare !== null) {
      const spare = this.#spare;
      this.#spare = null;
      return mean + standardDeviation * spare;
    }
    for (;;) {
      const x = this.uniform(-1, 1);
      const y = this.uniform(-1, 1);
      const s = x * x + y * y;
      if (s >= 1 || s === 0) continue;
      const factor = Math.sqrt((-2 * Math.log(s)) / s);
      this.#spare = y * factor;
      return mean + standardDeviation * x * factor;
    }
  }
}

function rotated(word: number, by: number): number {
  return (word << by) | (word >>> (32 - by));
}

/** FNV-1a over the characters, then mixed so that near seeds give far states. */
function hash(text: string): number {
  let h = 0x811c9dc5;
  for (const character of text) h = Math.imul(h ^ (character.codePointAt(0) ?? 0), 0x01000193);
  h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
  h = Math.imul(h ^ (h >>> 12), 0x297a2d39);
  return h ^ (h >>> 15);
}
