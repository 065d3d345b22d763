/** A climate probe in a cheese cellar, over Bluetooth LE: what it offers, and its values as a link writes them down. */
import { BleDevice, sig } from './ble-device.ts';
import type { Random } from './random.ts';
import { type SentLine, utf8, wordless } from './sent.ts';
import { wandering } from './wander.ts';

const CELLAR_C = { middle: 3, swing: 9, periodS: 90, noise: 0.04 };
const HUMIDITY = { middle: 88, swing: 9, periodS: 70, noise: 0.2 };
const PRESSURE_PA = { middle: 96_400, swing: 300, periodS: 200, noise: 3 };
const BRINE_C = { middle: 11, swing: 2, periodS: 60, noise: 0.03 };
const SALT_MM = { middle: 210, swing: 14, periodS: 50, noise: 0.3 };
/** Its own characteristic: the height of the brine in 1/8 mm, high byte first, behind a counter. */
export const BRINE_LEVEL = '6f1c0001-3d52-4c1e-9a6e-0b7d5c2f8a11';

export const CELLAR_ADDRESS = '00:00:5E:00:53:21';

/** GATT Specification Supplement: 0.01 °C, 0.01 %, 0.1 Pa, whole per cent; low byte first. */
const bytesOf = (raw: number, count: number): number[] =>
  Array.from({ length: count }, (_, at) => Math.floor((raw < 0 ? raw + 256 ** count : raw) / 256 ** at) % 256);

/** IEEE 11073-20601: the exponent in the last byte, the mantissa before it, low byte first. */
export function medfloat(mantissa: number, exponent: number): number[] {
  return [...bytesOf(mantissa, 3), ...bytesOf(exponent, 1)];
}
const NOT_A_NUMBER = [0xff, 0xff, 0x7f, 0x00];

const line = (name: string, bytes: readonly number[]): string =>
  `${name} ${bytes.map((byte) => byte.toString(16).padStart(2, '0')).join('')}\n`;
const sent = (name: string, bytes: readonly number[], values: Record<string, number>): SentLine => ({
  bytes: utf8(line(name, bytes)),
  values,
});

/** A value of one characteristic after the other, about one a second; a few say that there is no value. */
export function cellarProbe(random: Random, lines: number): readonly SentLine[] {
  return Array.from({ length: lines }, (_, tS): SentLine => {
    if (random.chance(0.02)) return wordless(line('2a6e', [0x00, 0x80]));
    if (random.chance(0.02)) return wordless(line('2a1c', [0, ...NOT_A_NUMBER]));
    switch (tS % 6) {
      case 0: {
        const raw = Math.round(wandering(HUMIDITY, tS, random) * 100);
        return sent('2a6f', bytesOf(raw, 2), { humidity: raw / 100 });
      }
      case 1: {
        const raw = Math.round(wandering(PRESSURE_PA, tS, random) * 10);
        return sent('2a6d', bytesOf(raw, 4), { air: raw / 10 });
      }
      case 2: {
        const raw = Math.round(wandering(BRINE_C, tS, random) * 10);
        return sent('2a1c', [0, ...medfloat(raw, -1)], { brine: raw / 10 });
      }
      case 3: {
        const raw = Math.round(wandering(SALT_MM, tS, random) * 8);
        return sent(BRINE_LEVEL, [tS % 256, Math.floor(raw / 256), raw % 256], { level: raw * 0.125 });
      }
      case 4: {
        const percent = Math.max(0, 97 - Math.floor(tS / 40));
        return sent('2a19', bytesOf(percent, 1), { battery: percent });
      }
      default: {
        const raw = Math.round(wandering(CELLAR_C, tS, random) * 100);
        return sent('2a6e', bytesOf(raw, 2), { temp: raw / 100 });
      }
    }
  });
}

/** The probe itself, for a simulated Bluetooth service. */
export function cellarDevice(): BleDevice {
  const notify = ['read', 'notify'];
  return new BleDevice(CELLAR_ADDRESS, { name: 'cellar probe', services: [sig('181a')] }, [
    { uuid: sig('181a'), values: ['2a6e', '2a6f', '2a6d'].map((uuid) => ({ uuid: sig(uuid), flags: notify })) },
    { uuid: sig('1809'), values: [{ uuid: sig('2a1c'), flags: ['indicate'] }] },
    { uuid: sig('180f'), values: [{ uuid: sig('2a19'), flags: ['read'], value: Uint8Array.of(97) }] },
    { uuid: BRINE_LEVEL.replace('0001', '0000'), values: [{ uuid: BRINE_LEVEL, flags: ['notify'] }] },
  ]);
}
