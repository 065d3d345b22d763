/** A bench made by hand: everything calm and warm but what a test sets. */
import { gaugeTruth, type Row } from '../../../simulators/seeded-bench/gauge.ts';
import type { SeededBench } from '../../../simulators/seeded-bench/generate.ts';
import { type BenchParameters, drawParameters } from '../../../simulators/seeded-bench/parameters.ts';
import { GRID_S, runWorld } from '../../../simulators/seeded-bench/world.ts';

const drawn = drawParameters(1);

export const TOLERANCE_MM = 1;
export const U_PROBE_K = 0.2;

/** 100 s at the reference temperature, ten levels a second, white noise of a tenth of the tolerance. */
export const CALM: BenchParameters = {
  ...drawn,
  lastsS: 100,
  startC: 60,
  drainBackS: 10,
  circuitL: 0,
  probe: { ...drawn.probe, offsetK: 0 },
  gauge: {
    ...drawn.gauge,
    intervalS: 0.1,
    whiteMm: 0.1,
    correlatedMm: 0,
    vibrationMm: 0,
    resolutionMm: 0,
    mostMm: drawn.startMm + 80,
  },
  declared: {
    ...drawn.declared,
    toleranceMm: TOLERANCE_MM,
    uProbeK: U_PROBE_K,
    lowC: 55,
    highC: 65,
    referenceC: 60,
  },
};

export function handmade(p: BenchParameters = CALM): SeededBench {
  const world = runWorld(p, []);
  const rows: Row[] = [];
  for (let i = 0; i < p.lastsS / p.gauge.intervalS; i++)
    rows.push({ tS: i * p.gauge.intervalS, temperature: null, level: p.startMm, strength: null, sound: true });
  return { p, happenings: [], world, gauge: gaugeTruth(world), rows };
}

/** Sets a stretch of an array of the grid. */
export function over(array: Float64Array | Uint8Array, fromS: number, toS: number, value: number): void {
  array.fill(value, Math.round(fromS / GRID_S), Math.round(toS / GRID_S));
}
