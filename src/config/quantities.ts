/**
 * Quantities as people write them: a number with a unit, "0.5 s", "46 °C to 54 °C". The number grammar is strict: digits,
 * a decimal point, an exponent. What is understood comes back in the unit inside (see units.ts).
 */
import { numberEnd, strictNumber } from '../kit/numbers.ts';
import { nearest, quote } from './mistake.ts';
import { KINDS, type Kind, parseUnit, toInside, type Unit, unitFits } from './units.ts';

export type Understood<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly words: string; readonly nearest: string | null };

export interface Span {
  readonly low: number;
  readonly high: number;
}

/** What a number cannot go on with: "12,5", "1 000", "0x1F", "1.2.3", "1e5". */
const GOES_ON = /^(?:[\d.,'_]|[xX][\da-fA-F]|[oO][0-7]|[bB][01]|[eE][+-]?\d)/;

/** Longer than any quantity: no time is spent on it. */
const LONGEST = 80;

/** How units are also written, without blanks and in small letters. */
const WRONG_UNITS = new Map(
  Object.entries({
    '°C': 'c celsius degc centigrade degrees',
    '°F': 'f fahrenheit degf',
    K: 'kelvin kelvins °k degk',
    s: 'sec secs second seconds',
    min: 'mins minute minutes',
    h: 'hr hrs hour hours',
    ms: 'msec msecs millisecond milliseconds',
    µs: 'usec usecs microsecond microseconds',
    mm: 'millimeter millimeters millimetre millimetres',
    cm: 'centimeter centimeters centimetre centimetres',
    m: 'meter meters metre metres',
    µm: 'micron microns micrometer micrometers micrometre micrometres',
    in: 'inch inches',
    ft: 'foot feet',
  }).flatMap(([right, wrong]) => wrong.split(' ').map((form) => [form, right] as const)),
);

/** A number in the grammar of the house, [+-] digits [. digits], also with a typographic minus; else null. */
export function readNumber(text: string): number | null {
  return strictNumber(text.replace(/^−/, '-'));
}

/** One quantity in the unit inside of its kind. */
export function readQuantity(text: string, kind: Kind): Understood<number> {
  if (text.length > LONGEST) return tooLong(text);
  const [digits, unitText] = split(text);
  const number = readNumber(digits);
  if (number === null || GOES_ON.test(unitText)) return noNumber(text);
  if (unitText === '') return { ok: false, words: `${quote(text)} has no unit`, nearest: null };
  const unit = readUnit(unitText, [kind]);
  if (!unit.ok) return unit;
  const value = toInside(number, unit.value, kind);
  if (kind === 'temperature' && value < -273.15) {
    return { ok: false, words: `${quote(text)} is below absolute zero`, nearest: null };
  }
  return { ok: true, value };
}

/** Two quantities with "to" between them, the lower first. The unit may stand once, at the end. */
export function readSpan(text: string, kind: Kind): Understood<Span> {
  if (text.length > LONGEST) return tooLong(text);
  const [first, second, ...more] = text.split(/\s+to\s+/u).map((part) => part.trim());
  if (first === undefined || second === undefined || more.length > 0) {
    return { ok: false, words: `${quote(text)} is no span`, nearest: spanMeant(text) };
  }
  const low = readQuantity(readNumber(first) === null ? first : `${first} ${split(second)[1]}`, kind);
  if (!low.ok) return low;
  const high = readQuantity(second, kind);
  if (!high.ok) return high;
  if (low.value < high.value) return { ok: true, value: { low: low.value, high: high.value } };
  if (low.value === high.value) return { ok: false, words: `${quote(text)} has no width`, nearest: null };
  return { ok: false, words: `${quote(text)} runs from high to low`, nearest: `${second} to ${first}` };
}

/** A unit that fits one of the kinds. */
export function readUnit(text: string, kinds: readonly Kind[]): Understood<Unit> {
  if (text.length > LONGEST) return tooLong(text);
  const unit = parseUnit(text.trim());
  if (unit === null) return { ok: false, words: `unknown unit ${quote(text)}`, nearest: unitMeant(text, kinds) };
  if (kinds.some((kind) => unitFits(unit, kind))) return { ok: true, value: unit };
  const is = (Object.keys(KINDS) as Kind[]).find((kind) => unitFits(unit, kind));
  return {
    ok: false,
    words: `${quote(text)} is a unit of ${is === undefined ? 'something else' : KINDS[is].noun.replace(/^an? /, '')}`,
    nearest: null,
  };
}

function unitMeant(text: string, kinds: readonly Kind[]): string | null {
  const offered = kinds.flatMap((kind) => [...KINDS[kind].units]);
  const meant = text
    .split('/')
    .map((part) => WRONG_UNITS.get(part.replace(/\s/g, '').toLowerCase()) ?? part.trim())
    .join('/');
  const unit = parseUnit(meant);
  if (unit !== null && kinds.some((kind) => unitFits(unit, kind))) return meant;
  return nearest(meant, offered);
}

function tooLong(text: string): { ok: false; words: string; nearest: null } {
  return { ok: false, words: `${quote(text)} is too long`, nearest: null };
}

function noNumber(text: string): { ok: false; words: string; nearest: string | null } {
  return { ok: false, words: `${quote(text)} does not begin with a plain number`, nearest: numberMeant(text.trim()) };
}

/** Mends what is often meant: a decimal comma, a bare decimal point, blanks between thousands, a plus-minus sign. */
function numberMeant(text: string): string | null {
  const mended = text
    .replace(/^(?:±|\+\/-|~|≈)\s*/u, '')
    .replace(/^([+−-]?)\./u, '$10.')
    .replace(/^([+−-]?\d+),(\d+)(?![\d,])/u, '$1.$2')
    .replace(/^([+−-]?\d+)\.(?=\s|\p{L}|$)/u, '$1')
    .replace(
      /^([+−-]?\d{1,3})((?:[ _'’\u00a0\u2009\u202f]\d{3})+)(?!\d)/u,
      (_, head: string, tail: string) => head + tail.replace(/\D/g, ''),
    );
  const [digits, rest] = split(mended);
  return mended !== text && digits !== '' && !GOES_ON.test(rest) ? mended : null;
}

function spanMeant(text: string): string | null {
  const parts =
    /^([+−-]?\d+(?:\.\d+)?)\s*([^\d\s]*?)\s*(?:-|–|—|…|\.\.+|~|,|;|and|until)\s*([+−-]?\d+(?:\.\d+)?)\s*(\S+)$/u.exec(
      text.trim(),
    );
  if (parts === null) return null;
  const [, low, lowUnit, high, unit] = parts;
  return `${low} ${lowUnit === '' ? unit : lowUnit} to ${high} ${unit}`;
}

/** The number at the beginning, and what follows it without the blanks between. */
function split(text: string): [number: string, rest: string] {
  const trimmed = text.trim();
  const end = numberEnd(trimmed.replace(/^−/, '-'), 0);
  return [trimmed.slice(0, end), trimmed.slice(end).trim()];
}
