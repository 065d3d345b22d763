/** Waves on the surface: variance about a line above the noise that never dies. */
import type { LevelBlock } from './level-blocks.ts';
import { join, type Moments, slopeOf } from './moments.ts';
import { type NoiseState, noiseFloor, watchFloor } from './noise.ts';

/** Waves are looked for in the last so many seconds and samples. */
const SWING = { overS: 3, samples: 6 };
/** The past is looked at for waves in pieces at least this long. */
const PIECE_S = 1.5;

export interface Wave {
  /** Variance of the last seconds about their line, and what of it is above the noise that never dies. */
  readonly variance: number;
  readonly excess: number;
  /** Variance that waves give to the mean of each block. */
  readonly ofMeans: readonly number[];
}

export function waves(
  noise: NoiseState,
  originS: number,
  blocks: readonly LevelBlock[],
  nowS: number,
  single: number,
  step: number,
  toleranceMm: number,
): Wave {
  const nowInRunS = nowS + originS;
  let recent: Moments | null = null;
  for (const block of blocks) {
    recent = recent === null ? block : join(block, recent);
    if (recent.n >= SWING.samples && nowS - recent.fromT >= SWING.overS) break;
  }
  const variance = recent === null ? 0 : aboutLine(recent);
  if (recent !== null && recent.n >= SWING.samples) watchFloor(noise, nowInRunS, variance, Math.max(single, step));
  // Ten samples a second and more: a wave of two seconds to half a second hardly moves neighbours apart.
  const told = noise.stepS <= 0.1 ? single : 0;
  // A wave as high as the tolerance is never taken for noise, however long it lasts.
  const floor = Math.max(Math.min(noiseFloor(noise, nowInRunS), toleranceMm * toleranceMm), told, step);
  const ofMeans: number[] = [];
  let group: Moments | null = null;
  for (const [i, block] of blocks.entries()) {
    group = group === null ? block : join(block, group);
    if (i < blocks.length - 1 && (group.n < SWING.samples || group.toT - group.fromT < PIECE_S)) continue;
    const above = group.n < SWING.samples ? Math.max(0, variance - floor) : Math.max(0, aboutLine(group) - floor);
    while (ofMeans.length <= i) ofMeans.push(above * ofMean(blocks[ofMeans.length] as LevelBlock));
    group = null;
  }
  return { variance, excess: Math.max(0, variance - floor), ofMeans };
}

function aboutLine(moments: Moments): number {
  const residual = slopeOf(moments)?.residual ?? 0;
  return residual * residual;
}

/** What share of a wave's variance its mean over a block keeps: all within a quarter of it, ever less over many. */
function ofMean({ n, fromT, toT }: LevelBlock): number {
  const s = toT - fromT;
  return Math.max(1 / (4 * n), Math.min(1, 0.25 / s, 0.1 / (s * s)));
}
