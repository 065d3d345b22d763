/** A token bucket: bursts of one second's worth, refilled evenly. */
import type { Clock } from '../links/contract.ts';

export class RateLimit {
  readonly #clock: Clock;
  readonly #perSecond: number;
  #tokens: number;
  #atUs: number;

  constructor(clock: Clock, perSecond: number) {
    this.#clock = clock;
    this.#perSecond = perSecond;
    this.#tokens = perSecond;
    this.#atUs = clock.nowUs();
  }

  /** False when there are too many. */
  take(): boolean {
    const nowUs = this.#clock.nowUs();
    const refill = ((nowUs - this.#atUs) * this.#perSecond) / 1e6;
    this.#tokens = Math.min(this.#perSecond, this.#tokens + refill);
    this.#atUs = nowUs;
    if (this.#tokens < 1) return false;
    this.#tokens -= 1;
    return true;
  }
}
