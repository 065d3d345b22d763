/**
 * Fit, unfit or between, from the truth alone:
 *   fit    true temperature in the window, no pour under way, slosh at most the tolerance, gauge sound, and the
 *          compensated level within half the tolerance of its plateau
 *   unfit  compensated level off by more than the tolerance, or slosh over twice it, or the true temperature outside
 *          the window by more than twice the probe's standard uncertainty, or a gauge that sees no surface
 * The level is what the gauge would show without noise: a stuck or saturated gauge is off as soon as the surface is
 * elsewhere. While fluid is on its way the plateau before counts too, until the level has left it by the tolerance: what
 * was read there is not wrong yet.
 */
import type { SeededBench } from '../../../simulators/seeded-bench/generate.ts';
import { GRID_S } from '../../../simulators/seeded-bench/world.ts';
import { type Span, SpanBuilder } from './spans.ts';

export const CAUSES = ['temperature', 'level', 'air', 'stuck', 'stuck unseen', 'saturated', 'slosh', 'blind'] as const;
export type Cause = (typeof CAUSES)[number];

export interface Unfit {
  readonly span: Span;
  /** Why, from moment to moment. */
  readonly parts: readonly { readonly span: Span; readonly cause: Cause }[];
}

export interface Truth {
  readonly fit: readonly Span[];
  readonly unfit: readonly Unfit[];
  readonly lastsS: number;
}

export interface Moment {
  readonly fit: boolean;
  readonly unfit: Cause | null;
}

/** Level at the reference temperature that a reading at this point of the grid should give. */
export function trueLevelMm({ world, gauge }: SeededBench, i: number): number {
  const at = (array: Float64Array) => array[i] as number;
  const left = at(world.leftMm);
  const now = at(world.referenceMm);
  const next = at(world.plateauMm);
  const stillBefore = !Number.isNaN(left) && Math.abs(now - left) < Math.abs(now - next);
  return (stillBefore ? left : next) + at(gauge.shiftMm);
}

export function judgeMoment(bench: SeededBench, i: number): Moment {
  const { p, world, gauge } = bench;
  const { toleranceMm, lowC, highC, uProbeK } = p.declared;
  const at = (array: Float64Array) => array[i] as number;
  const shown = at(world.referenceMm) + at(gauge.shownErrorMm);
  const fromPlateau = Math.abs(shown - at(world.plateauMm));
  const left = at(world.leftMm);
  const off = Number.isNaN(left) ? fromPlateau : Math.min(fromPlateau, Math.abs(shown - left));
  const slosh = world.waves.amplitudeMm(i * GRID_S);
  const c = at(world.temperatureC);
  const blind = gauge.blind[i] === 1;
  const outside = c < lowC - 2 * uProbeK || c > highC + 2 * uProbeK;
  const unfit: Cause | null = outside
    ? 'temperature'
    : off > toleranceMm
      ? offBecause(bench, i)
      : slosh > 2 * toleranceMm
        ? 'slosh'
        : blind
          ? 'blind'
          : null;
  const calm =
    world.pouring[i] === 0 && gauge.stuck[i] === 0 && !blind && slosh <= toleranceMm && fromPlateau <= toleranceMm / 2;
  return { unfit, fit: calm && c >= lowC && c <= highC };
}

function offBecause({ p, world, gauge }: SeededBench, i: number): Cause {
  if (gauge.stuck[i] === 1) return stepsHideNoise(p) ? 'stuck unseen' : 'stuck';
  if ((gauge.shownErrorMm[i] as number) !== 0) return 'saturated';
  return (world.airMm[i] as number) > p.declared.toleranceMm / 2 ? 'air' : 'level';
}

/** Steps this much coarser than the noise: a calm level and a stuck gauge send the same. */
const STEPS_TO_NOISE = 3;

function stepsHideNoise({ gauge }: SeededBench['p']): boolean {
  const noise = Math.hypot(gauge.whiteMm, gauge.correlatedMm, gauge.vibrationMm / Math.SQRT2);
  return gauge.resolutionMm > STEPS_TO_NOISE * noise;
}

export function judgeTruth(bench: SeededBench): Truth {
  const fit = new SpanBuilder();
  const parts: { readonly span: Span; readonly cause: Cause }[] = [];
  let since = null as { readonly tS: number; readonly cause: Cause } | null;
  const n = bench.world.levelMm.length;
  const lastsS = (n - 1) * GRID_S;
  for (let i = 0; i < n; i++) {
    const tS = i * GRID_S;
    const moment = judgeMoment(bench, i);
    fit.set(tS, moment.fit);
    if (moment.unfit === (since?.cause ?? null)) continue;
    if (since !== null) parts.push({ span: [since.tS, tS], cause: since.cause });
    since = moment.unfit === null ? null : { tS, cause: moment.unfit };
  }
  if (since !== null) parts.push({ span: [since.tS, lastsS], cause: since.cause });
  return { fit: fit.end(lastsS), unfit: joined(parts), lastsS };
}

/** Parts that touch are one unfit time: grace is given once. */
function joined(parts: Unfit['parts']): Unfit[] {
  const found: { span: [number, number]; parts: { span: Span; cause: Cause }[] }[] = [];
  for (const part of parts) {
    const last = found.at(-1);
    if (last !== undefined && last.span[1] === part.span[0]) {
      last.span[1] = part.span[1];
      last.parts.push(part);
    } else found.push({ span: [part.span[0], part.span[1]], parts: [part] });
  }
  return found;
}
