/** What an alarm says of a value, in English. */
import type { AlarmDescription } from './description.ts';

const SHOWN: Readonly<Record<string, { readonly sign: string; readonly decimals: number; readonly times?: number }>> = {
  Cel: { sign: '°C', decimals: 1 },
  mm: { sign: 'mm', decimals: 1 },
  kPa: { sign: 'kPa', decimals: 1 },
  V: { sign: 'V', decimals: 2 },
  '1': { sign: '%', decimals: 0, times: 100 },
  L: { sign: 'L', decimals: 2 },
};

/** A value in an inside unit, as people write it. A limit of finer figures than usual is told with them. */
export function amountWords(value: number, unit: string): string {
  const { sign, decimals, times = 1 } = SHOWN[unit] ?? { sign: unit, decimals: 2 };
  return `${(value * times)
    .toFixed(decimals)
    .replace(/^-(?!0(?:\.0+)?$)/, '−')
    .replace(/^-/, '')} ${sign}`;
}

export function limitWords(
  { channel, side, limit, deadband }: AlarmDescription,
  value: number,
  unit: string,
  active: boolean,
): string {
  const held = `${channel} ${amountWords(value, unit)}`;
  if (active) return `${held} is ${side} ${amountWords(limit, unit)}`;
  const back = side === 'above' ? limit - deadband : limit + deadband;
  return `${held} is ${side === 'above' ? 'down to' : 'up to'} ${amountWords(back, unit)} again`;
}
