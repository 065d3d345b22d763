/** Ways through zod schemas. */
import { z } from 'zod';
import type { Path } from './mistake.ts';

/** A schema without what is wrapped around it: optional, default, pipe. */
export function bare(schema: z.ZodType): z.ZodType {
  const def = schema.def as { innerType?: z.ZodType; in?: z.ZodType };
  if (def.innerType !== undefined) return bare(def.innerType);
  return def.in !== undefined ? bare(def.in) : schema;
}

/** The schema of the value at these steps, as far as they can be followed. */
export function schemaAt(schema: z.ZodType, steps: Path): z.ZodType | null {
  const [step, ...rest] = steps;
  if (step === undefined) return schema;
  const plain = bare(schema);
  if (plain instanceof z.ZodObject) {
    const field = own(plain.shape, step) as z.ZodType | undefined;
    return field === undefined ? null : schemaAt(field, rest);
  }
  // The names of a record are told by the record's own words.
  if (plain instanceof z.ZodRecord) return rest.length === 0 ? schema : schemaAt(plain.valueType as z.ZodType, rest);
  if (plain instanceof z.ZodArray) return schemaAt(plain.element as z.ZodType, rest);
  return null;
}

/** Names of the keys that an object takes. */
export function keysOf(schema: z.ZodType | null): string[] {
  if (schema === null) return [];
  const plain = bare(schema);
  if (plain instanceof z.ZodObject) return Object.keys(plain.shape);
  if (plain instanceof z.ZodUnion) return [...new Set(plain.options.flatMap((option) => keysOf(option as z.ZodType)))];
  return [];
}

/** The property of the object itself, never one that every object inherits. */
export function own(value: unknown, name: string | number): unknown {
  if (value === null || typeof value !== 'object' || !Object.hasOwn(value, name)) return undefined;
  return (value as Record<string | number, unknown>)[name];
}
