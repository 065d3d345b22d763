/** JSON Schema → rows of a table for people. */
import type { JsonSchema } from './schema.ts';

export interface Field {
  readonly path: string;
  readonly type: string;
  readonly meaning: string;
}

interface Variant {
  /** Which one it is, for example `kind` `"ready"`. */
  readonly title: string;
  readonly fields: readonly Field[];
}

/** The fields of an object, its tag first; an object written out inside it gets rows of its own. */
export function fieldsOf(schema: JsonSchema, prefix = ''): Field[] {
  return Object.entries(schema.properties ?? {})
    .toSorted(([, a], [, b]) => Number(b.const !== undefined) - Number(a.const !== undefined))
    .flatMap(([name, field]) => {
      const path = `${prefix}${name}`;
      const row = { path, type: typeWords(field), meaning: field.description ?? '' };
      const inner = withoutNull(field) ?? field.items ?? field;
      const innerPath = field.items === undefined ? `${path}.` : `${path}[].`;
      return [row, ...fieldsOf(inner, innerPath)];
    });
}

/** A choice by tag: what all variants share, and what each has of its own. */
export function variantsOf(schema: JsonSchema): { common: readonly Field[]; variants: readonly Variant[] } {
  const tables = (schema.oneOf ?? []).map((variant) => fieldsOf(variant));
  const isCommon = (field: Field): boolean => tables.every((fields) => fields.some((other) => isSame(other, field)));
  const variants = tables.flatMap(([tag, ...fields]) =>
    tag === undefined
      ? []
      : [{ title: `**\`${tag.path}\` ${tag.type}**`, fields: fields.filter((field) => !isCommon(field)) }],
  );
  return { common: tables[0]?.filter(isCommon) ?? [], variants };
}

function isSame(a: Field, b: Field): boolean {
  return a.path === b.path && a.type === b.type;
}

function typeWords(field: JsonSchema): string {
  if (field.$ref !== undefined) return link(field.$ref.slice('#/$defs/'.length));
  if (field.anyOf !== undefined) return field.anyOf.map(typeWords).join(' or ');
  if (field.const !== undefined) return `\`${JSON.stringify(field.const)}\``;
  if (field.enum !== undefined) return field.enum.map((value) => `\`${JSON.stringify(value)}\``).join(', ');
  if (field.items !== undefined) return `list of ${typeWords(field.items)}`;
  if (typeof field.additionalProperties === 'object') return `by name: ${typeWords(field.additionalProperties)}`;
  return [field.type ?? []].flat().map(plainWords).join(' or ') + lengthWords(field);
}

/** Of texts that a client writes. */
function lengthWords({ minLength, maxLength }: JsonSchema): string {
  if (maxLength === undefined) return '';
  return `, ${minLength ?? 0} to ${maxLength} characters`;
}

function link(name: string): string {
  // The values of a `live` message, without its tag: described there.
  return name === 'live-values' ? '[live](#live) without `type`' : `[${name}](#${name})`;
}

function plainWords(type: string): string {
  return PLAIN_WORDS[type] ?? type;
}

const PLAIN_WORDS: Readonly<Record<string, string>> = {
  string: 'text',
  integer: 'whole number',
  boolean: 'true or false',
};

/** The other type, where the field is that or null. */
function withoutNull(field: JsonSchema): JsonSchema | null {
  const [first, second, more] = field.anyOf ?? [];
  return first !== undefined && second?.type === 'null' && more === undefined ? first : null;
}
