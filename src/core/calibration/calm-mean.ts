/** The mean of values that have come to rest, for a calibration point. */
import { effectiveCount, fitLine } from '../statistics.ts';

export interface TimedValue {
  readonly tUs: number;
  readonly value: number;
}

export interface CalmMean {
  readonly mean: number;
  /** Standard uncertainty of the mean: scatter with its correlation, half the drift as a rectangle, the resolution. */
  readonly u: number;
  readonly count: number;
}

/** What is watched for rest: how long, and how far the value may move in that time. */
export interface Rest {
  readonly overUs: number;
  readonly within: number;
  readonly resolution: number;
}

const LEAST = 8;
/** The values must fill this share of the time. */
const FILLED = 0.8;

/** Null while they are too few, or still on the move: drift seen beyond its own noise, and beyond what is harmless. */
export function calmMean(values: readonly TimedValue[], { overUs, within, resolution }: Rest): CalmMean | null {
  const last = values.at(-1);
  if (last === undefined) return null;
  const recent = values.filter(({ tUs }) => last.tUs - tUs <= overUs);
  const first = recent[0] as TimedValue;
  if (recent.length < LEAST || last.tUs - first.tUs < FILLED * overUs) return null;
  const line = fitLine(
    recent.map(({ tUs }) => (tUs - first.tUs) / 1e6),
    recent.map(({ value }) => value),
  );
  if (line === null) return null;
  const spanS = (last.tUs - first.tUs) / 1e6;
  const drift = Math.abs(line.slope) * spanS;
  if (drift > within + resolution + 2 * line.uSlope * spanS) return null;
  const independent = effectiveCount(recent.length, line.lag1);
  const variance =
    (line.residual * line.residual) / independent + (drift * drift) / 12 + (resolution * resolution) / 12;
  return { mean: line.mean, u: Math.sqrt(variance), count: recent.length };
}
