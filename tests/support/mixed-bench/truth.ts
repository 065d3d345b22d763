/** What the simulated instruments truly said, and when; what was damaged on its way; and whether a value was ever said. */

interface Said {
  readonly tUs: number;
  readonly value: number;
}

/** More than come within any time that is looked back. */
const MOST_SAID = 30;

export class Truth {
  readonly #said = new Map<string, Said[]>();
  readonly #damaged = new Map<string, number[]>();
  readonly #keptUs: number;

  /** @param keptUs how old a value may be when it counts, on its way included */
  constructor(keptUs: number) {
    this.#keptUs = keptUs;
  }

  /** @param key instrument and signal with a point between */
  say(key: string, value: number, tUs: number): void {
    const list = this.#said.get(key) ?? [];
    this.#said.set(key, list);
    list.push({ tUs, value });
    while (list.length > MOST_SAID) list.shift();
  }

  damage(instrument: string, tUs: number): void {
    const list = this.#damaged.get(instrument) ?? [];
    this.#damaged.set(instrument, list);
    list.push(tUs);
    if (list.length > 20) list.shift();
  }

  wasSaid(key: string, value: number, tUs: number): boolean {
    return this.#recent(key, tUs).some((said) => Math.abs(said.value - value) <= 1e-9 * Math.max(1, Math.abs(value)));
  }

  /** Whether a line that was damaged can have come lately, by itself or run together with the next one. */
  wasDamaged(instrument: string, tUs: number, everyUs: number): boolean {
    return (this.#damaged.get(instrument) ?? []).some((one) => one <= tUs && one >= tUs - everyUs - this.#keptUs);
  }

  /** How far the value is from the nearest that was said lately. */
  distance(key: string, value: number, tUs: number, backUs: number): number {
    const near = (this.#said.get(key) ?? []).filter((said) => said.tUs <= tUs && said.tUs >= tUs - backUs);
    return Math.min(...near.map((said) => Math.abs(said.value - value)));
  }

  #recent(key: string, tUs: number): Said[] {
    return (this.#said.get(key) ?? []).filter((said) => said.tUs <= tUs && said.tUs >= tUs - this.#keptUs);
  }
}
