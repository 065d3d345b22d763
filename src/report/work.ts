/** How far a job came that follows a procedure: folded from its outcomes, as the bench itself does. */
import { carry, NOTHING_CARRIED } from '../core/carried.ts';
import type { BenchDescription } from '../core/description.ts';
import type { Fresh } from '../core/dosing/fresh-share.ts';
import { freshOf } from '../core/job/accounts.ts';
import type { AskedValue, ProcedureDescription } from '../core/job/procedure.ts';
import type { Progress } from '../core/job/progress.ts';
import { amount, setting } from './figures.ts';
import type { JobRecord } from './record.ts';

export interface Work {
  readonly procedure: ProcedureDescription;
  readonly progress: Progress;
  readonly fresh: Fresh | null;
  readonly machineType: string | null;
  readonly fields: Readonly<Record<string, string>>;
}

/** Null for a job without a procedure. */
export function workOf({ outcomes, runs }: JobRecord): Work | null {
  let carried = NOTHING_CARRIED;
  for (const { outcome } of outcomes) {
    if (outcome.kind === 'job' && outcome.change === 'closed') break;
    carried = carry(carried, outcome);
  }
  const { procedure, progress, job } = carried;
  const bench = runs.at(-1)?.start.bench;
  if (procedure === null || progress === null || bench === undefined) return null;
  return {
    ...{ procedure, progress },
    fresh: freshOf(bench, procedure, progress, levelC(bench, job?.referenceC ?? null)),
    machineType: job?.machineType ?? null,
    fields: job?.fields ?? {},
  };
}

function levelC(bench: BenchDescription, ofJob: number | null): number {
  return ofJob ?? bench.measure.referenceC;
}

export function askedOf({ steps }: ProcedureDescription, name: string): AskedValue | null {
  return steps.flatMap((step) => (step.kind === 'enter' ? step.asks : [])).find((ask) => ask.name === name) ?? null;
}

const SIGNS = { temperature: 'Cel', length: 'mm', pressure: 'kPa', voltage: 'V', volume: 'L', humidity: '%' } as const;

/** An entry with its unit. */
export function entryWords(value: number | string, asked: AskedValue | null): string {
  if (typeof value === 'string') return value;
  if (asked?.of !== 'quantity') return setting(value);
  const { quantity } = asked;
  return amount(setting(quantity === 'humidity' ? 100 * value : value), SIGNS[quantity]);
}
