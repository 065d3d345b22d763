/**
 * The physics of one bench on a fine grid of time. The truth, and nothing of gauges' noise:
 *   heat     dT/dt = (T_end − T)/τ, solved exactly for each step; the circuit and the probe follow with first-order lags
 *   mass     vessel + clinging + circuit is constant but for what is poured or let out
 *   cling    dm/dt = −m/τ, exactly
 *   level    that of the vessel's own volume at its own temperature, with the air that is in it
 */
import { densityKgPerM3 } from '../fluid.ts';
import { levelM, volumeM3 } from '../pot.ts';
import type { BenchParameters } from './parameters.ts';
import type { Happening, HappeningOf } from './script.ts';
import { Waves } from './waves.ts';

export const GRID_S = 0.05;

export interface World {
  readonly p: BenchParameters;
  readonly happenings: readonly Happening[];
  readonly waves: Waves;
  /** Of every array, one value for each GRID_S. */
  readonly temperatureC: Float64Array;
  /** Tip of the probe. */
  readonly probeC: Float64Array;
  /** Level of the calm surface as it is. */
  readonly levelMm: Float64Array;
  /** The same fluid at the reference temperature. */
  readonly referenceMm: Float64Array;
  /** What that level comes to once everything under way has come down or out. */
  readonly plateauMm: Float64Array;
  /** The plateau before the change that is under way, until the level has left it; NaN otherwise. */
  readonly leftMm: Float64Array;
  /** 1 while fluid is being poured, drained, fed or lost. */
  readonly pouring: Uint8Array;
  readonly running: Uint8Array;
  /** Level that is air. */
  readonly airMm: Float64Array;
  /** All the fluid there is, kg. */
  readonly massKg: Float64Array;
  readonly clingingKg: Float64Array;
  readonly circuitKg: Float64Array;
  readonly vesselKg: Float64Array;
}

/** Heat capacity of the metal that warms with the fluid, as a share of the fluid's. */
const METAL_SHARE = 0.5;

