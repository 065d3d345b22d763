/** Half-open stretches of time [from, to), in s, in order and apart. */
export type Span = readonly [from: number, to: number];

export function lengthOf(spans: readonly Span[]): number {
  return spans.reduce((sum, [from, to]) => sum + to - from, 0);
}

/** What lies in both. */
export function both(a: readonly Span[], b: readonly Span[]): Span[] {
  const found: Span[] = [];
  let i = 0;
  let j = 0;
  for (;;) {
    const one = a[i];
    const other = b[j];
    if (one === undefined || other === undefined) return found;
    const from = Math.max(one[0], other[0]);
    const to = Math.min(one[1], other[1]);
    if (from < to) found.push([from, to]);
    if (one[1] < other[1]) i++;
    else j++;
  }
}

/** Collects a state that is told at some moments and holds until the next. */
export class SpanBuilder {
  readonly #spans: Span[] = [];
  #from: number | null = null;

  set(tS: number, on: boolean): void {
    if (on && this.#from === null) this.#from = tS;
    if (!on && this.#from !== null) {
      if (tS > this.#from) this.#spans.push([this.#from, tS]);
      this.#from = null;
    }
  }

  end(tS: number): readonly Span[] {
    this.set(tS, false);
    return this.#spans;
  }
}

/** The first moment at or after `fromS` and before `toS` that lies in one of the spans. */
export function firstWithin(spans: readonly Span[], fromS: number, toS: number): number | null {
  for (const [from, to] of spans) {
    if (to <= fromS) continue;
    return from < toS ? Math.max(from, fromS) : null;
  }
  return null;
}
