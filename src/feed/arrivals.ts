/** How fast the frames of one instrument come, and whether that is a flood. */

const WINDOW_US = 1_000_000;
/** This many times what the bench file says, and at least so many a second: no jitter, but another setting of the board. */
const TIMES_EXPECTED = 20;
const LEAST_FLOOD = 200;

export class Arrivals {
  readonly #expected: number;
  #startUs = 0;
  #count = 0;
  /** Per second, over the last whole window. */
  #before = 0;

  /** @param intervalUs expected time between two frames */
  constructor(intervalUs: number) {
    this.#expected = WINDOW_US / intervalUs;
  }

  take(tUs: number): void {
    const spentUs = tUs - this.#startUs;
    if (spentUs >= WINDOW_US) {
      this.#before = (this.#count * 1e6) / spentUs;
      this.#startUs = tUs;
      this.#count = 0;
    }
    this.#count += 1;
  }

  /** Words with both rates while it floods; null while it does not. */
  flood(nowUs: number): string | null {
    const perSecond = nowUs - this.#startUs >= 2 * WINDOW_US ? 0 : Math.max(this.#before, this.#count);
    if (perSecond < Math.max(LEAST_FLOOD, TIMES_EXPECTED * this.#expected)) return null;
    const expected = Number(this.#expected.toPrecision(2));
    return `Sends ${Math.round(perSecond)} messages a second where ${expected} ${expected === 1 ? 'is' : 'are'} expected: more than can be kept. Set the board to send less often, or correct \`every\` in the bench file.`;
  }
}
