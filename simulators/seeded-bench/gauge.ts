/** What the bench sends: rows of a log, from the truth by way of probe and gauge with their noise and faults. */
import { soundMPerS } from '../fluid.ts';
import { Random } from '../random.ts';
import { CorrelatedNoise, quantised } from './noise.ts';
import type { BenchParameters } from './parameters.ts';
import type { Happening, HappeningOf } from './script.ts';
import { between, GRID_S, type World } from './world.ts';

export interface Row {
  readonly tS: number;
  /** Each as sent; null where the row has none. */
  readonly temperature: number | null;
  readonly level: number | null;
  readonly strength: number | null;
  /** True where the level is neither wild nor of a gauge at fault: what only the truth knows. */
  readonly sound: boolean;
}

/** What the gauge does to the level, on the grid of the world. */
export interface GaugeTruth {
  /** Shift of the gauge since it was moved. */
  readonly shiftMm: Float64Array;
  /** Noise-free level shown minus true level (a stuck or saturated gauge). */
  readonly shownErrorMm: Float64Array;
  /** 1 while the gauge sees no surface: being moved, or its couplant lost. */
  readonly blind: Uint8Array;
  readonly stuck: Uint8Array;
}

export function gaugeTruth(world: World): GaugeTruth {
  const n = world.levelMm.length;
  const truth = {
    shiftMm: new Float64Array(n),
    shownErrorMm: new Float64Array(n),
    blind: new Uint8Array(n),
    stuck: new Uint8Array(n),
  };
  for (const happening of world.happenings) {
    const from = Math.ceil(happening.atS / GRID_S);
    if (happening.kind === 'moved') {
      truth.shiftMm.subarray(from).forEach((shift, i, part) => {
        part[i] = shift + happening.mm;
      });
    }
    if (happening.kind === 'moved' || happening.kind === 'couplant-lost')
      truth.blind.fill(1, from, Math.ceil((happening.atS + happening.forS) / GRID_S));
    if (happening.kind === 'stuck') truth.stuck.fill(1, from, Math.ceil((happening.atS + happening.forS) / GRID_S));
  }
  let stuckMm = 0;
  for (let i = 0; i < n; i++) {
    const level = (world.levelMm[i] as number) + (truth.shiftMm[i] as number);
    const mostMm = mostAt(world.p, world.temperatureC[i] as number);
    if (truth.stuck[i] === 0) stuckMm = Math.min(level, mostMm);
    truth.shownErrorMm[i] = truth.stuck[i] === 1 ? stuckMm - level : Math.min(0, mostMm - level);
  }
  return truth;
}

export function sendRows(world: World, truth: GaugeTruth): readonly Row[] {
  const probe = probeRows(world);
  const level = levelRows(world, truth);
  const gaps = world.happenings.filter((one): one is HappeningOf<'gap'> => one.kind === 'gap');
  return [...probe, ...level]
    .sort((a, b) => a.tS - b.tS)
    .filter(({ tS }) => !gaps.some(({ atS, forS }) => tS >= atS && tS < atS + forS));
}

function probeRows({ p, probeC }: World): Row[] {
  const random = Random.of(p.seed, 'probe');
  const { intervalS, noiseK, resolutionK, offsetK } = p.probe;
  const rows: Row[] = [];
  for (let tS = 0.013; tS < p.lastsS; tS += intervalS * (1 + random.uniform(-0.02, 0.02))) {
    const c = between(probeC, tS) + offsetK + random.normal(0, noiseK);
    rows.push({ tS, temperature: quantised(c, resolutionK), level: null, strength: null, sound: true });
  }
  return rows;
}

/** Levels between which a lost or ringing echo is reported, as shares of the gauge's reach. */
const RING_SHARE = 0.06;

