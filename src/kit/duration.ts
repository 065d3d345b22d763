/** Times as they stand in a bench file: a number, a blank, a unit. */

const UNITS_US: Readonly<Record<string, number>> = { us: 1, µs: 1, ms: 1000, s: 1_000_000, min: 60_000_000 };

/** "300 ms" or "1.5 s" as whole µs; null where the text is no time. No sign, no exponent, no decimal comma. */
export function durationUs(text: string): number | null {
  const [, number, unit] = /^(\d{1,9}(?:\.\d{1,6})?) +([a-zµ]{1,3})$/.exec(text) ?? [];
  if (number === undefined || unit === undefined || !Object.hasOwn(UNITS_US, unit)) return null;
  return Math.round(Number(number) * (UNITS_US[unit] as number));
}
