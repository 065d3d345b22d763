/** Numbers, units and times as people read them. Pure: the same value gives the same text, in any browser. */
import { WORDS } from './words.ts';

type Forecast = { readonly s: number; readonly lowS: number; readonly highS: number | null };

const UNITS: Readonly<Record<string, string>> = {
  Cel: '°C',
  '1': '',
  '%': '%',
  'mm/min': 'mm/min',
  'Cel/min': 'K/min',
};

/** UCUM code to the sign on an instrument; unknown codes stay as they are. */
export function unitSign(ucum: string): string {
  return UNITS[ucum] ?? ucum;
}

/** Fixed decimals, true minus sign, no negative zero. */
export function fixed(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

/** Number and unit with a space that does not break. */
export function amount(value: number, decimals: number, ucum: string): string {
  const sign = unitSign(ucum);
  return sign === '' ? fixed(value, decimals) : `${fixed(value, decimals)}\u00a0${sign}`;
}

/** As many decimals as say something: three figures below 100, none above 1000. */
export function sensibly(value: number, ucum: string): string {
  const size = Math.abs(value);
  return amount(value, size >= 1000 ? 0 : size >= 10 ? 1 : size >= 0.1 || size === 0 ? 2 : 3, ucum);
}

/** A temperature that someone chose: 50 °C, 47.5 °C. */
export function chosen(value: number, ucum: string): string {
  return amount(value, Number.isInteger(value) ? 0 : 1, ucum);
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
  return { decimals, text: ((nearest >= (0.995 * U) / step ? nearest : nearest + 1) * step).toFixed(decimals) };
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

/** The countdown: estimate and interval, the interval rounded outwards. */
export function toGo(forecast: Forecast): { readonly about: string; readonly between: string } {
  const { s, lowS, highS } = forecast;
  if (s < 1) return { about: WORDS.toGo.now, between: '' };
  const by = step(s);
  const about = WORDS.toGo.about(clock(Math.round(s / by) * by));
  const low = clock(Math.floor(Math.max(0, lowS) / by) * by);
  if (highS === null) return { about, between: WORDS.toGo.atLeast(low) };
  const high = clock(Math.ceil(highS / by) * by);
  return { about, between: low === high ? '' : WORDS.toGo.between(low, high) };
}

/** A length of time in the largest unit that fits: 4 s, 3 min, 2 h, 5 days. */
export function span(seconds: number): string {
  const s = Math.max(0, seconds);
  if (s < 90) return WORDS.ago.seconds(Math.round(s));
  if (s < 5400) return WORDS.ago.minutes(Math.round(s / 60));
  return s < 129_600 ? WORDS.ago.hours(Math.round(s / 3600)) : WORDS.ago.days(Math.round(s / 86_400));
}

/** How long ago: "just now" below two seconds. */
export function ago(seconds: number): string {
  return seconds < 2 ? WORDS.ago.now : WORDS.ago.ago(span(seconds));
}

/** Time of day where the reader is; with the date if that is another day than `today`. */
export function timeOfDay(utc: string, today: Date): string {
  const when = new Date(utc);
  if (Number.isNaN(when.getTime())) return utc;
  const two = (n: number) => String(n).padStart(2, '0');
  const time = `${two(when.getHours())}:${two(when.getMinutes())}:${two(when.getSeconds())}`;
  if (when.toDateString() === today.toDateString()) return time;
  return `${when.getFullYear()}-${two(when.getMonth() + 1)}-${two(when.getDate())} ${time}`;
}

/** 12 345 with a thin space, so that long counts can be read. */
export function count(n: number): string {
  return String(n).replace(/\B(?=(\d{3})+$)/g, '\u202f');
}