export function runWorld(p: BenchParameters, happenings: readonly Happening[]): World {
  const n = Math.floor(p.lastsS / GRID_S) + 1;
  const array = () => new Float64Array(n);
  const world = {
    p,
    happenings,
    waves: new Waves(p.sloshHz, p.sloshDecayS),
    temperatureC: array(),
    probeC: array(),
    levelMm: array(),
    referenceMm: array(),
    plateauMm: array(),
    leftMm: array().fill(Number.NaN),
    pouring: new Uint8Array(n),
    running: new Uint8Array(n),
    airMm: array(),
    massKg: array(),
    clingingKg: array(),
    circuitKg: array(),
    vesselKg: array(),
  } satisfies World;
  const density = (c: number) => densityKgPerM3(p.fluid, c);
  const { referenceC, toleranceMm } = p.declared;
  const atReference = density(referenceC);
  const levelOf = (kg: number, c: number) => 1000 * levelM(p.pot, kg / density(c));
  /** Mass that makes the level at the reference temperature `mm` higher. */
  const massFor = (fromMm: number, mm: number) =>
    atReference * (volumeM3(p.pot, (fromMm + mm) / 1000) - volumeM3(p.pot, fromMm / 1000));

  let circuitM3 = p.circuitL / 1000;
  let massKg = atReference * (volumeM3(p.pot, p.startMm / 1000) + circuitM3);
  /** Mass once the pours under way are over. */
  let finalKg = massKg;
  let clingingKg = 0;
  let temperatureC = p.startC;
  let circuitC = p.startC;
  let probeC = p.startC;
  let endC = p.startC;
  let running = true;
  let air: HappeningOf<'air'> | null = null;
  let leftMm = Number.NaN;
  /** Until when the plateau before may still count. */
  let leavingUntilS = 0;
  const flows: { readonly of: HappeningOf<'pour' | 'ramp'>; readonly kgPerS: number; readonly untilS: number }[] = [];
  const queue = [...happenings];
  const plateau = () => levelOf(finalKg - atReference * circuitM3, referenceC);
  const change = (mm: number, tS: number, forS: number) => {
    const before = plateau();
    const kg = massFor(before, mm);
    finalKg += kg;
    leftMm = before;
    leavingUntilS = Math.max(leavingUntilS, tS + forS);
    return kg;
  };

  for (let i = 0; i < n; i++) {
    const tS = i * GRID_S;
    while (queue[0] !== undefined && queue[0].atS <= tS) {
      const now = queue.shift() as Happening;
      switch (now.kind) {
        case 'load':
          endC = now.endC;
          break;
        case 'engine-off': {
          endC = now.endC;
          running = false;
          leftMm = plateau();
          leavingUntilS = tS + 3 * p.drainBackS;
          // What runs back was part of the circuit, and comes down the walls.
          const releasedM3 = circuitM3 * now.share;
          circuitM3 -= releasedM3;
          clingingKg += releasedM3 * density(circuitC);
          break;
        }
        case 'pour':
        case 'ramp':
          flows.push({ of: now, kgPerS: change(now.mm, tS, now.forS) / now.forS, untilS: now.atS + now.forS });
          if (now.kind === 'pour') {
            world.waves.kick({ atS: now.atS, mm: now.kickMm });
            world.waves.kick({ atS: now.atS + 0.9 * now.forS, mm: 0.5 * now.kickMm });
          }
          break;
        case 'step':
          massKg += change(now.mm, tS, 0);
          break;
        case 'knock':
          world.waves.kick({ atS: now.atS, mm: now.kickMm });
          break;
        case 'air':
          air = now;
          leftMm = Number.NaN;
          break;
        default:
      }
    }
    for (let f = flows.length - 1; f >= 0; f--) {
      const { of, kgPerS, untilS } = flows[f] as (typeof flows)[number];
      if (tS >= untilS) {
        flows.splice(f, 1);
        continue;
      }
      const kg = kgPerS * Math.min(GRID_S, untilS - tS);
      massKg += kg;
      if (of.kind === 'pour') {
        clingingKg += Math.max(0, kg) * of.clingShare;
        temperatureC -= (Math.max(0, kg) * of.colderK) / (massKg * (1 + METAL_SHARE));
      }
      world.pouring[i] = 1;
    }
    const circuitKg = circuitM3 * density(circuitC);
    const vesselKg = massKg - clingingKg - circuitKg;
    const airMm = air === null ? 0 : airAt(air, tS);
    const referenceMm = levelOf(massKg - clingingKg - atReference * circuitM3, referenceC) + airMm;
    if (tS > leavingUntilS || Math.abs(referenceMm - leftMm) > toleranceMm) leftMm = Number.NaN;
    world.temperatureC[i] = temperatureC;
    world.probeC[i] = probeC;
    world.levelMm[i] = levelOf(vesselKg, temperatureC) + airMm;
    world.referenceMm[i] = referenceMm;
    world.plateauMm[i] = plateau();
    world.leftMm[i] = leftMm;
    world.running[i] = running ? 1 : 0;
    world.airMm[i] = airMm;
    world.massKg[i] = massKg;
    world.clingingKg[i] = clingingKg;
    world.circuitKg[i] = circuitKg;
    world.vesselKg[i] = vesselKg;

    clingingKg *= Math.exp(-GRID_S / p.drainBackS);
    const next = temperatureC - (endC - temperatureC) * Math.expm1(-GRID_S / p.warmingS);
    circuitC = followed(circuitC, temperatureC, next, p.circuitLagS);
    probeC = followed(probeC, temperatureC, next, p.probe.lagS);
    temperatureC = next;
  }
  return world;
}

/** First-order lag behind a straight ramp over one step, solved exactly. */
export function followed(value: number, from: number, to: number, lagS: number, dtS = GRID_S): number {
  const lag = ((to - from) / dtS) * lagS;
  return to - lag + (value - from + lag) * Math.exp(-dtS / lagS);
}

/** Air is stirred in within seconds and leaves exponentially. */
const STIRRED_IN_S = 2;

function airAt({ atS, mm, decayS }: HappeningOf<'air'>, tS: number): number {
  const age = tS - atS;
  return mm * Math.exp(-age / decayS) * -Math.expm1(-age / STIRRED_IN_S);
}

/** Straight line between the points of the grid. */
export function between(array: Float64Array, tS: number): number {
  const at = Math.min(Math.max(tS / GRID_S, 0), array.length - 1);
  const i = Math.min(Math.floor(at), array.length - 2);
  const share = at - i;
  return (array[i] as number) * (1 - share) + (array[i + 1] as number) * share;
}
