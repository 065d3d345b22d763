/** How the data of an answer become numbers. */
import type { Decoded } from '../../src/kit/driver.ts';
import { readsBits } from '../../src/kit/modbus-pdu.ts';
import { type Field, REGISTERS } from './options.ts';
import type { Block, Place } from './plan.ts';

export function valuesOf({ fn, signals }: Block, data: Uint8Array): Decoded[] {
  return signals.map(({ name, offset, field }: Place): Decoded => {
    const value = readsBits(fn) ? bitOf(data[offset >> 3] ?? 0, offset & 7) : registerValue(data, offset, field);
    return Number.isFinite(value)
      ? { kind: 'signal', signal: name, value: value * field.scale + 0 }
      : { kind: 'discarded', reason: 'bad-number' };
  });
}

function registerValue(data: Uint8Array, offset: number, { type, words, bytes, bit }: Field): number {
  const registers = REGISTERS[type];
  const own = data.slice(2 * offset, 2 * (offset + registers));
  // in the order of the specification: most significant register first, most significant byte first
  const high = words === 'big' || registers === 1 ? own : Uint8Array.of(...own.subarray(2), ...own.subarray(0, 2));
  const proper = bytes === 'big' ? high : high.map((_, at) => high[at ^ 1] as number);
  const view = new DataView(proper.buffer, proper.byteOffset, proper.length);
  if (bit !== undefined) return bitOf(view.getUint16(0), bit);
  switch (type) {
    case 'u16':
      return view.getUint16(0);
    case 'i16':
      return view.getInt16(0);
    case 'u32':
      return view.getUint32(0);
    case 'i32':
      return view.getInt32(0);
    case 'f32':
      return view.getFloat32(0);
  }
}

function bitOf(word: number, bit: number): number {
  return (word >> bit) & 1;
}
