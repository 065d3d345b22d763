/** What a job taught of its kind of machine: kept when it is closed, as prior for the next one. */

import type { LearnedSlope } from '../compensation/description.ts';
import type { BenchDescription } from '../description.ts';
import { ANY_MACHINE, keptWith, type MachineType } from '../dosing/machine-type.ts';
import type { Target } from '../events.ts';
import type { OpenJob } from './advance.ts';
import { isAdjusting, knowledgeOf, responseOf } from './advice.ts';

/** Before the first job on its kind. */
function unknownType(name: string): MachineType {
  return { name, mmPerLitre: ANY_MACHINE, mmPerK: null, warmUpS: null };
}

interface Closed extends OpenJob {
  readonly bench: BenchDescription;
  readonly readings: Parameters<typeof knowledgeOf>[0]['readings'];
  readonly target: Target | null;
  /** Of this job's own warm-up. */
  readonly slope: LearnedSlope | null;
}

/** Warm-up times differ by how cold it was: what one of them is unsure by counts as nothing. */
const U_WARM_UP_S = 0;

/** Null where the job taught nothing. */
export function typeAfter(name: string, before: MachineType | undefined, closed: Closed): MachineType | null {
  const { procedure, slope, readings } = closed;
  const known = before ?? unknownType(name);
  const response = responseOf(closed);
  const adjusts = procedure.steps.some(isAdjusting) && readings.length > 0 && closed.bench.fluid !== null;
  const knowledge = adjusts ? knowledgeOf(closed, response, 0).knowledge : null;
  const litres = knowledge !== null && response.kind === 'unknown' && knowledge.learnedFrom > 0 ? knowledge : null;
  const warmUpS = warmUpOf(closed);
  if (litres === null && slope === null && warmUpS === null) return null;
  return {
    name,
    mmPerLitre:
      litres === null ? known.mmPerLitre : keptWith(known.mmPerLitre, litres.factor, Math.sqrt(litres.varFactor)),
    mmPerK: slope === null ? known.mmPerK : kept(known.mmPerK, slope.mmPerK, slope.uMmPerK),
    warmUpS: warmUpS === null ? known.warmUpS : kept(known.warmUpS, warmUpS, U_WARM_UP_S),
  };
}

/** From where the job came to wait for the window until it opened. */
function warmUpOf({ procedure, progress }: OpenJob): number | null {
  const waits = procedure.steps.flatMap((step) =>
    step.kind === 'wait' && (step.gates.length === 0 || step.gates.includes('window')) ? [step.id] : [],
  );
  return progress.ended.find(({ step, how }) => how === 'done' && waits.includes(step))?.tookS ?? null;
}

/** The first machine of a kind stands for itself: its spread is half of it until others say more. */
function kept(before: MachineType['mmPerK'], found: number, u: number): NonNullable<MachineType['mmPerK']> {
  return keptWith(before ?? { mean: found, spread: Math.abs(found) / 2, count: 0 }, found, u);
}
