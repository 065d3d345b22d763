/** What zod finds wrong, as findings in plain words: where, what, what was expected, what was probably meant. */
import type { z } from 'zod';
import { KEY_DOCS } from './fields.ts';
import { type Finding, finding, nearest, oneOf, type Path, quote, show } from './mistake.ts';
import { keysOf, own, schemaAt } from './schema-walk.ts';

type Issue = z.core.$ZodIssue;

/** Marks messages that no author wrote. */
export const OURS = '\u0000';

export interface Looking {
  /** Where the value stands in the file. */
  readonly path: Path;
  readonly schema: z.ZodType;
  readonly raw: unknown;
  /** Keys that may stand here besides those of the schema. */
  readonly besides?: readonly string[];
}

export function findingsOf(issue: Issue, at: Looking): Finding[] {
  const steps = issue.path.map((step) => (typeof step === 'number' ? step : String(step)));
  const path = [...at.path, ...steps];
  const value = steps.reduce<unknown>((inside, step) => own(inside, step), at.raw);
  const schema = schemaAt(at.schema, steps);
  const doc = schema === null ? undefined : KEY_DOCS.get(schema);
  const by = doc?.form;
  const wanted = by ?? withDescription(expectedOf(issue), describe(schema));

  if (issue.code === 'unrecognized_keys') {
    const names = [...(steps.length === 0 ? (at.besides ?? []) : []), ...keysOf(schema)];
    return issue.keys.map((name) => unknownKey([...path, name], names));
  }
  if (issue.code === 'invalid_key') {
    const name = String(path.at(-1));
    const message = authored(issue.issues[0]);
    return [finding(path, `${quote(name)} is no proper name`, message ?? by ?? 'another name', { at: 'key' })];
  }
  const sample = `${wanted}${doc === undefined || /such as/.test(wanted) ? '' : `, such as ${String(path.at(-1))}: ${doc.example}`}`;
  if (value === undefined) {
    const name = String(path.at(-1) ?? '');
    return [finding(path, `missing key ${quote(name)}`, sample, { at: 'key', nature: 'absent' })];
  }
  if (value === null) {
    return [
      finding(path, `nothing stands after "${String(path.at(-1) ?? '')}:"`, sample, { at: 'key', nature: 'empty' }),
    ];
  }
  const message = authored(issue);
  switch (issue.code) {
    case 'invalid_union':
      return ofUnion(issue, at, path, value, by);
    case 'invalid_value': {
      const names = issue.values.map(String);
      return [
        finding(path, message ?? `${show(value)} is not known here`, oneOf(names), {
          nearest: nearest(String(value), names),
        }),
      ];
    }
    case 'custom': {
      const { expected, nearest: meant, byType } = (issue.params ?? {}) as Told;
      const words = byType === true ? undefined : message;
      const wanted = expected ?? by ?? describe(schema);
      return [finding(path, words ?? `${show(value)} does not fit here`, wanted, { nearest: meant ?? null })];
    }
    case 'invalid_type': {
      const unquoted = issue.expected === 'string' && (typeof value === 'number' || typeof value === 'boolean');
      const hint = unquoted ? `, in quotes: "${String(value)}"` : '';
      return [finding(path, `${show(value)} is not ${expectedOf(issue)}`, `${wanted}${hint}`)];
    }
    default:
      return [finding(path, `${show(value)} does not fit here`, message ?? wanted)];
  }
}

/** What the schema's own checks pass along with a custom issue. */
interface Told {
  readonly expected?: string;
  readonly nearest?: string | null;
  readonly byType?: boolean;
}

/** The branch of a union that was probably meant is the one with the fewest faults. */
function ofUnion(
  issue: Extract<Issue, { code: 'invalid_union' }>,
  at: Looking,
  path: Path,
  value: unknown,
  by?: string,
): Finding[] {
  if ('options' in issue && issue.options !== undefined) {
    const names = issue.options.map(String);
    return [
      finding(path, `${show(value)} is not known here`, oneOf(names), { nearest: nearest(String(value), names) }),
    ];
  }
  const branches = issue.errors
    .map((issues) =>
      issues.flatMap((inner) => findingsOf({ ...inner, path: [...issue.path, ...inner.path] } as Issue, at)),
    )
    .toSorted(
      (a, b) =>
        Math.max(...b.map((one) => one.path.length)) - Math.max(...a.map((one) => one.path.length)) ||
        a.length - b.length,
    );
  const [best] = branches;
  if (best?.some((one) => one.path.length > path.length)) return best;
  const expected = [...new Set(issue.errors.flat().map(expectedOf))].join(' or ');
  const meant = best?.find((one) => one.nearest !== null)?.nearest ?? null;
  return [finding(path, authored(issue) ?? `${show(value)} does not fit here`, by ?? expected, { nearest: meant })];
}

export function unknownKey(path: Path, names: readonly string[]): Finding {
  const name = String(path.at(-1));
  const expected = names.length === 0 ? 'no key here' : oneOf(names);
  return finding(path, `unknown key ${quote(name)}`, expected, { at: 'key', nearest: nearest(name, names) });
}

/** Findings without those that say the same again: a key that is missing because it is misspelt is told once. */
export function withoutEchoes(findings: readonly Finding[]): Finding[] {
  const misspelt = findings.filter((one) => one.at === 'key' && one.nearest !== null);
  const meant = new Set(misspelt.map((one) => JSON.stringify([...one.path.slice(0, -1), one.nearest])));
  const told = new Set<string>();
  return findings.filter((one) => {
    const text = JSON.stringify([one.path, one.at, one.words]);
    if (told.has(text) || (one.nature === 'absent' && meant.has(JSON.stringify(one.path)))) return false;
    return told.add(text);
  });
}

function authored(issue: Issue | undefined): string | undefined {
  return issue === undefined || issue.message === OURS || issue.message === '' ? undefined : issue.message;
}

const TYPES: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  object: 'a block of keys',
  record: 'a block of keys',
  null: 'nothing',
};

function expectedOf(issue: Issue): string {
  switch (issue.code) {
    case 'invalid_type':
      return TYPES[issue.expected] ?? issue.expected;
    case 'too_small':
      return amount(issue.origin, issue.inclusive === false ? 'more than' : 'at least', issue.minimum);
    case 'too_big':
      return amount(issue.origin, issue.inclusive === false ? 'less than' : 'at most', issue.maximum);
    case 'not_multiple_of':
      return `a multiple of ${issue.divisor}`;
    case 'invalid_value':
      return oneOf(issue.values.map(String));
    default:
      return 'something else';
  }
}

function amount(origin: string, bound: string, limit: number | bigint): string {
  if (origin === 'string')
    return limit === 1 && bound === 'at least' ? 'text that is not empty' : `${bound} ${limit} characters`;
  if (origin === 'array' || origin === 'set') return `a list of ${bound} ${limit}`;
  return `a number of ${bound} ${limit}`;
}

/** What the author of a driver says of an option, to follow "expected". */
function describe(schema: z.ZodType | null): string {
  const text = schema?.description ?? '';
  return text.slice(0, 1).toLowerCase() + text.slice(1);
}

function withDescription(type: string, description: string): string {
  return description === '' ? type : `${type} (${description})`;
}
