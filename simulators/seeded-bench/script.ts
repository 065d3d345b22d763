/** What happens on a bench, drawn from its seed: heat, fluid, faults of the gauge. Times in s from the beginning. */
import { Random } from '../random.ts';
import { type BenchParameters, log } from './parameters.ts';

export type Happening = { readonly atS: number } & (
  | {
      /** Fluid poured in or, below zero, let out, steadily over `forS`; mm of level at the end of it. */
      readonly kind: 'pour';
      readonly mm: number;
      readonly forS: number;
      readonly clingShare: number;
      readonly colderK: number;
      readonly kickMm: number;
    }
  /** A slow feed or leak. */
  | { readonly kind: 'ramp'; readonly mm: number; readonly forS: number }
  /** Level changes at a stroke, without a wave worth the name. */
  | { readonly kind: 'step'; readonly mm: number }
  | { readonly kind: 'knock'; readonly kickMm: number }
  /** Another end of the warming. */
  | { readonly kind: 'load'; readonly endC: number }
  /** The circuit lets a share of its fluid run back, the vibration ends, the heat goes. */
  | { readonly kind: 'engine-off'; readonly share: number; readonly endC: number }
  | { readonly kind: 'air'; readonly mm: number; readonly decayS: number }
  | { readonly kind: 'stuck'; readonly forS: number }
  | { readonly kind: 'moved'; readonly mm: number; readonly forS: number }
  | { readonly kind: 'couplant-lost'; readonly forS: number }
  | { readonly kind: 'gap'; readonly forS: number }
);

export type HappeningOf<K extends Happening['kind']> = Extract<Happening, { kind: K }>;
/** Distributes over the kinds, so that each keeps its own keys. */
type Drawn = Happening extends infer Each ? (Each extends Happening ? Omit<Each, 'atS'> : never) : never;

/** What happens to fluid and gauge, each with its weight in the draw. */
const WEIGHTS: readonly (readonly [Happening['kind'], number])[] = [
  ['pour', 34],
  ['knock', 14],
  ['ramp', 8],
  ['step', 5],
  ['air', 9],
  ['stuck', 7],
  ['moved', 5],
  ['couplant-lost', 7],
  ['gap', 5],
];

/** The heat: loads that change now and then, engine off and cooling towards the end on every third bench. */
export function drawHeat(p: BenchParameters): readonly Happening[] {
  const r = Random.of(p.seed, 'heat');
  const { lowC, highC } = p.declared;
  const endC = () =>
    r.chance(0.06) ? lowC - r.uniform(1, 6) : r.chance(0.5) ? r.uniform(lowC + 1, highC) : highC + r.uniform(0, 25);
  const heat: Happening[] = [{ kind: 'load', atS: 0, endC: endC() }];
  const changes = r.integer(0, 3);
  for (let i = 0; i < changes; i++) heat.push({ kind: 'load', atS: r.uniform(60, p.lastsS), endC: endC() });
  if (r.chance(0.35))
    heat.push({
      kind: 'engine-off',
      atS: r.uniform(0.4, 0.85) * p.lastsS,
      share: r.chance(0.7) ? r.uniform(0, 0.4) : 0,
      endC: p.ambientC + r.uniform(0, 15),
    });
  const off = heat.find(({ kind }) => kind === 'engine-off')?.atS ?? Number.POSITIVE_INFINITY;
  return heat.filter(({ atS }) => atS <= off).sort((a, b) => a.atS - b.atS);
}

/**
 * What happens to fluid and gauge. Seven of ten fall into the times that `calm` lists (when the fluid is as warm as it
 * should be), because that is when people work on a bench.
 */
export function drawHappenings(p: BenchParameters, calm: readonly (readonly [number, number])[]): readonly Happening[] {
  const r = Random.of(p.seed, 'happenings');
  const count = r.integer(2, 9);
  const happenings: Happening[] = [];
  const calmS = calm.reduce((sum, [from, to]) => sum + to - from, 0);
  const leastApartS = r.uniform(20, 60);
  for (let i = 0; i < count; i++) {
    const atS = calmS > 0 && r.chance(0.7) ? within(calm, r.uniform(0, calmS)) : r.uniform(15, p.lastsS - 10);
    const happening = { atS, ...drawOne(r, p) } as Happening;
    // Trouble seldom comes together: a stuck sensor and a pour may.
    if (happenings.every((other) => Math.abs(other.atS - atS) >= leastApartS)) happenings.push(happening);
    if (happening.kind === 'stuck' && r.chance(0.3))
      happenings.push({ atS: atS + happening.forS * r.uniform(0.2, 0.9), ...drawPour(r, p) });
  }
  return happenings.sort((a, b) => a.atS - b.atS);
}

function drawOne(r: Random, p: BenchParameters): Drawn {
  const tolerance = p.declared.toleranceMm;
  const sign = r.chance(0.5) ? 1 : -1;
  switch (kindOf(r)) {
    case 'knock':
      return { kind: 'knock', kickMm: tolerance * log(r, 0.5, 15) };
    case 'ramp':
      return { kind: 'ramp', mm: sign * tolerance * log(r, 0.5, 6), forS: r.uniform(20, 150) };
    case 'step':
      return { kind: 'step', mm: sign * tolerance * log(r, 0.4, 8) };
    case 'air':
      return { kind: 'air', mm: tolerance * log(r, 0.3, 5), decayS: log(r, 15, 100) };
    case 'stuck':
      return { kind: 'stuck', forS: r.uniform(10, 80) };
    case 'moved':
      return { kind: 'moved', mm: sign * tolerance * log(r, 0.5, 6), forS: r.uniform(0.3, 3) };
    case 'couplant-lost':
      return { kind: 'couplant-lost', forS: log(r, 3, 40) };
    case 'gap':
      return { kind: 'gap', forS: log(r, 2, 40) };
    default:
      return drawPour(r, p);
  }
}

function drawPour(r: Random, p: BenchParameters): Omit<HappeningOf<'pour'>, 'atS'> {
  const tolerance = p.declared.toleranceMm;
  const draining = r.chance(0.35);
  return {
    kind: 'pour',
    mm: (draining ? -1 : 1) * Math.min(tolerance * log(r, 0.6, 12), 0.3 * p.startMm),
    forS: r.uniform(1.5, 12),
    clingShare: draining ? 0 : r.uniform(0.03, 0.4),
    colderK: draining ? 0 : r.uniform(0, 25),
    kickMm: tolerance * log(r, 0.5, 10),
  };
}

function kindOf(r: Random): Happening['kind'] {
  let at = r.uniform(
    0,
    WEIGHTS.reduce((sum, [, weight]) => sum + weight, 0),
  );
  for (const [kind, weight] of WEIGHTS) {
    at -= weight;
    if (at < 0) return kind;
  }
  return 'pour';
}

function within(spans: readonly (readonly [number, number])[], at: number): number {
  let left = at;
  for (const [from, to] of spans) {
    if (left < to - from) return from + left;
    left -= to - from;
  }
  return spans.at(-1)?.[1] ?? 0;
}
