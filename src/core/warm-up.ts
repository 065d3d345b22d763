/** What the state of machine and warm-up mean for the level: a circuit that opens, a slope that is learned. */

import type { SlopeOutcome } from './compensation/description.ts';
import { learn } from './compensation/learned.ts';
import { agrees, modelSlope } from './compensation/model-slope.ts';
import type { Ledger } from './ledger.ts';
import { type CircuitChange, machineOn, watchCircuit } from './machine.ts';
import { judgedAtC } from './reference.ts';
import type { State } from './state.ts';

/** Told once for each warm-up, when the window opens: what it taught, and whether that fits what the bench says. */
export function tellSlope(state: State, temperatureC: number, levelMm: number, ledger: Ledger): void {
  if (state.slopeTold) return;
  state.slopeTold = true;
  const { bench } = state;
  const asked = bench.measure.compensation.kind === 'learned';
  const { learned, refusal } = learn(state.warming, judgedAtC(bench));
  if (learned === null && !asked) return;
  const model = modelSlope(bench, {
    levelMm,
    temperatureC: learned === null ? temperatureC : (learned.fromC + learned.toC) / 2,
    referenceC: judgedAtC(bench),
    circuitC: null,
    circuitState: machineOn(bench, state.carried.machine).circuit ?? 'none',
    learned: null,
  });
  const outcome: SlopeOutcome = {
    kind: 'slope',
    learned,
    refusal,
    model,
    agrees: learned === null || model === null ? null : agrees(learned, model),
    inUse: asked && learned !== null,
  };
  ledger.decide(outcome);
}

/** A change of the circuit that the calm level betrays. */
export function circuitChange(state: State, mm: number, temperatureC: number): CircuitChange | null {
  return watchCircuit(state.bench, machineOn(state.bench, state.carried.machine), state.circuit, { mm, temperatureC });
}
