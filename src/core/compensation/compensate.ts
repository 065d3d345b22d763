/**
 * Brings a measured level to the reference temperature: first to what it would be with the vessel standing level, then
 * along one of the ways.
 */
import type { BenchDescription } from '../description.ts';
import { levelled } from '../vessels/tilt.ts';
import { vesselOf } from '../vessels/vessel.ts';
import type { LearnedSlope } from './description.ts';
import { byChart, bySlope, byVesselAndFluid, type Lean, type Moved, type Place } from './ways.ts';

export interface Compensated {
  /** Level at the reference temperature, the vessel standing level. */
  readonly mm: number;
  /** ∂mm/∂level as measured. */
  readonly perLevel: number;
  /** ∂mm/∂temperature of the measurement, mm/K; the circuit's too where it has no temperature of its own. */
  readonly perK: number;
  /** ∂mm/∂temperature of the circuit alone, mm/K. */
  readonly perCircuitK: number;
  readonly leans: readonly Lean[];
  /** False where fluid, vessel or chart say nothing: `mm` must not be used. */
  readonly inRange: boolean;
}

/** What was measured, and where it is to be brought. */
export interface Found {
  readonly levelMm: number;
  readonly temperatureC: number;
  readonly referenceC: number;
  /** Null where the circuit is taken to be as warm as the fluid measured. */
  readonly circuitC: number | null;
  readonly circuitState: string;
  readonly learned: LearnedSlope | null;
}

type Bench = Pick<BenchDescription, 'measure' | 'fluid' | 'vessel' | 'circuit'>;

export function compensate(bench: Bench, found: Found): Compensated {
  const upright = standing(bench, found.levelMm);
  const { temperatureC: vesselC, referenceC, circuitState } = found;
  const place = { levelMm: upright.mm, vesselC, circuitC: found.circuitC ?? vesselC, circuitState, referenceC };
  const moved = move(bench, place, found.learned);
  const own = found.circuitC !== null;
  return {
    mm: moved.mm,
    perLevel: moved.perLevel * upright.perLevel,
    perK: moved.perVesselK + (own ? 0 : moved.perCircuitK),
    perCircuitK: moved.perCircuitK,
    leans: [...upright.leans.map((lean) => ({ ...lean, perUnit: lean.perUnit * moved.perLevel })), ...moved.leans],
    inRange: upright.inRange && moved.inRange,
  };
}

/** The level that the vessel would show if it stood level. */
export function standing({ vessel }: Pick<Bench, 'vessel'>, levelMm: number) {
  if (vessel === null || vessel.tilt === null) return { mm: levelMm, perLevel: 1, leans: [] as Lean[], inRange: true };
  const { value, perReading, u, inRange } = levelled(levelMm, vesselOf(vessel), vessel.tilt);
  const lean: Lean = { name: 'tilt of the vessel', u, unit: 'mm', perUnit: 1, shared: 'tilt' };
  return { mm: value, perLevel: perReading, leans: [lean], inRange };
}

/** A slope learned anew is another quantity. */
function learnedKey({ mmPerK, fromC, toC }: LearnedSlope): string {
  return `slope ${mmPerK} mm/K learned from ${fromC} to ${toC} °C`;
}

function move(bench: Bench, place: Place, learned: LearnedSlope | null): Moved {
  const { compensation } = bench.measure;
  switch (compensation.kind) {
    case 'slope':
      return bySlope(compensation, place);
    case 'chart':
      return byChart(compensation, place);
    case 'learned':
      return learned === null ? bySlope(compensation.until, place) : bySlope(learned, place, learnedKey(learned));
    case 'vessel-and-fluid':
      if (bench.fluid === null || bench.vessel === null)
        throw new RangeError('compensation by vessel and fluid needs a fluid and a vessel on the bench');
      return byVesselAndFluid({ fluid: bench.fluid, vessel: bench.vessel, circuit: bench.circuit }, place);
  }
}
