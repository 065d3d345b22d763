/** Samples of the compensated level, and blocks of neighbouring ones with what they rest on. */
import { join, type Moments, momentsOf } from './moments.ts';

/** One compensated level with what it rests on. */
export interface LevelPoint {
  readonly tUs: number;
  readonly seq: number;
  readonly mm: number;
  readonly rawMm: number;
  readonly temperatureC: number;
}

/** Neighbouring samples: their moments (t in s and y in mm from the origins of the state), and what they rest on. */
export interface LevelBlock extends Moments {
  readonly rawMm: number;
  readonly temperatureC: number;
  readonly lowC: number;
  readonly highC: number;
  readonly setAside: number;
  readonly first: LevelPoint;
  readonly last: LevelPoint;
}

export function blockOf(point: LevelPoint, tS: number, y: number, setAside: number): LevelBlock {
  const { rawMm, temperatureC } = point;
  const { n, t, tt, ty, yy, lag, firstY, lastY, fromT, toT } = momentsOf(tS, y);
  return {
    n,
    t,
    y,
    tt,
    ty,
    yy,
    lag,
    firstY,
    lastY,
    fromT,
    toT,
    rawMm,
    temperatureC,
    lowC: temperatureC,
    highC: temperatureC,
    setAside,
    first: point,
    last: point,
  };
}

export function joinLevels(older: LevelBlock, newer: LevelBlock): LevelBlock {
  const share = newer.n / (older.n + newer.n);
  // Written out: this is the busiest object of the core, and a spread costs ten times as much.
  const { n, t, y, tt, ty, yy, lag, firstY, lastY, fromT, toT } = join(older, newer);
  return {
    n,
    t,
    y,
    tt,
    ty,
    yy,
    lag,
    firstY,
    lastY,
    fromT,
    toT,
    rawMm: older.rawMm + (newer.rawMm - older.rawMm) * share,
    temperatureC: older.temperatureC + (newer.temperatureC - older.temperatureC) * share,
    lowC: Math.min(older.lowC, newer.lowC),
    highC: Math.max(older.highC, newer.highC),
    setAside: older.setAside + newer.setAside,
    first: older.first,
    last: newer.last,
  };
}
