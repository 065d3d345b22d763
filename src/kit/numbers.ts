/** Longest text taken for a number; real instruments print far less. */
const LONGEST = 32;

const isDigit = (code: number): boolean => code >= 48 && code <= 57;

/**
 * Where a number that starts at `from` ends, or `from` itself if there is none.
 * Grammar: [+-] digits [. digits]. No exponent, no hexadecimal, no bare point, no blank, no comma.
 */
export function numberEnd(text: string, from: number): number {
  let at = from;
  const sign = text.charCodeAt(at);
  if (sign === 43 || sign === 45) at++;
  const whole = at;
  while (at - from < LONGEST && isDigit(text.charCodeAt(at))) at++;
  if (at === whole) return from;
  if (text.charCodeAt(at) === 46 && isDigit(text.charCodeAt(at + 1))) {
    at++;
    while (at - from < LONGEST && isDigit(text.charCodeAt(at))) at++;
  }
  return isDigit(text.charCodeAt(at)) ? from : at;
}

/** The number that the whole text is, or null. What Number() would make of '', '0x1F' or '1e999' is no number here. */
export function strictNumber(text: string): number | null {
  return text.length > 0 && numberEnd(text, 0) === text.length ? Number(text) + 0 : null;
}