function levelRows(world: World, truth: GaugeTruth): Row[] {
  const { p } = world;
  const { gauge, declared } = p;
  const random = Random.of(p.seed, 'gauge');
  const faults = Random.of(p.seed, 'faults');
  const correlated = new CorrelatedNoise(gauge.correlatedMm, gauge.correlationS, Random.of(p.seed, 'correlated'));
  const stuckAt = (tS: number) => during(world.happenings, 'stuck', tS);
  const lostAt = (tS: number) => during(world.happenings, 'couplant-lost', tS);
  const movedAt = (tS: number) => during(world.happenings, 'moved', tS);
  const rows: Row[] = [];
  let held: number | null = null;
  for (let tS = 0.007; tS < p.lastsS; tS += gauge.intervalS * (1 + random.uniform(-gauge.jitter, gauge.jitter))) {
    const i = Math.min(Math.round(tS / GRID_S), world.airMm.length - 1);
    const airShare = Math.min((world.airMm[i] as number) / (2 * declared.toleranceMm), 1);
    let strength = Math.max(5, 82 - 55 * airShare + random.normal(0, 4));
    const noise =
      random.normal(0, gauge.whiteMm * (1 + airShare)) +
      correlated.at(tS) +
      (world.running[i] === 1 ? gauge.vibrationMm * Math.sin(2 * Math.PI * gauge.vibrationHz * tS) : 0);
    let mm =
      between(world.levelMm, tS) + (truth.shiftMm[i] as number) + world.waves.heightMm(tS) + gauge.offsetMm + noise;
    let sound = true;
    if (faults.chance(gauge.wildShare + 0.1 * airShare)) {
      mm = wildMm(faults, mm, p);
      strength *= faults.uniform(0.4, 1);
      sound = false;
    }
    if (movedAt(tS)) {
      mm = faults.uniform(0, 1.5 * p.startMm);
      sound = false;
    }
    if (lostAt(tS)) {
      mm = faults.chance(0.5) ? p.startMm * RING_SHARE * faults.uniform(0.9, 1.1) : faults.uniform(0, 1.5 * p.startMm);
      strength = faults.uniform(0, 25);
      sound = false;
    }
    // A gauge at fault goes on sending what it sent last.
    const sent: number =
      stuckAt(tS) && held !== null ? held : Math.min(signalOf(Math.max(0, mm), world, tS), mostSignal(p));
    held = sent;
    const lost = faults.chance(gauge.dropOutShare + 0.3 * airShare + (lostAt(tS) ? 0.6 : 0));
    if (lost) continue;
    rows.push({
      tS,
      temperature: null,
      level: sent,
      strength: gauge.tellsStrength ? Math.round(Math.min(strength, 99)) : null,
      sound: sound && !stuckAt(tS) && mm <= mostAt(p, world.temperatureC[i] as number),
    });
  }
  return rows;
}

function during(happenings: readonly Happening[], kind: 'stuck' | 'couplant-lost' | 'moved', tS: number): boolean {
  return happenings.some((one) => one.kind === kind && tS >= one.atS && tS < one.atS + one.forS);
}

/** A false echo: somewhere, twice the way, or a near miss. */
function wildMm(r: Random, mm: number, p: BenchParameters): number {
  if (r.chance(0.2)) return 2 * mm;
  if (r.chance(0.3)) return r.uniform(0, 1.5 * p.startMm);
  return mm + (r.chance(0.5) ? 1 : -1) * p.declared.toleranceMm * Math.exp(r.uniform(Math.log(2), Math.log(30)));
}

/** Millimetres of a float; µs of an echo at the true speed of sound; millimetres that a board computed from them. */
function signalOf(mm: number, { p, temperatureC }: World, tS: number): number {
  return signalAt(mm, soundMPerS(p.fluid, between(temperatureC, tS)), p);
}

/** The end of the gauge's reach is one of its own scale: a saturated gauge sends the same number for ever. */
function mostSignal(p: BenchParameters): number {
  return signalAt(p.gauge.mostMm, p.declared.soundMPerS, p);
}

/** The level at which that end is reached: hot fluid carries sound more slowly, so an echo comes later. */
function mostAt(p: BenchParameters, c: number): number {
  const { kind, mostMm } = p.gauge;
  return kind === 'float' ? mostMm : (mostMm * soundMPerS(p.fluid, c)) / p.declared.soundMPerS;
}

function signalAt(mm: number, mPerS: number, { gauge, declared }: BenchParameters): number {
  const { kind, resolutionMm, assumedMPerS } = gauge;
  if (kind === 'float') return quantised(mm, resolutionMm);
  const us = (2000 * mm) / mPerS;
  if (kind === 'echo-time') return quantised(us, (2000 * resolutionMm) / declared.soundMPerS);
  return quantised((us * assumedMPerS) / 2000, resolutionMm);
}
