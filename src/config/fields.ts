/** The building blocks of the bench file's schema: a key with its documentation, a quantity, a span, a unit. */
import { z } from 'zod';
import { show } from './mistake.ts';
import { readNumber, readQuantity, readSpan, readUnit, type Span, type Understood } from './quantities.ts';
import { KINDS, type Kind, type Unit } from './units.ts';

/** What the reference says of a key; its default is read from the schema. */
export interface KeyDoc {
  readonly meaning: string;
  /** What may stand there, in words that also follow "expected". */
  readonly form: string;
  readonly example: string;
  /** What holds when an optional key without a default is left out. */
  readonly otherwise?: string;
}

export const CONTROL = /\p{Cc}/u;

/** Some text of one line, not blank. */
export function text(most: number): z.ZodType<string> {
  return z
    .string()
    .min(1)
    .max(most)
    .refine((value) => value.trim() !== '' && !CONTROL.test(value));
}

export const KEY_DOCS = z.registry<KeyDoc>();

export function key<S extends z.ZodType>(schema: S, doc: KeyDoc): S {
  KEY_DOCS.add(schema, doc);
  return schema;
}

/** Bounds as quantities, so that they are told as they are written: "1 ms". */
export interface Limits {
  readonly above?: string;
  readonly from?: string;
  readonly to?: string;
}

/** A quantity with a unit, in the unit inside. Where the kind cannot be told yet, any of several will do. */
export function quantity(kinds: Kind | readonly Kind[], limits: Limits = {}, sample?: string): z.ZodType<number> {
  const list = typeof kinds === 'string' ? [kinds] : kinds;
  const expected = `${list.map((kind) => KINDS[kind].noun).join(' or ')}${limitWords(limits)} such as "${sample ?? KINDS[list[0] as Kind].sample}"`;
  return understood(expected, (text) => {
    const tries = list.map((kind) => ({ kind, read: readQuantity(text, kind) }));
    const { kind, read } = (tries.find((one) => one.read.ok) ?? tries[0]) as (typeof tries)[number];
    if (!read.ok) return read;
    const side = outside(read.value, kind, limits);
    return side === null ? read : { ok: false, words: `${show(text)} is ${side}`, nearest: null };
  });
}

/** "46 °C to 54 °C". */
export function span(kinds: Kind | readonly Kind[], sample: string): z.ZodType<Span> {
  const list = typeof kinds === 'string' ? [kinds] : kinds;
  return understood(`a span such as "${sample}"`, (text) => {
    const tries = list.map((kind) => readSpan(text, kind));
    return (tries.find((one) => one.ok) ?? tries[0]) as Understood<Span>;
  });
}

/** A number with its kind, in the unit inside of that kind. */
export interface Measured {
  readonly kind: Kind;
  readonly value: number;
}

/** A quantity of one of several kinds, which the unit tells. */
export function measured(kinds: readonly Kind[], sample: string): z.ZodType<Measured> {
  return understood(`${kinds.map((kind) => KINDS[kind].noun).join(' or ')} such as "${sample}"`, (text) => {
    const tries = kinds.map((kind) => ({ kind, read: readQuantity(text, kind) }));
    const { kind, read } = (tries.find((one) => one.read.ok) ?? tries[0]) as (typeof tries)[number];
    return read.ok ? { ok: true, value: { kind, value: read.value } } : read;
  });
}

/** A quantity, or the name of a channel that measures it. */
export function stated(kind: Kind, sample: string): z.ZodType<number | string> {
  return understood(
    `${KINDS[kind].noun} such as "${sample}", or the name of a channel`,
    (text): Understood<number | string> => {
      if (/^[a-z][a-z0-9-]*$/.test(text)) return { ok: true, value: text };
      return readQuantity(text, kind);
    },
  );
}

/** One of a few words. */
export function word<const W extends string>(...words: readonly W[]): z.ZodType<W> {
  return z.enum(words as readonly [W, ...W[]]);
}

/** A unit of one of these kinds. */
export function unit(kinds: readonly Kind[]): z.ZodType<Unit> {
  const forms = kinds.flatMap((kind) => KINDS[kind].units.slice(0, kinds.length > 2 ? 3 : undefined));
  return understood(`a unit such as ${forms.map((form) => `"${form}"`).join(', ')}`, (text) => readUnit(text, kinds));
}

/** A decimal number in the strict grammar, in quotes or not. */
export function decimal(expected: string, fits: (value: number) => boolean): z.ZodType<number> {
  return understood(expected, (text) => {
    const value = readNumber(text.trim());
    if (value === null) return { ok: false, words: `${show(text)} is no plain number`, nearest: null };
    return fits(value) ? { ok: true, value } : { ok: false, words: `${text.trim()} does not fit here`, nearest: null };
  });
}

/** A whole number between bounds, both included. */
export function whole(from: number, to: number, sample: string): z.ZodType<number> {
  const fits = (value: number): boolean => Number.isInteger(value) && value >= from && value <= to;
  return decimal(`a whole number from ${from} to ${to} such as ${sample}`, fits);
}

/** Text that a function understands; says what was expected when it does not. */
export function understood<T>(expected: string, read: (text: string) => Understood<T>): z.ZodType<T> {
  return z.unknown().transform((value, context): T => {
    // A missing key, an empty one and other types are told by their type (see issues.ts).
    const result = typeof value === 'string' ? read(value) : typeof value === 'number' ? read(String(value)) : null;
    if (result?.ok === true) return result.value;
    const words = result === null ? undefined : result.words;
    context.issues.push({
      code: 'custom',
      input: value,
      message: words ?? '',
      params: { expected, nearest: result?.nearest ?? null, byType: words === undefined },
    });
    return z.NEVER;
  });
}

function outside(value: number, kind: Kind, limits: Limits): string | null {
  if (limits.above !== undefined && value <= bound(limits.above, kind)) return 'too small';
  if (limits.from !== undefined && value < bound(limits.from, kind)) return 'too small';
  if (limits.to !== undefined && value > bound(limits.to, kind)) return 'too large';
  return null;
}

function bound(text: string, kind: Kind): number {
  const read = readQuantity(text, kind);
  if (!read.ok) throw new TypeError(`limit ${text}: ${read.words}`);
  return read.value;
}

function limitWords({ above, from, to }: Limits): string {
  const words = [
    above === undefined ? '' : ` above ${above}`,
    from === undefined ? '' : ` from ${from}`,
    to === undefined ? '' : ` ${from === undefined ? 'up ' : ''}to ${to}`,
  ];
  return words.join('');
}
