/**
 * Check values over bytes, bit by bit. The CRCs carry the names of the catalogue of parametrised CRC algorithms
 * (width, polynomial, initial value, reflection); none has a final XOR.
 */

interface Crc {
  readonly width: 8 | 16;
  /** In the order of the shift: reflected where `reflected`. */
  readonly polynomial: number;
  readonly initial: number;
  readonly reflected: boolean;
}

const CRCS = {
  'crc-8-smbus': { width: 8, polynomial: 0x07, initial: 0x00, reflected: false },
  'crc-8-maxim-dow': { width: 8, polynomial: 0x8c, initial: 0x00, reflected: true },
  'crc-16-modbus': { width: 16, polynomial: 0xa001, initial: 0xffff, reflected: true },
  'crc-16-ibm-3740': { width: 16, polynomial: 0x1021, initial: 0xffff, reflected: false },
  'crc-16-xmodem': { width: 16, polynomial: 0x1021, initial: 0x0000, reflected: false },
} as const satisfies Readonly<Record<string, Crc>>;

/** `sum-8` is the sum of all bytes modulo 256; `crc-16-ibm-3740` is also known as CCITT-FALSE. */
export const CHECKSUMS = [
  'xor',
  'sum-8',
  'crc-8-smbus',
  'crc-8-maxim-dow',
  'crc-16-modbus',
  'crc-16-ibm-3740',
  'crc-16-xmodem',
] as const;
export type ChecksumKind = (typeof CHECKSUMS)[number];

/** How many bytes the check value has. */
export function checksumBytes(kind: ChecksumKind): 1 | 2 {
  return kind === 'xor' || kind === 'sum-8' || CRCS[kind].width === 8 ? 1 : 2;
}

/** The check value of the bytes from `from` up to `to`. */
export function checksum(kind: ChecksumKind, bytes: Uint8Array, from = 0, to = bytes.length): number {
  if (kind !== 'xor' && kind !== 'sum-8') return crc(CRCS[kind], bytes, from, to);
  let value = 0;
  for (let i = from; i < to; i++) value = kind === 'xor' ? value ^ (bytes[i] as number) : value + (bytes[i] as number);
  return value & 0xff;
}

function crc({ width, polynomial, initial, reflected }: Crc, bytes: Uint8Array, from: number, to: number): number {
  const mask = width === 8 ? 0xff : 0xffff;
  const high = width === 8 ? 0x80 : 0x8000;
  let value: number = initial;
  for (let i = from; i < to; i++) {
    const byte = bytes[i] as number;
    value ^= reflected ? byte : byte << (width - 8);
    for (let bit = 0; bit < 8; bit++) {
      if (reflected) value = value & 1 ? (value >>> 1) ^ polynomial : value >>> 1;
      else value = value & high ? ((value << 1) ^ polynomial) & mask : (value << 1) & mask;
    }
  }
  return value;
}
