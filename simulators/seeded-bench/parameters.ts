/**
 * One work bay drawn from a seed: vessel, fluid, gauge, probe, and what its owner knows of them. The owner's figures
 * (`declared`) and the truth differ by errors drawn from the standard uncertainties that the owner states.
 */
import { densityKgPerM3, type Fluid, GEAR_OIL, soundMPerS } from '../fluid.ts';
import { levelM, type Pot, volumeM3 } from '../pot.ts';
import { Random } from '../random.ts';

export type GaugeKind = 'echo-time' | 'board-millimetres' | 'float';

export interface BenchParameters {
  readonly seed: number;
  readonly lastsS: number;
  readonly fluid: Fluid;
  readonly pot: Pot;
  /** Fluid held outside the vessel while the engine runs, L. */
  readonly circuitL: number;
  /** How the circuit's temperature follows the vessel's. */
  readonly circuitLagS: number;
  /** Level at the reference temperature at the beginning. */
  readonly startMm: number;
  /** Heat: time constant of the approach, temperature at the beginning and of the room. */
  readonly warmingS: number;
  readonly startC: number;
  readonly ambientC: number;
  readonly drainBackS: number;
  readonly sloshHz: number;
  readonly sloshDecayS: number;
  readonly probe: ProbeParameters;
  readonly gauge: GaugeParameters;
  readonly declared: Declared;
}

export interface ProbeParameters {
  readonly lagS: number;
  readonly intervalS: number;
  readonly noiseK: number;
  readonly resolutionK: number;
  /** Constant error of the instrument, drawn from its declared uncertainty. */
  readonly offsetK: number;
}

export interface GaugeParameters {
  readonly kind: GaugeKind;
  readonly intervalS: number;
  /** Irregular timing, as a share of the interval. */
  readonly jitter: number;
  readonly whiteMm: number;
  /** First-order autoregressive noise: standard deviation and correlation time. */
  readonly correlatedMm: number;
  readonly correlationS: number;
  /** Ripple of the surface while the engine runs. */
  readonly vibrationMm: number;
  readonly vibrationHz: number;
  readonly resolutionMm: number;
  readonly wildShare: number;
  readonly dropOutShare: number;
  readonly offsetMm: number;
  /** Highest level that it can show. */
  readonly mostMm: number;
  readonly tellsStrength: boolean;
  /** Speed that a board computes its millimetres with, m/s. */
  readonly assumedMPerS: number;
}

/** What the owner writes into the bench file. Uncertainties are standard uncertainties. */
export interface Declared {
  readonly toleranceMm: number;
  readonly lowC: number;
  readonly highC: number;
  readonly referenceC: number;
  readonly slopeMmPerK: number;
  readonly uSlopeMmPerK: number;
  readonly uGaugeMm: number;
  readonly uProbeK: number;
  readonly soundAtC: number;
  readonly soundMPerS: number;
  readonly uSoundMPerS: number;
  readonly soundPerK: number;
  readonly uSoundPerK: number;
  /** How slowly the probe follows, as its owner found out, with the standard uncertainty of that. */
  readonly probeLagS: number;
  readonly uProbeLagS: number;
}

const STEPS_MM = [0.01, 0.01, 0.02, 0.05, 0.1, 0.1, 0.2, 0.5] as const;
const STEPS_K = [0.01, 0.0625, 0.1, 0.25] as const;

/** How well an owner knows how slowly a probe follows. */
const LAG_SHARE = 0.2;

