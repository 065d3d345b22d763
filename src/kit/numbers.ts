/** Longest text taken for a number; real instruments print far less. */
const LONGEST = 32;

/** What stands before the decimals. The other one is no part of a number. */
export const DECIMALS = ['point', 'comma'] as const;
export type Decimal = (typeof DECIMALS)[number];

const isDigit = (code: number): boolean => code >= 48 && code <= 57;

/**
 * Where a number that starts at `from` ends, or `from` itself if there is none.
 * Grammar: [+-] digits [. digits], or with a comma where the bench says so. No exponent, no hexadecimal, no bare point,
 * no blank, no marks between thousands.
 */
export function numberEnd(text: string, from: number, decimal: Decimal = 'point'): number {
  let at = from;
  const sign = text.charCodeAt(at);
  if (sign === 43 || sign === 45) at++;
  const whole = at;
  while (at - from < LONGEST && isDigit(text.charCodeAt(at))) at++;
  if (at === whole) return from;
  if (text.charCodeAt(at) === (decimal === 'comma' ? 44 : 46) && isDigit(text.charCodeAt(at + 1))) {
    at++;
    while (at - from < LONGEST && isDigit(text.charCodeAt(at))) at++;
  }
  return isDigit(text.charCodeAt(at)) ? from : at;
}

/** The value of a text that `numberEnd` took for a number. Minus zero is zero. */
export function numberOf(text: string, decimal: Decimal = 'point'): number {
  return Number(decimal === 'comma' ? text.replace(',', '.') : text) + 0;
}

/** The number that the whole text is, or null. What Number() would make of '', '0x1F' or '1e999' is no number here. */
export function strictNumber(text: string, decimal: Decimal = 'point'): number | null {
  return text.length > 0 && numberEnd(text, 0, decimal) === text.length ? numberOf(text, decimal) : null;
}
