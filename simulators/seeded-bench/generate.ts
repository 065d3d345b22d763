/** A seeded bench: parameters, what happens, the truth, and apart from it what is sent. */
import { type GaugeTruth, gaugeTruth, type Row, sendRows } from './gauge.ts';
import { type BenchParameters, drawParameters } from './parameters.ts';
import { drawHappenings, drawHeat, type Happening } from './script.ts';
import { GRID_S, runWorld, type World } from './world.ts';

export interface SeededBench {
  readonly p: BenchParameters;
  readonly happenings: readonly Happening[];
  readonly world: World;
  readonly gauge: GaugeTruth;
  readonly rows: readonly Row[];
}

export function generateBench(seed: number): SeededBench {
  const p = drawParameters(seed);
  const heat = drawHeat(p);
  const happenings = [...heat, ...drawHappenings(p, warmTimes(p, runWorld(p, heat)))].sort((a, b) => a.atS - b.atS);
  const world = runWorld(p, happenings);
  const gauge = gaugeTruth(world);
  return { p, happenings, world, gauge, rows: sendRows(world, gauge) };
}

/** When the fluid is within the temperature window, if nobody pours. */
function warmTimes({ declared }: BenchParameters, { temperatureC }: World): readonly (readonly [number, number])[] {
  const spans: [number, number][] = [];
  let from: number | null = null;
  for (let i = 0; i <= temperatureC.length; i++) {
    const c = temperatureC[i] ?? Number.NaN;
    const warm = c >= declared.lowC && c <= declared.highC;
    if (warm && from === null) from = i;
    if (!warm && from !== null) {
      spans.push([from * GRID_S, i * GRID_S]);
      from = null;
    }
  }
  return spans;
}
