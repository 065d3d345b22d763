/** Fluid held outside the vessel, in the state that the circuit is in. */
import type { CircuitDescription } from './description.ts';
import { growth } from './vessel.ts';

export interface Held {
  readonly litres: number;
  /** ∂litres/∂temperature of the circuit, L/K. */
  readonly perK: number;
  /** ∂litres/∂(linear expansion coefficient of the circuit), L K. */
  readonly perLinear: number;
  /** ∂litres/∂(litres of the state). */
  readonly perStateLitre: number;
  /** Standard uncertainty of the litres of the state. */
  readonly uStateLitres: number;
  readonly inRange: boolean;
}

/** A vessel with nothing outside it. */
export const NO_CIRCUIT: CircuitDescription = { states: [{ id: 'none', litres: 0, uLitres: 0 }], wall: null };

/** Litres in the circuit at `tC`; throws a RangeError for a state that is not on its list. */
export function heldIn(circuit: CircuitDescription, stateId: string, tC: number): Held {
  const state = circuit.states.find(({ id }) => id === stateId);
  if (state === undefined)
    throw new RangeError(
      `the circuit has no state "${stateId}"; it has ${circuit.states.map(({ id }) => `"${id}"`).join(', ')}`,
    );
  const { s, perK, perLinear, inRange } = growth(circuit.wall, tC);
  return {
    litres: state.litres * s * s * s,
    perK: 3 * state.litres * s * s * perK,
    perLinear: 3 * state.litres * s * s * perLinear,
    perStateLitre: s * s * s,
    uStateLitres: state.uLitres,
    inRange,
  };
}
