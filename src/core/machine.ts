/**
 * The state that the machine is in while it is read: what a person states of it, and what its circuit holds. A circuit
 * that opens takes fluid from the vessel, so the level falls by a known amount at a known temperature.
 */
import type { BenchDescription } from './description.ts';
import { vesselOf } from './vessels/vessel.ts';

export interface MachineState {
  /** In the words of the bench; null while nobody has said. */
  readonly stated: string | null;
  /** Id of the circuit's state; null without a circuit. */
  readonly circuit: string | null;
}

/** The machine is now in another state: a person said so, or its circuit opened or closed by what the level did. */
export interface MachineOutcome {
  readonly kind: 'machine';
  readonly machine: MachineState;
  readonly cause: 'stated' | 'level-fell' | 'level-rose';
}

export const NOT_STATED = 'not stated';

/** For a reading: two readings of different words are never compared. */
export function machineWords({ stated, circuit }: MachineState): string {
  return [stated ?? NOT_STATED, ...(circuit === null ? [] : [circuit])].join(', ');
}

/** The state last told, as far as this bench knows it; a circuit begins in its first one. */
export function machineOn(bench: BenchDescription, before: MachineState): MachineState {
  const states = bench.circuit?.states ?? [];
  const circuit = states.find(({ id }) => id === before.circuit) ?? states[0];
  return {
    stated: before.stated !== null && bench.machineStates.includes(before.stated) ? before.stated : null,
    circuit: circuit?.id ?? null,
  };
}

/** What is remembered to recognise an opening; plain data. */
export interface CircuitWatch {
  /** Compensated level of the last calm before a change of state was possible; null while none was seen. */
  baseMm: number | null;
}

export type CircuitChange = { readonly to: string; readonly cause: 'level-fell' | 'level-rose' };

/** A change of the level by this share of what the change of state moves counts as one; by more than the other, as none. */
const LEAST_SHARE = 0.5;
const MOST_SHARE = 2;

/** Judges a calm, compensated level; the state before stays in force until a change comes back. */
export function watchCircuit(
  bench: BenchDescription,
  machine: MachineState,
  watch: CircuitWatch,
  calm: { readonly mm: number; readonly temperatureC: number },
): CircuitChange | null {
  const { circuit, vessel } = bench;
  if (circuit?.opens == null || vessel === null || machine.circuit === null) return null;
  const { lowC, highC } = circuit.opens;
  const at = circuit.states.findIndex(({ id }) => id === machine.circuit);
  const tC = calm.temperatureC;
  const here = circuit.states[at];
  const next = tC >= lowC ? circuit.states[at + 1] : undefined;
  const previous = tC <= highC ? circuit.states[at - 1] : undefined;
  if (here === undefined) return null;
  if ((next === undefined && previous === undefined) || watch.baseMm === null) {
    watch.baseMm = calm.mm;
    return null;
  }
  const litresPerMm = vesselOf(vessel).litresAt(calm.mm, tC).derivative;
  if (!(litresPerMm > 0)) return null;
  const movedMm = calm.mm - watch.baseMm;
  const fits = (expectedMm: number) =>
    expectedMm !== 0 && movedMm / expectedMm >= LEAST_SHARE && movedMm / expectedMm <= MOST_SHARE;
  if (next !== undefined && fits((here.litres - next.litres) / litresPerMm)) return changed(watch, next.id, movedMm);
  if (previous !== undefined && fits((here.litres - previous.litres) / litresPerMm))
    return changed(watch, previous.id, movedMm);
  return null;
}

function changed(watch: CircuitWatch, to: string, movedMm: number): CircuitChange {
  watch.baseMm = null;
  return { to, cause: movedMm < 0 ? 'level-fell' : 'level-rose' };
}
