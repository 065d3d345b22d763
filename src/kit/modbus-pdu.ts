/**
 * Questions and answers of Modbus without their envelope: reading with the function codes 1 to 4.
 * Source: MODBUS Application Protocol Specification V1.1b3 (modbus.org), 6.1 to 6.4 and 7.
 */
import type { DiscardReason } from '../core/events.ts';

/** The four tables of a slave and the function code that reads each. */
export const FUNCTIONS = { coil: 1, 'discrete-input': 2, 'holding-register': 3, 'input-register': 4 } as const;
export type Table = keyof typeof FUNCTIONS;
export type FunctionCode = (typeof FUNCTIONS)[Table];

export interface Question {
  readonly slave: number;
  readonly fn: FunctionCode;
  /** As it travels, from 0: the first holding register, often written as 40001, is 0. */
  readonly address: number;
  /** How many coils, inputs or registers. */
  readonly count: number;
}

/** What tells answers apart: they carry no address. */
export interface Shape {
  readonly slave: number;
  readonly fn: FunctionCode;
  /** How many bytes of data. */
  readonly bytes: number;
}

export type Answer =
  | { readonly kind: 'data'; readonly slave: number; readonly fn: number; readonly data: Uint8Array }
  | { readonly kind: 'exception'; readonly slave: number; readonly fn: number; readonly code: number };

/** The most that one question may ask for (6.1, 6.3). */
export const MOST = { bits: 2000, registers: 125 } as const;

export function readsBits(fn: number): boolean {
  return fn === 1 || fn === 2;
}

export function mostOf(fn: FunctionCode): number {
  return readsBits(fn) ? MOST.bits : MOST.registers;
}

/** How many bytes of data answer a question for so many. */
export function dataBytes(fn: FunctionCode, count: number): number {
  return readsBits(fn) ? Math.ceil(count / 8) : 2 * count;
}

/** Function code, address and count, most significant byte first. */
export function questionPdu({ fn, address, count }: Question): number[] {
  return [fn, address >> 8, address & 0xff, count >> 8, count & 0xff];
}

/** Of one slave in an answer's bytes without envelope; null where they are none to the function codes 1 to 4. */
export function answerOf(slave: number, pdu: Uint8Array): Answer | null {
  const [fn = 0, second = 0] = pdu;
  const asked = fn & 0x7f;
  if (asked < 1 || asked > 4) return null;
  if (fn !== asked) return pdu.length === 2 ? { kind: 'exception', slave, fn: asked, code: second } : null;
  return pdu.length === 2 + second && second > 0 ? { kind: 'data', slave, fn, data: pdu.subarray(2) } : null;
}

/** Exception codes (7), each with the reason under which it is counted. */
const EXCEPTIONS: Readonly<Record<number, DiscardReason>> = {
  1: 'illegal-function',
  2: 'illegal-address',
  3: 'illegal-value',
  4: 'device-failure',
  5: 'device-busy',
  6: 'device-busy',
  8: 'device-failure',
  10: 'gateway-path',
  11: 'gateway-target',
};

/** A code that the specification does not know counts as a failure of the device. */
export function exceptionReason(code: number): DiscardReason {
  return EXCEPTIONS[code] ?? 'device-failure';
}

/** By slave and function code: how many bytes of data an answer may have. */
export type ShapeTable = ReadonlyMap<number, ReadonlySet<number>>;

export function shapeTable(shapes: readonly Shape[]): ShapeTable {
  const table = new Map<number, Set<number>>();
  for (const { slave, fn, bytes } of shapes) {
    const key = shapeKey(slave, fn);
    table.set(key, (table.get(key) ?? new Set()).add(bytes));
  }
  return table;
}

export function shapeKey(slave: number, fn: number): number {
  return slave * 256 + fn;
}
