/**
 * A Modbus slave, from the public text: MODBUS Application Protocol Specification V1.1b3, 6.1 to 6.4 and 7; MODBUS over
 * Serial Line V1.02, 2.5.1 and 6.2.2; MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 3.1.3.
 */

/** Tables by the function code that reads them: coils, discrete inputs, holding registers, input registers. */
export type TableNumber = 1 | 2 | 3 | 4;

export interface SlaveSpec {
  readonly number: number;
  /** What stands there now, 0 or 1, or a register of 16 bits; null where there is nothing. */
  read(table: TableNumber, address: number): number | null;
  /** Whether it has no time for questions now. */
  busy?(): boolean;
}

const ILLEGAL_FUNCTION = 1;
const ILLEGAL_ADDRESS = 2;
const ILLEGAL_VALUE = 3;
const BUSY = 6;
const REQUEST_BYTES = 8;

/** Remainders of all bytes, for the CRC of the serial line: polynomial x¹⁶ + x¹⁵ + x² + 1, bits reversed. */
const REMAINDERS = Uint16Array.from({ length: 256 }, (_, byte) => {
  let register = byte;
  for (let bit = 0; bit < 8; bit += 1) register = register % 2 === 1 ? (register >>> 1) ^ 0xa001 : register >>> 1;
  return register;
});

export function lineCheck(bytes: Iterable<number>): number {
  let register = 0xffff;
  for (const byte of bytes) register = (register >>> 8) ^ (REMAINDERS[(register ^ byte) & 0xff] as number);
  return register;
}

/** The frame of a serial line: slave, function and data, CRC with its low byte first. */
export function lineFrame(slave: number, pdu: readonly number[]): Uint8Array {
  const check = lineCheck([slave, ...pdu]);
  return Uint8Array.of(slave, ...pdu, check % 256, check >>> 8);
}

/** What a slave says to function and data. */
export function replyTo(slave: SlaveSpec, pdu: readonly number[]): number[] {
  const [fn = 0, addressHigh = 0, addressLow = 0, countHigh = 0, countLow = 0] = pdu;
  const refuse = (code: number) => [fn + 0x80, code];
  if (fn < 1 || fn > 4) return refuse(ILLEGAL_FUNCTION);
  if (slave.busy?.() === true) return refuse(BUSY);
  const address = addressHigh * 256 + addressLow;
  const count = countHigh * 256 + countLow;
  const most = fn <= 2 ? 2000 : 125;
  if (pdu.length !== 5 || count < 1 || count > most) return refuse(ILLEGAL_VALUE);
  const found = Array.from({ length: count }, (_, n) =>
    address + n > 65_535 ? null : slave.read(fn as TableNumber, address + n),
  );
  if (found.some((one) => one === null)) return refuse(ILLEGAL_ADDRESS);
  const data = fn <= 2 ? packed(found as number[]) : (found as number[]).flatMap((word) => [word >> 8, word % 256]);
  return [fn, data.length, ...data];
}

/** The first in the lowest bit; the last byte is filled up with zeros. */
function packed(bits: readonly number[]): number[] {
  return Array.from({ length: Math.ceil(bits.length / 8) }, (_, byte) =>
    bits.slice(8 * byte, 8 * byte + 8).reduce((sum, bit, at) => sum + bit * 2 ** at, 0),
  );
}

/** A question that a slave was asked, and the frame that it answers. */
export interface Reply {
  readonly slave: number;
  readonly pdu: readonly number[];
  readonly bytes: Uint8Array;
}

/** Slaves that share a serial line, or a gateway that passes its bytes on. */
export class SlaveLine {
  readonly #slaves: readonly SlaveSpec[];
  #heard: number[] = [];

  constructor(slaves: readonly SlaveSpec[]) {
    this.#slaves = slaves;
  }

  /** What is said to the questions that these bytes complete. Bytes that are no question are passed over. */
  hear(bytes: Uint8Array): Reply[] {
    const replies: Reply[] = [];
    this.#heard.push(...bytes);
    while (this.#heard.length >= REQUEST_BYTES) {
      const frame = this.#heard.slice(0, REQUEST_BYTES);
      if (lineCheck(frame) !== 0) {
        this.#heard.shift();
        continue;
      }
      this.#heard.splice(0, REQUEST_BYTES);
      const slave = this.#slaves.find(({ number }) => number === frame[0]);
      if (slave === undefined) continue;
      const pdu = frame.slice(1, -2);
      replies.push({ slave: slave.number, pdu, bytes: lineFrame(slave.number, replyTo(slave, pdu)) });
    }
    return replies;
  }
}

/** A server of Modbus TCP, for one client. A unit that it does not have: exception 11, gateway target failed to respond. */
export class SlaveServer {
  readonly #slaves: readonly SlaveSpec[];
  #heard: number[] = [];

  constructor(slaves: readonly SlaveSpec[]) {
    this.#slaves = slaves;
  }

  hear(bytes: Uint8Array): Reply[] {
    const replies: Reply[] = [];
    this.#heard.push(...bytes);
    for (;;) {
      const [t1 = 0, t0 = 0, , , l1 = 0, l0 = 0, unit = 0] = this.#heard;
      const length = l1 * 256 + l0;
      if (this.#heard.length < 7 || this.#heard.length < 6 + length) return replies;
      const pdu = this.#heard.slice(7, 6 + length);
      this.#heard.splice(0, 6 + length);
      const slave = this.#slaves.find(({ number }) => number === unit);
      const said = slave === undefined ? [(pdu[0] ?? 0) + 0x80, 11] : replyTo(slave, pdu);
      const size = said.length + 1;
      replies.push({ slave: unit, pdu, bytes: Uint8Array.of(t1, t0, 0, 0, size >> 8, size % 256, unit, ...said) });
    }
  }
}

/** Two registers of a float, most significant first. */
export function floatWords(value: number): [number, number] {
  const view = new DataView(new ArrayBuffer(4));
  view.setFloat32(0, value);
  return [view.getUint16(0), view.getUint16(2)];
}
