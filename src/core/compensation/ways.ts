/**
 * The ways to bring a level to the reference temperature. `levelMm` is the level in the vessel standing level; each way
 * answers with the level at the reference, its derivatives, and what else it leans on.
 */
import type { FluidDescription } from '../fluids/description.ts';
import { fluidOf } from '../fluids/fluid.ts';
import { monotoneCubic } from '../monotone-cubic.ts';
import { COMPENSATION_SLOPE, fluidConstant } from '../uncertainty/line.ts';
import { NO_CIRCUIT } from '../vessels/circuit.ts';
import type { CircuitDescription, VesselDescription } from '../vessels/description.ts';
import { levelAtReference } from '../vessels/level-at-reference.ts';
import { vesselOf } from '../vessels/vessel.ts';
import type { CompensationDescription, SlopeDescription } from './description.ts';

export interface Moved {
  /** Level at the reference temperature. */
  readonly mm: number;
  /** ∂mm/∂level. */
  readonly perLevel: number;
  /** ∂mm/∂temperature of the vessel, mm/K. */
  readonly perVesselK: number;
  /** ∂mm/∂temperature of the circuit, mm/K; 0 where none plays a part. */
  readonly perCircuitK: number;
  readonly leans: readonly Lean[];
  /** False where the way says nothing at these temperatures or this level: `mm` must not be used. */
  readonly inRange: boolean;
}

/** One more thing that a result leans on. */
export interface Lean {
  readonly name: string;
  readonly u: number;
  readonly unit: string;
  /** ∂mm/∂it. */
  readonly perUnit: number;
  /** Leans of one key are the same error in every reading. */
  readonly shared: string;
}

export interface Place {
  readonly levelMm: number;
  readonly vesselC: number;
  readonly circuitC: number;
  /** The state that the circuit is in, by its id; any text without a circuit. */
  readonly circuitState: string;
  readonly referenceC: number;
}

export function bySlope(
  { mmPerK, uMmPerK }: Omit<SlopeDescription, 'kind'>,
  place: Place,
  shared = COMPENSATION_SLOPE,
): Moved {
  const awayK = place.vesselC - place.referenceC;
  return {
    mm: place.levelMm - mmPerK * awayK,
    perLevel: 1,
    perVesselK: -mmPerK,
    perCircuitK: 0,
    leans: [{ name: 'compensation slope', u: uMmPerK, unit: 'mm/K', perUnit: -awayK, shared }],
    inRange: true,
  };
}

type Chart = Extract<CompensationDescription, { kind: 'chart' }>;

/** The level moves as the chart moves between the two temperatures. Monotone cubic through its points. */
export function byChart(chart: Chart, place: Place): Moved {
  const curve = curveOf(chart);
  const here = curve.at(place.vesselC);
  const there = curve.at(place.referenceC);
  const awayK = place.vesselC - place.referenceC;
  return {
    mm: place.levelMm + there.value - here.value,
    perLevel: 1,
    perVesselK: -here.derivative,
    perCircuitK: 0,
    leans: [{ name: 'chart', u: chart.uMmPerK, unit: 'mm/K', perUnit: -awayK, shared: 'chart' }],
    inRange: here.inRange && there.inRange,
  };
}

const curves = new WeakMap<Chart, ReturnType<typeof monotoneCubic>>();

function curveOf(chart: Chart) {
  const known = curves.get(chart);
  if (known !== undefined) return known;
  const made = monotoneCubic(
    chart.points.map(({ tC }) => tC),
    chart.points.map(({ mm }) => mm),
  );
  curves.set(chart, made);
  return made;
}

export interface Contents {
  readonly fluid: FluidDescription;
  readonly vessel: VesselDescription;
  readonly circuit: CircuitDescription | null;
}

/** Mass is conserved, and the circuit stays in the state that it is in: only the temperature goes to the reference. */
export function byVesselAndFluid({ fluid, vessel, circuit }: Contents, place: Place): Moved {
  const ofFluid = new Set(
    fluidOf(fluid)
      .density(place.vesselC)
      .constants.map(({ name }) => name),
  );
  const circuitState = circuit === null ? 'none' : place.circuitState;
  const { value, perLevel, perVesselC, perCircuitC, constants, inRange } = levelAtReference(
    { fluid: fluidOf(fluid), vessel: vesselOf(vessel), circuit: circuit ?? NO_CIRCUIT },
    { ...place, circuitState, referenceCircuitState: circuitState },
  );
  return {
    mm: value,
    perLevel,
    perVesselK: perVesselC,
    perCircuitK: perCircuitC,
    // In numbers of its own standard uncertainty: the constants have a unit each.
    leans: constants.map(({ name, u, perUnit }) => ({
      name,
      u: 1,
      unit: '1',
      perUnit: perUnit * u,
      shared: ofFluid.has(name) ? fluidConstant(name) : name,
    })),
    inRange,
  };
}
