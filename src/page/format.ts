/** Numbers, units and times as people read them, in the language and the units of this screen. */
import { convert, convertSize, shownIn } from './units.ts';
import { locale, WORDS } from './words.ts';

type Forecast = { readonly s: number; readonly lowS: number; readonly highS: number | null };

const numbers = new Map<string, Intl.NumberFormat>();

/** Fixed decimals as written in this region, true minus sign, no negative zero. */
export function fixed(value: number, decimals: number, grouped = false): string {
  const key = `${locale()} ${decimals} ${grouped}`;
  let format = numbers.get(key);
  if (format === undefined) {
    const digits = { minimumFractionDigits: decimals, maximumFractionDigits: decimals };
    format = new Intl.NumberFormat(locale(), { ...digits, useGrouping: grouped });
    numbers.set(key, format);
  }
  const text = format.format(Math.abs(value));
  return value < 0 && Number(Math.abs(value).toFixed(decimals)) !== 0 ? `−${text}` : text;
}

/** UCUM code to the sign on an instrument, in the unit that is liked; unknown codes stay as they are. */
export function unitSign(ucum: string): string {
  return shownIn(ucum).sign;
}

/** Decimals that show no coarser steps in the liked unit: one of a millimetre is three of an inch. */
export function decimalsIn(decimals: number, ucum: string): number {
  return Math.max(0, Math.ceil(decimals - Math.log10(shownIn(ucum).factor)));
}

/** Number and unit with a space that does not break; `decimals` as for the unit given. */
export function amount(value: number, decimals: number, ucum: string): string {
  return withUnit(convert(value, ucum), decimalsIn(decimals, ucum), ucum);
}

function withUnit(shown: number, decimals: number, ucum: string): string {
  const sign = unitSign(ucum);
  return sign === '' ? fixed(shown, decimals) : `${fixed(shown, decimals)}\u00a0${sign}`;
}

/** As many decimals as say something: three figures below 100, none above 1000. */
export function sensibly(value: number, ucum: string): string {
  const shown = convert(value, ucum);
  const size = Math.abs(shown);
  return withUnit(shown, size >= 1000 ? 0 : size >= 10 ? 1 : size >= 0.1 || size === 0 ? 2 : 3, ucum);
}

/** A share of one, in per cent. */
export function percent(share: number, decimals = 0): string {
  return `${fixed(100 * share, decimals)}\u00a0%`;
}

/** A temperature that someone chose: 50 °C, 47.5 °C. */
export function chosen(value: number, ucum: string): string {
  const shown = convert(value, ucum);
  return withUnit(shown, Math.abs(shown - Math.round(shown)) < 1e-9 ? 0 : 1, ucum);
}

/**
 * Figures of an expanded uncertainty U, and the decimals of its value: two figures where it begins with 1 or 2, else one,
 * rounded up but for an excess of less than half a hundredth (GUM 7.2.6). The bench's own words follow the same rule.
 */
export function uncertainty(U: number): { readonly decimals: number; readonly text: string } {
  if (!(U > 0) || !Number.isFinite(U)) return { decimals: 2, text: fixed(0, 2) };
  const exponent = Math.floor(Math.log10(U) + 1e-12);
  const place = exponent - (U < 2.9999999999 * 10 ** exponent ? 1 : 0);
  const decimals = Math.min(6, Math.max(0, -place));
  const step = 10 ** (place < 0 ? -decimals : place);
  const nearest = Math.round(U / step);
  return { decimals, text: fixed((nearest >= (0.995 * U) / step ? nearest : nearest + 1) * step, decimals) };
}

/** A value and its expanded uncertainty, both with the figures that the uncertainty allows in the liked unit. */
export interface Measured {
  readonly number: string;
  readonly sign: string;
  /** With the unit: 62.3 mm and 0.4 mm. */
  readonly value: string;
  readonly U: string;
}

export function measured(value: number, U: number, ucum: string): Measured {
  const { decimals, text } = uncertainty(convertSize(U, ucum));
  const number = fixed(convert(value, ucum), decimals);
  const sign = unitSign(ucum);
  return { number, sign, value: `${number}\u00a0${sign}`, U: `${text}\u00a0${sign}` };
}

/** 0:40, 12:05, 1:03:20 */
export function clock(seconds: number): string {
  const whole = Math.max(0, Math.round(seconds));
  const h = Math.floor(whole / 3600);
  const m = Math.floor((whole % 3600) / 60);
  const two = (n: number) => String(n).padStart(2, '0');
  return h > 0 ? `${h}:${two(m)}:${two(whole % 60)}` : `${m}:${two(whole % 60)}`;
}

/** Steps in which a forecast is told: finer than it is known would only flicker. */
function step(seconds: number): number {
  if (seconds < 10) return 1;
  if (seconds < 300) return 5;
  return seconds < 1200 ? 15 : 60;
}

/** The countdown: estimate and interval, the interval rounded outwards. `clock` is the estimate alone, empty when due. */
export function toGo(forecast: Forecast): { readonly about: string; readonly between: string; readonly clock: string } {
  const { s, lowS, highS } = forecast;
  if (s < 1) return { about: WORDS.toGo.now, between: '', clock: '' };
  const by = step(s);
  const estimate = clock(Math.round(s / by) * by);
  const about = WORDS.toGo.about(estimate);
  const low = clock(Math.floor(Math.max(0, lowS) / by) * by);
  if (highS === null) return { about, between: WORDS.toGo.atLeast(low), clock: estimate };
  const high = clock(Math.ceil(highS / by) * by);
  return { about, between: low === high ? '' : WORDS.toGo.between(low, high), clock: estimate };
}

/** A length of time in the largest unit that fits: 4 s, 3 min, 2 h, 5 days. */
export function span(seconds: number): string {
  const s = Math.max(0, seconds);
  if (s < 90) return WORDS.ago.seconds(fixed(s, 0));
  if (s < 5400) return WORDS.ago.minutes(fixed(s / 60, 0));
  return s < 129_600 ? WORDS.ago.hours(fixed(s / 3600, 0)) : WORDS.ago.days(fixed(s / 86_400, 0));
}

/** How long ago: "just now" below two seconds. */
export function ago(seconds: number): string {
  return seconds < 2 ? WORDS.ago.now : WORDS.ago.ago(span(seconds));
}

/** Time of day where the reader is; with the date if that is another day than `today`. */
export function timeOfDay(utc: string, today: Date): string {
  const when = new Date(utc);
  if (Number.isNaN(when.getTime())) return utc;
  const date = { year: 'numeric', month: 'short', day: 'numeric' } as const;
  const sameDay = when.toDateString() === today.toDateString();
  const time = { hour: '2-digit', minute: '2-digit', second: '2-digit' } as const;
  return new Intl.DateTimeFormat(locale(), sameDay ? time : { ...date, ...time }).format(when);
}

/** Stretches shorter than this are told with seconds, those up to a day without the day. */
const SHORT_S = 900;
const DAY_S = 86_400;

/** A moment within a stretch of `lengthS` that is looked at, as fine as it needs; `utcS` in seconds since 1970. */
export function momentIn(lengthS: number, utcS: number): string {
  const day = lengthS > DAY_S / 2 ? ({ day: 'numeric', month: 'short' } as const) : {};
  const seconds = lengthS < SHORT_S ? ({ second: '2-digit' } as const) : {};
  const form = { ...day, hour: '2-digit', minute: '2-digit', ...seconds } as const;
  return new Intl.DateTimeFormat(locale(), form).format(new Date(utcS * 1000));
}

/** A count, grouped as in this region when long. */
export function count(n: number): string {
  return fixed(n, 0, true);
}