export function drawParameters(seed: number): BenchParameters {
  const r = Random.of(seed, 'bench');
  const toleranceMm = log(r, 0.5, 3);
  const referenceC = round(r.uniform(44, 88), 0.5);
  const halfWidthK = round(r.uniform(2.5, 6), 0.5);
  const fluid: Fluid = { ...GEAR_OIL, density15: r.uniform(825, 890), sound20: r.uniform(1400, 1480) };
  const pot: Pot = { footRadiusM: r.uniform(0.1, 0.2), taper: r.uniform(0, 0.2) };
  const circuitL = r.uniform(0, 5);
  const startMm = r.uniform(40, 110);
  const startC = referenceC - halfWidthK - log(r, 3, 30);
  const uSlopeMmPerK = toleranceMm * log(r, 0.002, 0.01);
  const uSoundMPerS = (toleranceMm * log(r, 0.01, 0.06) * 1400) / startMm;
  const uSoundPerK = r.uniform(0.02, 0.1);
  const soundAtC = referenceC - r.uniform(0, 8);
  const uGaugeMm = toleranceMm * log(r, 0.02, 0.08);
  const uProbeK = r.uniform(0.1, 0.4);
  const slope = slopeMmPerK({ fluid, pot, circuitL, startMm }, referenceC);
  const drawn = {
    seed,
    lastsS: Math.round(r.uniform(500, 1100)),
    fluid,
    pot,
    circuitL,
    circuitLagS: r.uniform(2, 12),
    startMm,
    warmingS: log(r, 120, 600),
    startC,
    ambientC: r.uniform(8, 26),
    drainBackS: r.uniform(4, 20),
    sloshHz: r.uniform(0.5, 2),
    sloshDecayS: r.uniform(1, 6),
    probe: {
      lagS: log(r, 1, 20),
      intervalS: log(r, 0.2, 3),
      noiseK: log(r, 0.005, 0.12),
      resolutionK: pick(r, STEPS_K),
      offsetK: r.normal(0, uProbeK),
    },
    gauge: drawGauge(r, toleranceMm, startMm, uGaugeMm),
  };
  const uProbeLagS = LAG_SHARE * drawn.probe.lagS;
  return {
    ...drawn,
    declared: {
      toleranceMm,
      lowC: referenceC - halfWidthK,
      highC: referenceC + halfWidthK,
      referenceC,
      slopeMmPerK: slope + r.normal(0, uSlopeMmPerK),
      uSlopeMmPerK,
      uGaugeMm,
      uProbeK,
      soundAtC,
      soundMPerS: soundMPerS(fluid, soundAtC) + r.normal(0, uSoundMPerS),
      uSoundMPerS,
      soundPerK: fluid.soundPerK + r.normal(0, uSoundPerK),
      uSoundPerK,
      probeLagS: Math.max(0, drawn.probe.lagS + Random.of(seed, 'lag').normal(0, uProbeLagS)),
      uProbeLagS,
    },
  };
}

function drawGauge(r: Random, toleranceMm: number, startMm: number, uGaugeMm: number): GaugeParameters {
  const kind: GaugeKind = r.chance(0.5) ? 'echo-time' : r.chance(0.4) ? 'board-millimetres' : 'float';
  const noiseMm = toleranceMm * log(r, 0.02, 0.35);
  const correlatedShare = r.chance(0.4) ? r.uniform(0.2, 0.9) : 0;
  return {
    kind,
    // Shop-made boards mostly send a few times a second; a sixth are slower than once a second.
    intervalS: 1 / (r.chance(0.16) ? log(r, 0.2, 1) : r.chance(0.75) ? log(r, 1, 20) : log(r, 20, 100)),
    jitter: r.chance(0.5) ? r.uniform(0, 0.4) : 0.01,
    whiteMm: noiseMm * Math.sqrt(1 - correlatedShare),
    correlatedMm: noiseMm * Math.sqrt(correlatedShare),
    correlationS: log(r, 0.2, 5),
    vibrationMm: toleranceMm * log(r, 0.01, 0.3),
    vibrationHz: r.uniform(8, 30),
    resolutionMm: Math.min(pick(r, STEPS_MM), toleranceMm / 2),
    wildShare: r.chance(0.4) ? r.uniform(0, 0.05) : 0,
    dropOutShare: r.chance(0.4) ? r.uniform(0, 0.05) : 0,
    offsetMm: r.normal(0, uGaugeMm),
    mostMm: startMm + (r.chance(0.1) ? r.uniform(2, 8) * toleranceMm : 80),
    tellsStrength: kind !== 'float' && r.chance(0.6),
    assumedMPerS: r.chance(0.5) ? 1480 : 1450,
  };
}

/** Rise of the level per kelvin, mass of vessel and circuit conserved, both at one temperature. */
export function slopeMmPerK(
  { fluid, pot, circuitL, startMm }: Pick<BenchParameters, 'fluid' | 'pot' | 'circuitL' | 'startMm'>,
  atC: number,
): number {
  const massKg = densityKgPerM3(fluid, atC) * (volumeM3(pot, startMm / 1000) + circuitL / 1000);
  const at = (c: number) => 1000 * levelM(pot, massKg / densityKgPerM3(fluid, c) - circuitL / 1000);
  return at(atC + 0.5) - at(atC - 0.5);
}

export function log(r: Random, low: number, high: number): number {
  return low * Math.exp(r.uniform() * Math.log(high / low));
}

function pick<T>(r: Random, from: readonly T[]): T {
  return from[r.integer(0, from.length - 1)] as T;
}

function round(value: number, step: number): number {
  return Math.round(value / step) * step;
}
