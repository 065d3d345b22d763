/** Numbers as a record tells them. */
import { plain } from '../core/uncertainty/rounding.ts';

const SIGNS: Readonly<Record<string, string>> = { Cel: '°C', '1': '', 'Cel/min': 'K/min', us: 'µs', 'm/s': 'm/s' };

/** UCUM code to the sign that people write. */
export function unitSign(ucum: string): string {
  return SIGNS[ucum] ?? ucum;
}

/** Three figures, a true minus sign, no exponent within reason: 0.0412, 12.3, −870. */
export function figures(value: number, count = 3): string {
  if (value === 0 || !Number.isFinite(value)) return value === 0 ? '0' : String(value);
  const size = Math.abs(value);
  if (size < 1e-6 || size >= 1e9) return value.toExponential(count - 1).replaceAll('-', '−');
  const decimals = Math.min(12, Math.max(0, count - 1 - Math.floor(Math.log10(size))));
  return plain(value, decimals);
}

/** As many figures as a setting was given with. */
export function setting(value: number): string {
  const text = String(Number(value.toPrecision(9)));
  return text.startsWith('-') ? `−${text.slice(1)}` : text;
}

/** As it was stated where that is short, else three figures. */
export function stated(value: number): string {
  const text = setting(value);
  return text.length <= 7 ? text : figures(value);
}

/** Number and unit with a space that does not break. */
export function amount(text: string, unit: string): string {
  const sign = unitSign(unit);
  return sign === '' ? text : `${text}\u00a0${sign}`;
}
