/** Reads the parts of a procedure file one by one, so that a mistake in one step hides none in the others. */
import type { z } from 'zod';
import { type Finding, finding, type Path, quote } from './mistake.ts';
import { doseMeasureSchema, fieldSchema, holdSchema, procedureSchema } from './procedure-schema.ts';
import { answerSchema, entrySchema, stepSchema } from './procedure-steps.ts';
import { ID_FORM, isId, properId } from './schema.ts';
import { own } from './schema-walk.ts';
import { type Draft, understand } from './understand.ts';

/** What stands under a name of the shop's own. */
export type Named<T> = { readonly id: string; readonly keys: Draft<T> };

export type Entry = z.output<typeof entrySchema>;
export type Answer = z.output<typeof answerSchema>;
export type Step = z.output<typeof stepSchema>;
export type Hold = z.output<typeof holdSchema>;
export type DoseMeasure = z.output<typeof doseMeasureSchema>;
export type Field = z.output<typeof fieldSchema>;

export interface StepDraft {
  readonly path: Path;
  readonly keys: Draft<Step>;
  readonly entries: readonly Named<Entry>[];
  readonly answers: readonly Named<Answer>[];
  /** It is no block, or has keys that no step has. */
  readonly isStrange: boolean;
}

export interface ProcedureDraft {
  readonly head: Draft<z.output<typeof procedureSchema>>;
  readonly fields: readonly Named<Field>[];
  readonly measures: readonly Named<DoseMeasure>[];
  readonly holds: readonly Named<Hold>[];
  readonly steps: readonly StepDraft[];
}

/** Everything that can be understood of a file; complete where nothing is found. */
export function readProcedureDraft(data: unknown, findings: Finding[]): ProcedureDraft {
  const head = understand(procedureSchema, data, { path: [], findings }) ?? {};
  const steps = own(data, 'steps');
  return {
    head,
    fields: named(fieldSchema, data, 'fields', [], findings),
    measures: named(doseMeasureSchema, data, 'measures', [], findings),
    holds: named(holdSchema, data, 'holds', [], findings),
    steps: Array.isArray(steps) ? steps.map((raw, index) => readStep(raw, ['steps', index], findings)) : [],
  };
}

function readStep(raw: unknown, path: Path, findings: Finding[]): StepDraft {
  // A list in a list has no key of its own to be named by.
  if (raw === null || typeof raw !== 'object' || Array.isArray(raw)) {
    findings.push(finding(path, 'this is no step', 'a block of keys that begins with "step:" and a name'));
    return { path, keys: {}, entries: [], answers: [], isStrange: true };
  }
  return {
    path,
    keys: understand(stepSchema, raw, { path, findings }) ?? {},
    entries: named(entrySchema, raw, 'enter', path, findings),
    answers: named(answerSchema, raw, 'ask', path, findings),
    isStrange: Object.keys(raw).some((name) => !Object.hasOwn(stepSchema.shape, name)),
  };
}

function named<S extends z.ZodType>(
  schema: S,
  inside: unknown,
  name: string,
  above: Path,
  findings: Finding[],
): Named<z.output<S>>[] {
  const group = own(inside, name);
  if (group === null || typeof group !== 'object' || Array.isArray(group)) return [];
  const entries = Object.entries(group);
  const path = [...above, name];
  if (entries.length === 0)
    findings.push(finding(path, 'nothing stands here', 'at least one name', { nature: 'empty' }));
  return entries.map(([id, raw]) => {
    const more = { at: 'key', nearest: properId(id) } as const;
    if (!isId(id)) findings.push(finding([...path, id], `${quote(id)} cannot be a name here`, ID_FORM, more));
    return { id, keys: (understand(schema, raw, { path: [...path, id], findings }) ?? {}) as Draft<z.output<S>> };
  });
}
