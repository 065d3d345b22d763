/** How the values that the Bluetooth SIG has numbered read: GATT Specification Supplement, by their UUIDs. */
import { numberAt } from '../../src/kit/binary.ts';

/** The number in the value; 'wrong-columns' for bytes of another length, 'bad-number' where it says that there is none. */
export type Format = (value: Uint8Array) => number | 'wrong-columns' | 'bad-number';

export const FORMATS: Readonly<Record<string, { readonly unit: string; readonly read: Format }>> = {
  /** Temperature: 0.01 °C; 0x8000 is not known, and nothing lies below absolute zero. */
  '2a6e': { unit: '°C', read: hundredths('i16', -27_315) },
  /** Humidity: 0.01 %; 0xFFFF is not known, above 100 % nothing lies. */
  '2a6f': { unit: '%', read: hundredths('u16', 0, 10_000) },
  /** Pressure: 0.1 Pa. */
  '2a6d': {
    unit: 'Pa',
    read: (value) => (value.length === 4 ? numberAt(value, 0, 'u32', 'little') / 10 : 'wrong-columns'),
  },
  /** Battery level: 0 to 100 %, the others are reserved. */
  '2a19': {
    unit: '%',
    read(value) {
      if (value.length !== 1) return 'wrong-columns';
      const percent = numberAt(value, 0, 'u8', 'little');
      return percent <= 100 ? percent : 'bad-number';
    },
  },
  /** Temperature of a health thermometer, measured and on the way to it. */
  '2a1c': { unit: '°C', read: thermometer },
  '2a1e': { unit: '°C', read: thermometer },
};

function hundredths(type: 'i16' | 'u16', least: number, most = Number.POSITIVE_INFINITY): Format {
  return (value) => {
    if (value.length !== 2) return 'wrong-columns';
    const raw = numberAt(value, 0, type, 'little');
    return raw >= least && raw <= most ? raw / 100 : 'bad-number';
  };
}

const FAHRENHEIT = 1;
const TIME = 2;
const TYPE = 4;

/** Flags, an IEEE 11073 float, and a time (7 bytes) and a type (1 byte) where the flags say so. */
function thermometer(value: Uint8Array): ReturnType<Format> {
  const flags = numberAt(value, 0, 'u8', 'little');
  const length = 5 + (flags & TIME ? 7 : 0) + (flags & TYPE ? 1 : 0);
  if (value.length !== length) return 'wrong-columns';
  const degrees = numberAt(value, 1, 'medfloat32', 'little');
  if (!Number.isFinite(degrees)) return 'bad-number';
  return flags & FAHRENHEIT ? (degrees - 32) / 1.8 : degrees;
}
