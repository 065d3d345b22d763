/** Numbers in bytes: whole ones, IEEE 754, and the decimal floats of IEEE 11073. */

/** Bytes of each type. */
export const WIDTHS = {
  u8: 1,
  i8: 1,
  u16: 2,
  i16: 2,
  u24: 3,
  i24: 3,
  u32: 4,
  i32: 4,
  f32: 4,
  f64: 8,
  medfloat16: 2,
  medfloat32: 4,
} as const;
export type NumberType = keyof typeof WIDTHS;
export const NUMBER_TYPES = Object.keys(WIDTHS) as [NumberType, ...NumberType[]];

export type ByteOrder = 'big' | 'little';

/** The number from byte `at` on; NaN where it is none, or where the bytes end before it does. Minus zero is zero. */
export function numberAt(bytes: Uint8Array, at: number, type: NumberType, order: ByteOrder): number {
  if (at < 0 || at + WIDTHS[type] > bytes.length) return Number.NaN;
  return READ[type](new DataView(bytes.buffer, bytes.byteOffset + at, WIDTHS[type]), order === 'little') + 0;
}

const READ: Readonly<Record<NumberType, (view: DataView, little: boolean) => number>> = {
  u8: (view) => view.getUint8(0),
  i8: (view) => view.getInt8(0),
  u16: (view, little) => view.getUint16(0, little),
  i16: (view, little) => view.getInt16(0, little),
  u24: word24,
  i24: (view, little) => signed(word24(view, little), 0x80_0000),
  u32: (view, little) => view.getUint32(0, little),
  i32: (view, little) => view.getInt32(0, little),
  f32: (view, little) => view.getFloat32(0, little),
  f64: (view, little) => view.getFloat64(0, little),
  medfloat16: (view, little) => {
    const word = view.getUint16(0, little);
    return decimalFloat(word & 0xfff, 0x800, signed(word >>> 12, 8));
  },
  medfloat32: (view, little) => {
    const word = view.getUint32(0, little);
    return decimalFloat(word & 0xff_ffff, 0x80_0000, signed(word >>> 24, 0x80));
  },
};

/**
 * IEEE 11073-20601: mantissa × 10^exponent, both in two's complement. The mantissas around the sign change stand for
 * +∞, not a number, not at this resolution, reserved and −∞; they are no numbers here, whatever their exponent.
 */
function decimalFloat(mantissa: number, half: number, exponent: number): number {
  if (mantissa >= half - 2 && mantissa <= half + 2) return Number.NaN;
  // through the decimal text, so that 364e-1 is 36.4 and not a neighbour of it
  return Number(`${signed(mantissa, half)}e${exponent}`);
}

function word24(view: DataView, little: boolean): number {
  const [low, high] = little ? [0, 2] : [2, 0];
  return view.getUint8(high) * 0x1_0000 + view.getUint8(1) * 0x100 + view.getUint8(low);
}

function signed(word: number, half: number): number {
  return word >= half ? word - 2 * half : word;
}
