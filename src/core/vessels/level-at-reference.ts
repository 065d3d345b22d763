/**
 * Level at the reference temperature. What is conserved is mass: what stands in the vessel at its temperature and what the
 * circuit holds at its own, m = ρ(Tv) Vv + ρ(Tc) Vc, is the same after both have come to the reference temperature.
 */
import type { Fluid } from '../fluids/fluid.ts';
import type { Constant, Property } from '../fluids/property.ts';
import { type Held, heldIn } from './circuit.ts';
import type { CircuitDescription } from './description.ts';
import type { Conversion, Vessel } from './vessel.ts';

/** What does not change from one reading to the next. */
export interface Filling {
  readonly vessel: Vessel;
  readonly circuit: CircuitDescription;
  readonly fluid: Fluid;
}

/** One reading, and what it is brought to. */
export interface LevelState {
  /** Level in the vessel standing level, mm. */
  readonly levelMm: number;
  readonly vesselC: number;
  readonly circuitC: number;
  readonly circuitState: string;
  readonly referenceC: number;
  /** The state that the circuit is in at the reference; its fluid comes from the vessel or goes back to it. */
  readonly referenceCircuitState: string;
}

export interface LevelAtReference {
  /** mm, vessel and circuit both at the reference temperature. */
  readonly value: number;
  readonly massKg: number;
  /** ∂value/∂levelMm. */
  readonly perLevel: number;
  /** mm/K */
  readonly perVesselC: number;
  readonly perCircuitC: number;
  /**
   * What else the value rests on, in mm per unit of each: constants of the density, the volumes of the vessel as a share,
   * litres of the circuit's states, the walls' expansion coefficients. Level and temperatures are not among them: they are the reading's own.
   */
  readonly constants: readonly Constant[];
  /** False where fluid, vessel or walls are used outside what is known of them: `value` must not be used. */
  readonly inRange: boolean;
}

const LITRES_PER_M3 = 1000;

/** Throws a RangeError for a circuit state that is not on the circuit's list. */
export function levelAtReference({ vessel, circuit, fluid }: Filling, state: LevelState): LevelAtReference {
  const { levelMm, vesselC, circuitC, referenceC } = state;
  const inVessel = vessel.litresAt(levelMm, vesselC);
  const inCircuit = heldIn(circuit, state.circuitState, circuitC);
  const left = heldIn(circuit, state.referenceCircuitState, referenceC);
  const rhoV = fluid.density(vesselC);
  const rhoC = fluid.density(circuitC);
  const rhoR = fluid.density(referenceC);
  const kgLitres = rhoV.value * inVessel.value + rhoC.value * inCircuit.litres;
  const litres = kgLitres / rhoR.value;
  const level = vessel.levelAt(litres - left.litres, referenceC);
  const perLitre = level.derivative;
  const perRatioV = (perLitre * rhoV.value) / rhoR.value;
  const perRatioC = (perLitre * rhoC.value) / rhoR.value;
  return {
    value: level.value,
    massKg: kgLitres / LITRES_PER_M3,
    perLevel: perRatioV * inVessel.derivative,
    perVesselC: (perLitre * rhoV.derivative * inVessel.value) / rhoR.value + perRatioV * inVessel.perK,
    perCircuitC: (perLitre * rhoC.derivative * inCircuit.litres) / rhoR.value + perRatioC * inCircuit.perK,
    constants: [
      ...densityConstants(rhoV, rhoC, rhoR, {
        v: (perLitre * inVessel.value) / rhoR.value,
        c: (perLitre * inCircuit.litres) / rhoR.value,
        r: (-perLitre * litres) / rhoR.value,
      }),
      {
        // Too much vessel by one share at both ends: only what the circuit gave or took is divided by a wrong plan.
        name: 'volumes of the vessel',
        u: vessel.description.uVolumeShare,
        perUnit: perRatioV * inVessel.value - perLitre * (litres - left.litres),
      },
      ...circuitConstants(state, { inCircuit, left, perRatioC, perLitre }),
      ...wallConstants({ vessel, circuit }, { inVessel, inCircuit, left, level, perRatioV, perRatioC }),
    ],
    inRange: inVessel.inRange && inCircuit.inRange && level.inRange && known(rhoV, rhoC, rhoR),
  };
}

function known(...densities: readonly Property[]): boolean {
  return densities.every(({ inRange }) => inRange);
}

/** An error of one constant moves all three densities at once: most of it cancels. */
function densityConstants(
  rhoV: Property,
  rhoC: Property,
  rhoR: Property,
  per: { readonly v: number; readonly c: number; readonly r: number },
): Constant[] {
  return rhoV.constants.map(({ name, u, perUnit }, i) => ({
    name,
    u,
    perUnit: per.v * perUnit + per.c * (rhoC.constants[i]?.perUnit ?? 0) + per.r * (rhoR.constants[i]?.perUnit ?? 0),
  }));
}

interface CircuitParts {
  readonly inCircuit: Held;
  readonly left: Held;
  readonly perRatioC: number;
  readonly perLitre: number;
}

/** The same state at both ends is one constant, not two: its error cancels but for the expansion of its fluid. */
function circuitConstants(state: LevelState, { inCircuit, left, perRatioC, perLitre }: CircuitParts): Constant[] {
  const now = perRatioC * inCircuit.perStateLitre;
  const then = -perLitre * left.perStateLitre;
  const name = (id: string) => `litres of the circuit, ${id}`;
  if (state.circuitState === state.referenceCircuitState)
    return [{ name: name(state.circuitState), u: inCircuit.uStateLitres, perUnit: now + then }];
  return [
    { name: name(state.circuitState), u: inCircuit.uStateLitres, perUnit: now },
    { name: name(state.referenceCircuitState), u: left.uStateLitres, perUnit: then },
  ];
}

interface WallParts {
  readonly inVessel: Conversion;
  readonly inCircuit: Held;
  readonly left: Held;
  readonly level: Conversion;
  readonly perRatioV: number;
  readonly perRatioC: number;
}

function wallConstants({ vessel, circuit }: Pick<Filling, 'vessel' | 'circuit'>, parts: WallParts): Constant[] {
  const { inVessel, inCircuit, left, level, perRatioV, perRatioC } = parts;
  const constants: Constant[] = [];
  if (vessel.description.wall !== null)
    constants.push({
      name: 'expansion of the vessel',
      u: vessel.description.wall.uLinearPerK,
      perUnit: perRatioV * inVessel.perLinear + level.perLinear,
    });
  if (circuit.wall !== null)
    constants.push({
      name: 'expansion of the circuit',
      u: circuit.wall.uLinearPerK,
      perUnit: perRatioC * inCircuit.perLinear - level.derivative * left.perLinear,
    });
  return constants;
}
