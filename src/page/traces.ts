/** The two traces that the page draws, fed by the same messages as the view and seeded from the bench's history. */
import type { History, Live, Snapshot } from '../feed/messages.ts';
import { type Point, Trace } from './trace.ts';

export const SPAN_S = 600;
export const HOUR_S = 3600;
/** How far back one may look: an hour, a shift, a day, a week. */
export const SPANS_S = [HOUR_S, 8 * HOUR_S, 24 * HOUR_S, 168 * HOUR_S];
/** Ten minutes at ten values a second. */
const MOST = 6000;
const HISTORY_POINTS = 600;
/** More events than ten minutes bring. */
export const PAST_EVENTS = 200;
/** Shorter holes than this come from the journey of the messages, not from the instrument. */
const LEAST_GAP_S = 2.5;

export type ChartName = 'temperature' | 'level';

export class Traces {
  readonly temperature = new Trace(MOST, SPAN_S);
  readonly level = new Trace(MOST, SPAN_S);
  readonly #listeners = new Set<() => void>();
  #bench: Snapshot['bench'] | null = null;
  #nowS = 0;

  /** Wall clock of the bench at the newest message, seconds. */
  get nowS(): number {
    return this.#nowS;
  }

  /** Calls back after each change; the result calls it off. */
  subscribe(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Expected seconds between two values of a chart's channel. */
  intervalS(chart: ChartName): number {
    const id = chart === 'level' ? this.#bench?.levelChannel : this.#bench?.temperatureChannel;
    return this.#bench?.channels.find((c) => c.id === id)?.intervalS ?? 1;
  }

  /** Points further apart than this, in seconds, are not joined. */
  gapS(chart: ChartName): number {
    return Math.max(3 * this.intervalS(chart), LEAST_GAP_S);
  }

  /** Another journal, or another bench: what was drawn is not its past. */
  restart(): void {
    this.temperature.clear();
    this.level.clear();
    this.#tell();
  }

  hear(bench: Snapshot['bench'], live: Live): void {
    this.#bench = bench;
    const utcS = Date.parse(live.utc) / 1000;
    if (Number.isNaN(utcS)) return;
    this.#nowS = utcS;
    this.#take('temperature', live.channels[bench.temperatureChannel], utcS, null);
    this.#take('level', live.channels[bench.levelChannel], utcS, live.levelMm);
    this.#tell();
  }

  seed(chart: ChartName, history: History): void {
    const points: Point[] = [];
    history.utcMs.forEach((utcMs, i) => {
      const low = history.min[i];
      const high = history.max[i];
      if (low !== undefined && high !== undefined) points.push({ tS: utcMs / 1000, low, high, beside: null });
    });
    this[chart].seed(points, this.gapS(chart) / 2);
    this.#tell();
  }

  #take(chart: ChartName, value: Live['channels'][string] | undefined, utcS: number, beside: number | null): void {
    if (value === undefined || value.stale || value.quality !== 'good') return;
    const point = { tS: utcS - value.ageS, low: value.value, high: value.value, beside };
    this[chart].push(point, 0.2 * this.intervalS(chart));
  }

  #tell(): void {
    for (const listener of this.#listeners) listener();
  }
}

/** Address of the history of a channel, the last `seconds` of it in at most `most` points. */
export function historyPath(channel: string, seconds = SPAN_S, most = HISTORY_POINTS): string {
  return `/api/history?channel=${encodeURIComponent(channel)}&seconds=${seconds}&most=${most}`;
}

/** Address of the events after a number. */
export function eventsPath(since: number, limit: number): string {
  return `/api/events?since=${since}&limit=${limit}`;
}
