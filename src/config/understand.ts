/** Holds a value against its schema, and keeps what can be understood where not all of it can. */
import { z } from 'zod';
import { findingsOf, OURS } from './issues.ts';
import type { Finding, Path } from './mistake.ts';
import { bare, own } from './schema-walk.ts';

/** A value that was understood in part: a key that is there but `undefined` was written and not understood. */
export type Draft<T> = T extends readonly unknown[]
  ? T
  : T extends object
    ? { readonly [K in keyof T]?: Draft<T[K]> | undefined }
    : T;

export interface Context {
  readonly path: Path;
  /** Takes what is wrong. */
  readonly findings: Finding[];
  readonly besides?: readonly string[];
}

/**
 * Holds a value against its schema: pushes what is wrong, and gives what could be understood, so that everything else
 * can be checked in the same go.
 */
export function understand<S extends z.ZodType>(
  schema: S,
  raw: unknown,
  context: Context,
): Draft<z.output<S>> | undefined {
  const result = schema.safeParse(raw, { error: () => OURS });
  if (result.success) return result.data as Draft<z.output<S>>;
  const at = { ...context, schema, raw };
  context.findings.push(...result.error.issues.flatMap((issue) => findingsOf(issue, at)));
  return salvage(schema, raw) as Draft<z.output<S>> | undefined;
}

function salvage(schema: z.ZodType, raw: unknown): unknown {
  const result = schema.safeParse(raw);
  if (result.success) return result.data;
  const plain = bare(schema);
  if (raw === null || typeof raw !== 'object') return undefined;
  if (plain instanceof z.ZodRecord) return raw;
  if (!(plain instanceof z.ZodObject)) return undefined;
  const parts = Object.entries(plain.shape as Record<string, z.ZodType>).map(
    ([name, field]) => [name, salvage(field, own(raw, name))] as const,
  );
  return Object.fromEntries(parts.filter(([name, part]) => part !== undefined || Object.hasOwn(raw, name)));
}
