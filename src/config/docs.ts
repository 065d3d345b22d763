/** The reference of the bench file, written from its schema. */
import { z } from 'zod';
import { KEY_DOCS } from './fields.ts';
import { SECTIONS } from './schema.ts';
import { bare } from './schema-walk.ts';
import { KINDS } from './units.ts';

const OPENING = `# The bench file

<!-- Generated from src/config/schema.ts by \`npm run docs\`. -->

One YAML 1.2 file describes a bench: the instruments, what is measured, and when a reading counts.
[examples/bench.yaml](examples/bench.yaml) has every key with a comment; \`stillwell check bench.yaml\` names every mistake
with its line and column. Unknown keys are mistakes. References (\`&\`, \`*\`), types (\`!\`) and several documents in one file
are not used.
`;

const QUANTITIES = `## Quantities

A quantity is a number and a unit with a blank between: \`500 ms\`. A number has digits and a
decimal point: no decimal comma, no blanks, no exponent. A span is two quantities with \`to\` between, the lower first:
\`46 °C to 54 °C\`, or \`46 to 54 °C\`. Units are UCUM codes; the printed forms °C, °F, µ, in, ft stand for
\`Cel\`, \`[degF]\`, \`u\`, \`[in_i]\`, \`[ft_i]\`.
`;

/** The whole text of docs/bench-file.md. */
export function benchDocs(): string {
  return `${[OPENING, ...SECTIONS.map(section), QUANTITIES, unitTable()].join('\n')}`;
}

export interface Section {
  readonly title: string;
  /** Where its keys stand; empty for the file itself. */
  readonly at: string;
  readonly schema: z.ZodObject;
}

/** A table of the keys, from what the schema says of each. */
export function section({ title, at, schema }: Section): string {
  const rows = Object.entries(schema.shape as Record<string, z.ZodType>).map(([name, field]) => {
    const doc = KEY_DOCS.get(field);
    if (doc === undefined) throw new TypeError(`${title}: ${name} has no documentation`);
    return [`\`${name}\``, doc.meaning, doc.form, withoutIt(field, doc.otherwise), `\`${name}: ${doc.example}\``];
  });
  return `## ${title}\n\n${at === '' ? '' : `Keys under \`${at}\`.\n\n`}${table(['key', 'meaning', 'form', 'without it', 'example'], rows)}`;
}

function withoutIt(field: z.ZodType, otherwise: string | undefined): string {
  if (otherwise !== undefined) return otherwise;
  if (!(field instanceof z.ZodPrefault)) return '**required**';
  const value: unknown = field.def.defaultValue;
  if (Array.isArray(value) || bare(field) instanceof z.ZodRecord) return 'none';
  return typeof value === 'object' ? 'as if its keys had their defaults' : `\`${String(value)}\``;
}

function unitTable(): string {
  const rows = Object.values(KINDS).map(({ noun, units, inside, sample }) => [
    noun.replace(/^an? /, ''),
    units.map((unit) => `\`${unit}\``).join(' '),
    `\`${inside}\``,
    `\`${sample}\``,
  ]);
  return table(['quantity', 'units, among others', 'kept as', 'example'], rows);
}

export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]): string =>
    `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line), ''].join('\n');
}
