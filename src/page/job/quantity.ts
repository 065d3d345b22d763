/** What is typed: numbers as people write them, in the units that this screen likes, back into the units of the bench. */
import { amount, fixed, unitSign } from '../format.ts';
import { convert, shownIn } from '../units.ts';
import type { Measure, Quantity } from './progress.ts';

/** UCUM unit in which the bench keeps each quantity. */
export const UNIT_OF: Readonly<Record<Quantity, string>> = {
  temperature: 'Cel',
  length: 'mm',
  pressure: 'kPa',
  voltage: 'V',
  humidity: '1',
  volume: 'L',
};

/** A comma is a decimal point as well; null for what is no number. */
export function numberIn(text: string): number | null {
  const plain = text.trim().replace('−', '-').replace(',', '.');
  return /^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** What was typed in the unit shown, in the unit of the bench; free of the dust of two conversions. */
export function inside(shown: number, ucum: string): number {
  const { factor, offset } = shownIn(ucum);
  return factor === 1 && offset === 0 ? shown : Number(((shown - offset) / factor).toPrecision(9));
}

/** A value of the bench as somebody would type it. */
export function typed(value: number, ucum: string, decimals: number): string {
  return fixed(convert(value, ucum), decimals);
}

/** Figures that tell steps of this size apart: 0.05 L has two. */
export function decimalsOf(step: number): number {
  return Math.min(4, (String(Number(step.toPrecision(3))).split('.')[1] ?? '').length);
}

/** An amount as its measure shows it. */
export function measuredAmount(value: number, unit: string, step = 0.01): string {
  return amount(value, Math.max(2, decimalsOf(step)), unit);
}

/** A value for a quantity, with as many figures as it was given. */
export function quantityWords(value: number, quantity: Quantity): string {
  const ucum = UNIT_OF[quantity];
  const shown = convert(value, ucum);
  const decimals = Math.min(3, decimalsOf(Number(shown.toPrecision(5))));
  const sign = unitSign(ucum);
  return sign === '' ? fixed(shown, decimals) : `${fixed(shown, decimals)}\u00a0${sign}`;
}

export function stepOf(measures: readonly Measure[], id: string): number {
  return measures.find((one) => one.id === id)?.step ?? 0.01;
}

export function decimalSign(): string {
  return fixed(1.5, 1).charAt(1);
}
