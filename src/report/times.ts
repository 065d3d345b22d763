/** Times as a record tells them: UTC, and where the bench stood. */

/** 2031-03-04T09:00:01.234500Z, to the microsecond; empty for what has no date. */
export function isoUtc(utcMs: number): string {
  if (!(utcMs > 0)) return '';
  const us = Math.round(utcMs * 1000);
  const seconds = new Date(Math.floor(us / 1e6) * 1000).toISOString().slice(0, 19);
  return `${seconds}.${String(us % 1e6).padStart(6, '0')}Z`;
}

/** 2031-03-04 09:00:01 */
export function utcText(utcMs: number): string {
  return utcMs > 0 ? new Date(utcMs).toISOString().slice(0, 19).replace('T', ' ') : 'no date';
}

export interface Zone {
  /** IANA name. */
  readonly name: string;
  /** Minutes east of UTC, where the name is not known here. */
  readonly offsetMin: number;
}

const FIELDS = {
  year: 'numeric',
  month: '2-digit',
  day: '2-digit',
  hour: '2-digit',
  minute: '2-digit',
  second: '2-digit',
  hourCycle: 'h23',
} as const;

/** Local time as 2031-03-04 10:00:01; a zone that this computer does not know counts by its offset. */
export function localText(utcMs: number, zone: Zone): string {
  if (!(utcMs > 0)) return 'no date';
  let format: Intl.DateTimeFormat;
  try {
    format = formatOf(zone.name);
  } catch {
    return utcText(utcMs + zone.offsetMin * 60_000);
  }
  const part = Object.fromEntries(format.formatToParts(utcMs).map(({ type, value }) => [type, value]));
  return `${part.year}-${part.month}-${part.day} ${part.hour}:${part.minute}:${part.second}`;
}

const formats = new Map<string, Intl.DateTimeFormat>();

function formatOf(zone: string): Intl.DateTimeFormat {
  const known = formats.get(zone) ?? new Intl.DateTimeFormat('en-GB', { ...FIELDS, timeZone: zone });
  formats.set(zone, known);
  return known;
}

/** 1:03:20 or 3:20 */
export function spanText(ms: number): string {
  const s = Math.max(0, Math.round(ms / 1000));
  const two = (n: number) => String(n).padStart(2, '0');
  const [h, m] = [Math.floor(s / 3600), Math.floor((s % 3600) / 60)];
  return h > 0 ? `${h}:${two(m)}:${two(s % 60)} h` : `${m}:${two(s % 60)} min`;
}
