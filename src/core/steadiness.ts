/**
 * Is the level calm? The last `overUs` of compensated levels, wild values set aside, judged by spread and drift.
 */
import { effectiveCount, fitLine, median, robustDeviation } from './statistics.ts';

/** One compensated level with what it rests on. */
export interface LevelPoint {
  readonly tUs: number;
  readonly seq: number;
  readonly mm: number;
  readonly rawMm: number;
  readonly temperatureC: number;
}

/** Samples of the window in order of time; plain data. */
export interface SteadinessState {
  points: LevelPoint[];
}

export interface Calm {
  /** How long the samples reach back. */
  readonly spanUs: number;
  /** How long the samples up to the newest have all been taken within the temperature window. */
  readonly countedUs: number;
  readonly used: number;
  readonly setAside: number;
  /** Largest minus smallest, wild values set aside. */
  readonly spreadMm: number;
  readonly driftMmPerMin: number;
  readonly uDriftMmPerMin: number;
  readonly meanMm: number;
  readonly meanRawMm: number;
  readonly meanTemperatureC: number;
  /** Standard deviation about the drift line. */
  readonly noiseMm: number;
  /** Independent samples that the kept ones are worth. */
  readonly effective: number;
  readonly first: LevelPoint;
  readonly last: LevelPoint;
}

/** More would not sharpen a judgement and must not eat memory. */
const MOST_POINTS = 6000;
/** So many wild values in a row are no wild values: the level has moved. */
const A_MOVE = 3;
/** A sample this many robust deviations from the median is wild. */
const WILD_DEVIATIONS = 6;
const US_PER_MIN = 60e6;

export function emptySteadiness(): SteadinessState {
  return { points: [] };
}

export function addPoint(state: SteadinessState, point: LevelPoint, overUs: number): void {
  state.points.push(point);
  const oldestUs = point.tUs - overUs;
  let drop = 0;
  // The newest point outside stays, so that the window is known to be covered in full.
  while (drop + 1 < state.points.length && (state.points[drop + 1] as LevelPoint).tUs <= oldestUs) drop++;
  drop = Math.max(drop, state.points.length - MOST_POINTS);
  if (drop > 0) state.points.splice(0, drop);
}

/**
 * Judges the samples; null with fewer than four. Within `harmlessMm` of the median nothing counts as wild: noise of
 * coarse steps has hardly any median deviation, and what lies within half the allowed spread does no harm.
 */
export function judge(
  state: SteadinessState,
  harmlessMm: number,
  window: { readonly lowC: number; readonly highC: number },
): Calm | null {
  const { points } = state;
  if (points.length < 4) return null;
  const levels = points.map((point) => point.mm);
  const centre = median(levels);
  const limit = Math.max(WILD_DEVIATIONS * robustDeviation(levels), harmlessMm);
  const wild = lonely(levels.map((level) => limit > 0 && Math.abs(level - centre) > limit));
  const kept = points.filter((_, index) => !wild[index]);
  const first = kept[0];
  const last = kept.at(-1);
  if (first === undefined || last === undefined) return null;
  const line = fitLine(
    kept.map((point) => (point.tUs - first.tUs) / US_PER_MIN),
    kept.map((point) => point.mm),
  );
  if (line === null) return null;
  const keptLevels = kept.map((point) => point.mm);
  const mean = (pick: (point: LevelPoint) => number) => kept.reduce((sum, point) => sum + pick(point), 0) / kept.length;
  return {
    spanUs: (points.at(-1) as LevelPoint).tUs - (points[0] as LevelPoint).tUs,
    countedUs: countedUs(points, window),
    used: kept.length,
    setAside: points.length - kept.length,
    spreadMm: Math.max(...keptLevels) - Math.min(...keptLevels),
    driftMmPerMin: line.slope,
    uDriftMmPerMin: line.uSlope,
    meanMm: line.mean,
    meanRawMm: mean((point) => point.rawMm),
    meanTemperatureC: mean((point) => point.temperatureC),
    noiseMm: line.residual,
    effective: effectiveCount(kept.length, line.lag1),
    first,
    last,
  };
}

function countedUs(points: readonly LevelPoint[], { lowC, highC }: { lowC: number; highC: number }): number {
  const newest = points.at(-1);
  let oldest = newest;
  for (let i = points.length - 1; i >= 0; i--) {
    const point = points[i] as LevelPoint;
    if (point.temperatureC < lowC || point.temperatureC > highC) break;
    oldest = point;
  }
  return newest === undefined || oldest === undefined ? 0 : newest.tUs - oldest.tUs;
}

/** Keeps only the marks that stand in runs shorter than A_MOVE. */
function lonely(marks: readonly boolean[]): boolean[] {
  const kept = [...marks];
  let run = 0;
  for (let i = 0; i <= marks.length; i++) {
    if (marks[i]) run++;
    else {
      if (run >= A_MOVE) kept.fill(false, i - run, i);
      run = 0;
    }
  }
  return kept;
}
