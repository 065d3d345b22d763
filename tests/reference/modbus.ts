/** Published frames and rules of Modbus, each with its source. Frames with their CRC stand in protocols.ts. */

const APPLICATION = 'MODBUS Application Protocol Specification V1.1b3';
const MESSAGING = 'MODBUS Messaging on TCP/IP Implementation Guide V1.0b';

/** Questions and answers without envelope: the examples of the text, from memory, rechecked by the rules of the text. */
export const EXAMPLES = [
  {
    fn: 1,
    address: 0x13,
    count: 0x13,
    question: '01 00 13 00 13',
    answer: '01 03 CD 6B 05',
    source: `${APPLICATION}, 6.1: coils 20 to 38`,
  },
  {
    fn: 2,
    address: 0xc4,
    count: 0x16,
    question: '02 00 C4 00 16',
    answer: '02 03 AC DB 35',
    source: `${APPLICATION}, 6.2: discrete inputs 197 to 218`,
  },
  {
    fn: 3,
    address: 0x6b,
    count: 3,
    question: '03 00 6B 00 03',
    answer: '03 06 02 2B 00 00 00 64',
    source: `${APPLICATION}, 6.3: registers 108 to 110 hold 555, 0 and 100`,
  },
  {
    fn: 4,
    address: 8,
    count: 1,
    question: '04 00 08 00 01',
    answer: '04 02 00 0A',
    source: `${APPLICATION}, 6.4: input register 9 holds 10`,
  },
] as const;

/** Coils 20 to 38 of the first example, as the text reads CD 6B 05. */
export const COILS_20_TO_38 = [1, 0, 1, 1, 0, 0, 1, 1, 1, 1, 0, 1, 0, 1, 1, 0, 1, 0, 1] as const;

/** Function code with 0x80, then the code. */
export const EXCEPTION_CODES = [
  { code: 1, words: 'illegal function', reason: 'illegal-function' },
  { code: 2, words: 'illegal data address', reason: 'illegal-address' },
  { code: 3, words: 'illegal data value', reason: 'illegal-value' },
  { code: 4, words: 'server device failure', reason: 'device-failure' },
  { code: 5, words: 'acknowledge', reason: 'device-busy' },
  { code: 6, words: 'server device busy', reason: 'device-busy' },
  { code: 8, words: 'memory parity error', reason: 'device-failure' },
  { code: 0x0a, words: 'gateway path unavailable', reason: 'gateway-path' },
  { code: 0x0b, words: 'gateway target device failed to respond', reason: 'gateway-target' },
] as const;

/** Header: transaction, protocol 0, length of what follows, unit. */
export const TCP_EXAMPLE = {
  transaction: 0x1501,
  unit: 0xff,
  question: '15 01 00 00 00 06 FF 03 00 04 00 01',
  answer: '15 01 00 00 00 05 FF 03 02 00 05',
  source: `${MESSAGING}, 3.1.3 and 4: register 5 is read; from memory, rechecked by the lengths of the text`,
} as const;

/** Registers 0x42C8, 0x0000 as a float with its most significant register first: IEEE 754, computed. */
export const FLOAT_100 = { registers: [0x42c8, 0x0000], value: 100 } as const;
