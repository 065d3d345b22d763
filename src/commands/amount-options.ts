/** Amounts as they are typed on the command line. */
import type { ResponsePrior } from '../core/dosing/response.ts';
import type { DoneDose } from './dose.ts';

const NUMBER = /^[+-]?\d{1,6}(\.\d{1,6})?$/;

/** "4.1@62": an amount and its temperature, °C; null where it is none. */
export function amountAt(text: string): { readonly amount: number; readonly tC: number } | null {
  const [amount, tC, more] = text.replaceAll('−', '-').split('@');
  if (more !== undefined || amount === undefined || tC === undefined) return null;
  if (!NUMBER.test(amount) || !NUMBER.test(tC) || Number(amount) < 0) return null;
  return { amount: Number(amount), tC: Number(tC) };
}

/** "-0.4,64.0,61.2": poured in above 0, drained below, level before and after; null where it is none. */
export function doneDose(text: string): DoneDose | null {
  const [amount, beforeMm, afterMm, more] = numbers(text);
  if (more !== undefined || amount === undefined || beforeMm === undefined || afterMm === undefined) return null;
  return amount === 0 ? null : { amount, beforeMm, afterMm };
}

/** "9.5,1.2": mm per litre and its spread; null where it is none. */
export function priorTyped(text: string): ResponsePrior | null {
  const [mmPerLitre, spread, more] = numbers(text);
  if (more !== undefined || mmPerLitre === undefined || spread === undefined) return null;
  return mmPerLitre > 0 && spread > 0 ? { mmPerLitre, spread } : null;
}

function numbers(text: string): number[] {
  const parts = text.replaceAll('−', '-').split(',');
  return parts.every((part) => NUMBER.test(part)) ? parts.map(Number) : [];
}
