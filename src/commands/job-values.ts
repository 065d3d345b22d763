/** Values of a job as they are typed on the command line: with their units, checked before anything is sent. */
import { readQuantity } from '../config/quantities.ts';
import { KINDS, type Kind } from '../config/units.ts';
import type { QuantityKind } from '../core/description.ts';
import type { AskedValue, MeasureDescription } from '../core/job/procedure.ts';
import { StillwellError } from '../errors.ts';

/** A quantity in the unit inside. @throws StillwellError not-understood */
export function quantityTyped(text: string, kind: Kind): number {
  const read = readQuantity(text.trim(), kind);
  if (read.ok) return read.value;
  const meant = read.nearest === null ? '' : `; did you mean ${read.nearest}?`;
  throw new StillwellError(
    'not-understood',
    text,
    `${read.words}; expected ${KINDS[kind].noun} such as "${KINDS[kind].sample}"${meant}`,
  );
}

/** A quantity, where a bare number is meant in the unit named. */
export function bareOr(text: string, kind: Kind, unit: string): number {
  return quantityTyped(/^[+\-−]?\d+(\.\d+)?$/.test(text.trim()) ? `${text.trim()} ${unit}` : text, kind);
}

/** What was typed for an entry: a quantity in the unit inside, a text, one of the choices by its words or number. */
export function entryTyped(text: string, asked: AskedValue): number | string {
  if (asked.of === 'quantity') return quantityTyped(text, asked.quantity);
  if (asked.of === 'text') return text;
  const plain = (words: string) => words.trim().toLocaleLowerCase();
  const found = asked.choices.find((one) => plain(one) === plain(text)) ?? asked.choices[Number(text) - 1];
  if (found !== undefined) return found;
  throw new StillwellError('not-understood', text, `it is one of: ${asked.choices.join(', ')}`);
}

/** An amount in the unit of the measure that fits it: the one named, else the first that shows what was typed. */
export function amountTyped(
  text: string,
  measures: readonly MeasureDescription[],
  named: string | undefined,
): { readonly amount: number; readonly measure: string } {
  const kg = readQuantity(text.trim(), 'mass');
  const unit = kg.ok ? 'kg' : 'L';
  const amount = kg.ok ? kg.value : quantityTyped(text, 'volume');
  const fits = measures.filter((one) => one.unit === unit);
  const chosen = named === undefined ? fits[0] : measures.find(({ id }) => id === named);
  if (named === undefined && chosen === undefined && measures.length === 0 && unit === 'L')
    return { amount, measure: 'hand' };
  if (chosen === undefined) {
    if (named === 'hand' && unit === 'L') return { amount, measure: 'hand' };
    const there = measures.map(({ id, unit: shows }) => `${id} (${shows})`).join(', ');
    throw new StillwellError(
      'not-understood',
      named ?? text,
      `there is ${there === '' ? 'no measure' : there}; --with names one`,
    );
  }
  if (chosen.unit !== unit)
    throw new StillwellError(
      'not-understood',
      text,
      `"${chosen.id}" shows ${chosen.unit}; name another measure --with, or type what it shows`,
    );
  return { amount, measure: chosen.id };
}

/** As a person would write it. */
export function quantityTold(value: number, quantity: QuantityKind): string {
  if (quantity === 'humidity') return `${short(100 * value)} %`;
  return `${short(value)} ${KINDS[quantity].inside}`;
}

export function short(value: number): string {
  return String(Number(value.toPrecision(4))).replace('-', '−');
}
