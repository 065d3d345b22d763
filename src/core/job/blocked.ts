/** Why a step may not be finished yet. */
import type { BenchDescription } from '../description.ts';
import type { GateId } from '../events.ts';
import { plain } from '../uncertainty/rounding.ts';
import { filledL, refillOf } from './accounts.ts';
import type { Need, ProcedureDescription, StepDescription } from './procedure.ts';
import { entryOf, type Progress } from './progress.ts';

export const BLOCKS = ['paused', 'engine-off', 'gate', 'filled', 'entered', 'hold', 'verdict', 'comparable'] as const;

export interface Block {
  readonly why: (typeof BLOCKS)[number];
  /** Gate, entry or hold that it is about; '' for none. */
  readonly what: string;
  /** In English. */
  readonly words: string;
}

export interface Blocking {
  readonly bench: BenchDescription;
  readonly procedure: ProcedureDescription;
  readonly progress: Progress;
  readonly levelC: number;
  readonly gateOpen: (gate: GateId) => boolean;
  /** Holds that are broken, by id. */
  readonly broken: readonly string[];
}

/** Once the engine has been started in a procedure, nothing is read while it stands still. */
export function engineCounts({ steps }: ProcedureDescription): boolean {
  return steps.some(({ engine }) => engine === 'starts');
}

export function standsStill(procedure: ProcedureDescription, { engine }: Progress): boolean {
  return engine === 'stopped' && engineCounts(procedure);
}

export function blocksOf(step: StepDescription, now: Blocking): Block[] {
  const { procedure, progress, broken } = now;
  const measures = step.kind === 'wait' || step.kind === 'read' || step.kind === 'decide';
  return [
    ...(progress.paused ? [{ why: 'paused' as const, what: '', words: 'The job is paused.' }] : []),
    ...(measures && standsStill(procedure, progress)
      ? [
          {
            why: 'engine-off' as const,
            what: '',
            words: 'The engine stands still: nothing counts until it has run again.',
          },
        ]
      : []),
    ...step.needs.flatMap((need) => unmet(need, now)),
    ...procedure.holds
      .filter(({ id, during }) => broken.includes(id) && during.includes(step.id))
      .map(({ id, words }) => ({ why: 'hold' as const, what: id, words })),
  ];
}

function unmet(need: Need, { bench, procedure, progress, levelC, gateOpen }: Blocking): Block[] {
  switch (need.kind) {
    case 'filled': {
      const filled = filledL(bench, progress);
      return filled >= need.litres ? [] : [lacking(filled, need.litres)];
    }
    case 'filled-share': {
      const plan = refillOf(bench, procedure, progress, levelC);
      const filled = filledL(bench, progress);
      if (plan === null) return [];
      const least = need.share * plan.litres;
      return filled >= least ? [] : [lacking(filled, least)];
    }
    case 'gate':
      return gateOpen(need.gate)
        ? []
        : [{ why: 'gate', what: need.gate, words: `The gate "${need.gate}" is still shut.` }];
    case 'entered':
      return entryOf(progress, need.name) !== null
        ? []
        : [{ why: 'entered', what: need.name, words: `"${need.name}" was not entered yet.` }];
  }
}

function lacking(filled: number, least: number): Block {
  return {
    why: 'filled',
    what: '',
    words: `${plain(filled, 2)} L are in, at least ${plain(least, 2)} L must be.`,
  };
}
