/** Least and greatest value of each stretch of time: however many samples there are, no peak is lost. */
import type { EnvelopeBucket } from '../journal/contract.ts';

export class Decimator {
  readonly fromUtcMs: number;
  readonly toUtcMs: number;
  readonly #widthMs: number;
  readonly #least: Float64Array;
  readonly #most: Float64Array;

  /** Takes values of [from, to], into at most `most` buckets. */
  constructor(fromUtcMs: number, toUtcMs: number, most: number) {
    this.fromUtcMs = fromUtcMs;
    this.toUtcMs = Math.max(toUtcMs, fromUtcMs + 1);
    this.#widthMs = (this.toUtcMs - fromUtcMs) / most;
    this.#least = new Float64Array(most).fill(Number.POSITIVE_INFINITY);
    this.#most = new Float64Array(most).fill(Number.NEGATIVE_INFINITY);
  }

  get widthMs(): number {
    return this.#widthMs;
  }

  add(utcMs: number, value: number): void {
    if (!(utcMs >= this.fromUtcMs && utcMs <= this.toUtcMs)) return;
    const at = Math.min(this.#least.length - 1, Math.floor((utcMs - this.fromUtcMs) / this.#widthMs));
    this.#least[at] = Math.min(this.#least[at] as number, value);
    this.#most[at] = Math.max(this.#most[at] as number, value);
  }

  /** Those that hold a value, each at its middle. */
  buckets(): EnvelopeBucket[] {
    return [...this.#least].flatMap((min, i) => {
      const max = this.#most[i] as number;
      return max < min ? [] : [{ utcMs: this.fromUtcMs + (i + 0.5) * this.#widthMs, min, max }];
    });
  }
}
