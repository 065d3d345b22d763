/** What stands in a CSV of another logger, read strictly: what could mean two things is refused in words, or noted. */

export class CsvFault extends Error {}

/** Seconds beyond this are the year 5138: they are milliseconds since 1970. */
const MOST_S = 1e11;
const NUMBER = /^[+-]?\d+(\.\d+)?(e[+-]?\d+)?$/i;
const WITH_COMMA = /^[+-]?\d[\d.]*,\d+$/;
const ISO = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d(?::\d\d(?:\.\d+)?)?) ?(Z|[+-]\d\d:?\d\d)?$/i;

export const NO_ZONE = 'the times carry no zone: they are taken as UTC';

/**
 * Seconds; since 1970 for an ISO 8601 instant.
 * @param note called where something was assumed
 */
export function readTime(text: string, where: string, note: (words: string) => void): number {
  if (NUMBER.test(text)) {
    if (Math.abs(Number(text)) < MOST_S) return Number(text);
    throw new CsvFault(
      `${where}: ${text} is too large for seconds. If it is milliseconds since 1970, divide the column by 1000.`,
    );
  }
  if (WITH_COMMA.test(text)) throw new CsvFault(commaWords(where, text));
  const [, day, time, zone] = ISO.exec(text) ?? [];
  const ms = day === undefined ? Number.NaN : Date.parse(`${day}T${time}${zone?.toUpperCase() ?? 'Z'}`);
  if (Number.isNaN(ms)) throw new CsvFault(`${where}: "${text}" is no time in seconds or ISO 8601`);
  if (zone === undefined) note(NO_ZONE);
  return ms / 1000;
}

/** A value as it stands; what is no number at all is left to be counted, a decimal comma is not. */
export function checkedValue(text: string, where: string): string {
  if (WITH_COMMA.test(text)) throw new CsvFault(commaWords(where, text));
  return text;
}

function commaWords(where: string, text: string): string {
  return `${where}: "${text}" has a comma in the number. Write decimal points, and nothing between thousands.`;
}

/** Throws where a column that counts stands twice, or where something else than a comma stands between the columns. */
export function checkHeader(header: readonly string[], used: readonly string[]): void {
  const between = header.length === 1 ? /[;\t|]/.exec(header[0] ?? '')?.[0] : undefined;
  if (between !== undefined) {
    const name = between === '\t' ? 'a tab' : `"${between}"`;
    throw new CsvFault(`${name} stands between the columns; a comma is expected, and a decimal point in numbers`);
  }
  const twice = used.filter((name) => header.indexOf(name) !== header.lastIndexOf(name));
  if (twice.length > 0)
    throw new CsvFault(
      `the column "${twice[0]}" stands there more than once: rename or remove all but the one that counts`,
    );
}
