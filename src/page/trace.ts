/**
 * The last minutes of one channel, for a chart: a capped buffer of points, each the least and the greatest value of its
 * moment and, where there is one, a companion value (the level at the reference temperature). Only real points are
 * kept; gaps are put in as nulls when the columns are made, so that they are drawn as gaps.
 */
export interface Point {
  /** Seconds of the bench's wall clock. */
  readonly tS: number;
  readonly low: number;
  readonly high: number;
  readonly beside: number | null;
}

export type Column = (number | null)[];
export type Columns = [x: number[], low: Column, high: Column, beside: Column];

/** A wall clock that goes back further than this was set back; less is a late message. */
const SET_BACK_S = 5;
const ENOUGH = 400;

export class Trace {
  readonly #most: number;
  readonly #spanS: number;
  #points: Point[] = [];

  /** Keeps at most `most` points of at most `spanS` seconds. */
  constructor(most: number, spanS: number) {
    this.#most = most;
    this.#spanS = spanS;
  }

  get size(): number {
    return this.#points.length;
  }

  get last(): Point | undefined {
    return this.#points.at(-1);
  }

  /** Adds the newest point; one no newer than `apartS` after the last is the same value seen again and is left out. */
  push(point: Point, apartS: number): boolean {
    const last = this.last;
    if (last !== undefined && point.tS <= last.tS + apartS) {
      if (last.tS - point.tS < SET_BACK_S) return false;
      // The clock was set back: what now lies ahead cannot be drawn in order.
      this.#points = this.#points.filter((p) => p.tS < point.tS);
    }
    this.#points.push(point);
    this.#trim(point.tS);
    return true;
  }

  /** Fills in from the bench's history wherever no point of our own lies within `nearS`. */
  seed(history: readonly Point[], nearS: number): void {
    const merged: Point[] = [];
    let own = 0;
    for (const past of [...history].sort((a, b) => a.tS - b.tS)) {
      while (own < this.#points.length && (this.#points[own] as Point).tS <= past.tS) {
        merged.push(this.#points[own] as Point);
        own += 1;
      }
      const before = merged.at(-1);
      const after = this.#points[own];
      const apart = before === undefined || past.tS > before.tS;
      const covered = this.#coveredAt(own, past.tS, nearS) || (after !== undefined && after.tS - past.tS <= nearS);
      if (apart && !covered) merged.push(past);
    }
    merged.push(...this.#points.slice(own));
    this.#points = merged;
    const last = this.last;
    if (last !== undefined) this.#trim(last.tS);
  }

  clear(): void {
    this.#points = [];
  }

  /** Columns for the chart from `fromS` on, with a null wherever two points are more than `gapS` apart. */
  columns(fromS: number, gapS: number): Columns {
    const columns: Columns = [[], [], [], []];
    const put = (x: number, low: number | null, high: number | null, beside: number | null) => {
      columns[0].push(x);
      columns[1].push(low);
      columns[2].push(high);
      columns[3].push(beside);
    };
    let before: Point | undefined;
    for (const p of this.#points) {
      if (p.tS < fromS) continue;
      if (before !== undefined && p.tS - before.tS > gapS) put((before.tS + p.tS) / 2, null, null, null);
      put(p.tS, p.low, p.high, p.beside);
      before = p;
    }
    return columns;
  }

  #coveredAt(own: number, tS: number, nearS: number): boolean {
    const before = this.#points[own - 1];
    return before !== undefined && tS - before.tS <= nearS;
  }

  #trim(nowS: number): void {
    const first = this.#points[0];
    const tooMany = this.#points.length > this.#most;
    // A tenth at a time: shifting thousands of points for each new one would cost more than drawing them.
    if (!tooMany && (first === undefined || nowS - first.tS <= this.#spanS * 1.1)) return;
    const keep = this.#points.filter((p) => nowS - p.tS <= this.#spanS);
    this.#points = keep.length > this.#most ? keep.slice(keep.length - Math.floor(this.#most * 0.9)) : keep;
  }
}

/** How many times the usual step between two points is a gap. */
const GAP_STEPS = 5;

/** Columns of a history in seconds, with a null wherever two points are much farther apart than the others. */
export function gapped(
  utcMs: readonly number[],
  min: readonly number[],
  max: readonly number[],
): [x: number[], low: Column, high: Column] {
  const steps = utcMs.slice(1).map((ms, i) => ms - (utcMs[i] as number));
  const usual = [...steps].sort((a, b) => a - b)[Math.floor(steps.length / 2)] ?? 0;
  const columns: [number[], Column, Column] = [[], [], []];
  utcMs.forEach((ms, i) => {
    const step = steps[i - 1] ?? 0;
    if (usual > 0 && step > GAP_STEPS * usual) {
      columns[0].push((ms - step / 2) / 1000);
      columns[1].push(null);
      columns[2].push(null);
    }
    columns[0].push(ms / 1000);
    columns[1].push(min[i] ?? null);
    columns[2].push(max[i] ?? null);
  });
  return columns;
}

/**
 * Range for the value axis: what nearly all points span, so that one wild value does not flatten the rest, with the
 * newest always inside, `include` inside, and never less than `least` high.
 */
export function valueRange(columns: Columns, include: readonly number[], least: number): [number, number] {
  const values = Float64Array.from([columns[1], columns[2], columns[3]].flatMap(thinned)).sort();
  const newest = [columns[1].at(-1), columns[2].at(-1), columns[3].at(-1)].filter((v) => typeof v === 'number');
  const pick = (share: number) => values[Math.round(share * (values.length - 1))] as number;
  const ends = values.length === 0 ? [] : [pick(0.003), pick(0.997)];
  const all = [...ends, ...newest, ...include];
  if (all.length === 0) return [0, least];
  const low = Math.min(...all);
  const high = Math.max(...all);
  const height = Math.max(high - low, least) * 1.16;
  const middle = (low + high) / 2;
  // Ends on whole steps, so that the picture does not breathe with every new value.
  const step = 10 ** Math.floor(Math.log10(height / 4));
  return [Math.floor((middle - height / 2) / step) * step, Math.ceil((middle + height / 2) / step) * step];
}

/** Enough values to judge the range by: sorting thousands ten times a second would heat a tablet for nothing. */
function thinned(column: Column): number[] {
  const every = Math.max(1, Math.floor(column.length / ENOUGH));
  return column.filter((v, i): v is number => v !== null && i % every === 0);
}
