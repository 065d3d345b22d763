/** Names within a procedure file: which there are, and how they are told. */
import { oneOf } from './mistake.ts';
import type { StepDraft } from './procedure-draft.ts';

const MOST_NAMED = 8;

/** All names where they are few. */
export function someOf(names: readonly string[], what: string): string {
  return names.length === 0 || names.length > MOST_NAMED ? `${what} of this file` : oneOf(names);
}

/** Names of all steps; null while one is not understood, which may be any. */
export function namesOf(steps: readonly StepDraft[]): string[] | null {
  const names = steps.flatMap(({ keys }) => keys.step ?? []);
  return names.length < steps.length || names.length === 0 ? null : names;
}
