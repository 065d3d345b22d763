/**
 * Sensor Measurement Lists in JSON, RFC 8428: one array of records. The first one carries the base name and the base time;
 * a name is base name + name, a time is base time + time, seconds since 1970. Values stand in the primary units of the RFC.
 */
import type { QuantityKind } from '../core/description.ts';

/** One value in the channel's inside unit. */
export interface SenmlValue {
  readonly name: string;
  readonly unit: string;
  readonly value: number;
  readonly utcMs: number;
}

/** Primary units of RFC 8428 section 12.1 for what channels measure, as powers of ten of the unit inside. */
export const SENML_UNITS: Readonly<Record<QuantityKind, { readonly unit: string; readonly tens: number }>> = {
  temperature: { unit: 'Cel', tens: 0 },
  length: { unit: 'm', tens: -3 },
  pressure: { unit: 'Pa', tens: 3 },
  voltage: { unit: 'V', tens: 0 },
  humidity: { unit: '%RH', tens: 2 },
  volume: { unit: 'm3', tens: -3 },
};

/** Moves the decimal point, and nothing else: 63.4 mm are 0.0634 m to the last bit. */
export function shifted(value: number, tens: number): number {
  const [figures = '0', exponent = '0'] = String(value).split('e');
  return Number(`${figures}e${Number(exponent) + tens}`);
}

/** A name that RFC 8428 section 4.5.1 allows; two different ids never give the same one. */
export function senmlName(id: string): string {
  return [...new TextEncoder().encode(id)]
    .map((byte) => {
      const sign = String.fromCharCode(byte);
      return /[A-Za-z0-9.:-]/.test(sign) ? sign : `_${byte.toString(16).padStart(2, '0')}`;
    })
    .join('');
}

/** The text of one array, piece by piece; nothing at all without a value. `baseName` begins with a letter or a digit. */
export function* senmlText(baseName: string, values: Iterable<SenmlValue>): Generator<string> {
  let baseS: number | null = null;
  for (const { name, unit, value, utcMs } of values) {
    const first = baseS === null;
    baseS ??= Math.floor(utcMs / 1000);
    // A µs is the finest that a time of this century in seconds can hold.
    const t = Math.round((utcMs - baseS * 1000) * 1000) / 1e6;
    const head = first ? { bn: baseName, bt: baseS } : {};
    yield `${first ? '[' : ',\n'}${JSON.stringify({ ...head, n: name, u: unit, t, v: value })}`;
  }
  // An array without a record is no SenML.
  if (baseS !== null) yield ']\n';
}
