/** Frames of Modbus: the published ones, and what remains of them on a bad line. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { joined } from '../../simulators/board.ts';
import { lineCheck, lineFrame, replyTo, SlaveLine, SlaveServer } from '../../simulators/modbus-slave.ts';
import { checksum } from '../../src/kit/checksum.ts';
import type { Shape } from '../../src/kit/modbus-pdu.ts';
import { dataBytes, exceptionReason } from '../../src/kit/modbus-pdu.ts';
import { isRtuQuestion, rtuAnswer, rtuQuestion, rtuStage } from '../../src/kit/modbus-rtu.ts';
import { tcpAnswer, tcpQuestion, tcpStage } from '../../src/kit/modbus-tcp.ts';
import { COILS_20_TO_38, EXAMPLES, EXCEPTION_CODES, TCP_EXAMPLE } from '../reference/modbus.ts';
import { MODBUS_FRAMES } from '../reference/protocols.ts';

const bytesOf = (text: string): Uint8Array => Uint8Array.from(Buffer.from(text.replaceAll(' ', ''), 'hex'));
const hex = (bytes: Uint8Array): string =>
  Buffer.from(bytes)
    .toString('hex')
    .toUpperCase()
    .replace(/..(?!$)/g, '$& ');

interface Found {
  readonly frames: readonly string[];
  readonly discarded: readonly (readonly [string, number])[];
}

function find(kind: 'rtu' | 'tcp', shapes: readonly Shape[], chunks: readonly Uint8Array[]): Found {
  const frames: string[] = [];
  const discarded: [string, number][] = [];
  const stage = (kind === 'rtu' ? rtuStage : tcpStage)(shapes, {
    onFrame: (bytes) => frames.push(hex(bytes)),
    onDiscard: (reason, count, head) => {
      expect(head.length).toBe(Math.min(count, 64));
      discarded.push([reason, count]);
    },
  });
  for (const chunk of chunks) stage.push(chunk);
  stage.end();
  return { frames, discarded };
}

const SHAPES: readonly Shape[] = [
  { slave: 0x11, fn: 1, bytes: 5 },
  { slave: 0x11, fn: 2, bytes: 3 },
  { slave: 0x11, fn: 3, bytes: 6 },
  { slave: 0x11, fn: 4, bytes: 2 },
  { slave: 0x01, fn: 3, bytes: 20 },
  { slave: 0x01, fn: 4, bytes: 2 },
];

describe('the examples of the specification', () => {
  test.each(EXAMPLES)('function $fn: $source', ({ fn, address, count, question, answer }) => {
    expect(hex(rtuQuestion({ slave: 0x11, fn, address, count }).slice(1, -2))).toBe(question);
    const data = bytesOf(answer);
    expect(data[1]).toBe(dataBytes(fn, count));
    const frame = lineFrame(0x11, [...data]);
    expect(rtuAnswer(frame)).toEqual({ kind: 'data', slave: 0x11, fn, data: data.subarray(2) });
  });

  test('the simulated slave says the same', () => {
    const coils = { number: 1, read: (_: number, address: number) => COILS_20_TO_38[address - 0x13] ?? null };
    expect(hex(Uint8Array.from(replyTo(coils, [1, 0, 0x13, 0, 0x13])))).toBe(EXAMPLES[0].answer);
    const registers = { number: 1, read: (_: number, address: number) => [555, 0, 100][address - 0x6b] ?? null };
    expect(hex(Uint8Array.from(replyTo(registers, [3, 0, 0x6b, 0, 3])))).toBe(EXAMPLES[2].answer);
    expect(replyTo(registers, [3, 0, 0x6b, 0, 4])).toEqual([0x83, 2]);
    expect(replyTo(registers, [3, 0, 0x6b, 0, 126])).toEqual([0x83, 3]);
    expect(replyTo(registers, [3, 0, 0x6b, 0, 0])).toEqual([0x83, 3]);
    expect(replyTo(registers, [0x2b, 0])).toEqual([0xab, 1]);
  });

  test('frames with their CRC', () => {
    for (const { frame } of MODBUS_FRAMES) {
      const bytes = bytesOf(frame);
      const [low = 0, high = 0] = bytes.slice(-2);
      expect(checksum('crc-16-modbus', bytes, 0, bytes.length - 2)).toBe(high * 256 + low);
      expect(lineCheck(bytes.subarray(0, -2))).toBe(high * 256 + low);
    }
    expect(hex(rtuQuestion({ slave: 0x11, fn: 3, address: 0x6b, count: 3 }))).toBe('11 03 00 6B 00 03 76 87');
    expect(rtuAnswer(bytesOf('11 03 06 AE 41 56 52 43 40 49 AD'))).toMatchObject({
      data: bytesOf('AE 41 56 52 43 40'),
    });
    expect(rtuAnswer(bytesOf('01 04 02 FF FF B8 81'))).toBeNull();
  });

  test('questions and answers over TCP', () => {
    const { transaction, unit, question, answer } = TCP_EXAMPLE;
    expect(hex(tcpQuestion({ slave: unit, fn: 3, address: 4, count: 1 }, transaction))).toBe(question);
    expect(tcpAnswer(bytesOf(answer))).toEqual({
      kind: 'data',
      slave: unit,
      fn: 3,
      data: Uint8Array.of(0, 5),
      transaction,
    });
    const server = new SlaveServer([{ number: unit, read: (_, address) => (address === 4 ? 5 : null) }]);
    expect(server.hear(bytesOf(question)).map(({ bytes }) => hex(bytes))).toEqual([answer]);
    for (const bad of [
      '15 01 00 01 00 05 FF 03 02 00 05',
      '15 01 00 00 00 06 FF 03 02 00 05',
      '15 01 00 00 00 05 FF 03',
    ])
      expect(tcpAnswer(bytesOf(bad))).toBeNull();
  });

  test('every exception code has its reason, an unknown one too', () => {
    for (const { code, reason } of EXCEPTION_CODES) {
      expect(exceptionReason(code)).toBe(reason);
      expect(rtuAnswer(lineFrame(9, [0x84, code]))).toEqual({ kind: 'exception', slave: 9, fn: 4, code });
    }
    expect(exceptionReason(0x77)).toBe('device-failure');
  });
});

describe('frames on a serial line', () => {
  const frames = ['11 03 06 AE 41 56 52 43 40 49 AD', '01 04 02 FF FF B8 80', '11 03 00 6B 00 03 76 87'];
  const exception = hex(lineFrame(0x11, [0x83, 2]));
  const stream = joined(...[...frames, exception].map(bytesOf));

  test('answers, a question and an exception are found, whole and byte by byte', () => {
    const expected = { frames: [...frames, exception], discarded: [] };
    expect(find('rtu', SHAPES, [stream])).toEqual(expected);
    expect(
      find(
        'rtu',
        SHAPES,
        Array.from(stream, (byte) => Uint8Array.of(byte)),
      ),
    ).toEqual(expected);
    expect(isRtuQuestion(bytesOf(frames[2] as string))).toBe(true);
    expect(isRtuQuestion(bytesOf(frames[1] as string))).toBe(false);
  });

  test('what no question could bring is no frame: another slave, function or length', () => {
    const strange = [lineFrame(2, [4, 2, 0, 1]), lineFrame(1, [2, 1, 0]), lineFrame(1, [4, 4, 0, 1, 0, 2])];
    const { frames: found, discarded } = find('rtu', SHAPES, [joined(...strange, bytesOf('01 04 02 FF FF B8 80'))]);
    expect(found).toEqual(['01 04 02 FF FF B8 80']);
    expect(discarded).toEqual([['checksum', 7 + 6 + 9]]);
  });

  test('noise before and between costs no frame, and every byte of it is counted', () => {
    const piece = fc.uint8Array({ minLength: 1, maxLength: 40 });
    fc.assert(
      fc.property(fc.array(piece, { minLength: 4, maxLength: 4 }), fc.integer({ min: 1, max: 30 }), (noise, size) => {
        const noisy = joined(
          ...[...frames, exception].flatMap((frame, at) => [noise[at] as Uint8Array, bytesOf(frame)]),
        );
        // a frame that no noise can take for its own stands at the end
        const closed = joined(noisy, new Uint8Array(30));
        const chunks = Array.from({ length: Math.ceil(closed.length / size) }, (_, at) =>
          closed.subarray(at * size, (at + 1) * size),
        );
        const { frames: found, discarded } = find('rtu', SHAPES, chunks);
        expect(found).toEqual([...frames, exception]);
        const lost = discarded.reduce((sum, [, count]) => sum + count, 0);
        expect(lost).toBe(closed.length - stream.length);
      }),
      { seed: 11, numRuns: 300 },
    );
  });

  test('an unfinished frame of a lost connection is cut, never a frame', () => {
    for (let at = 1; at < stream.length; at++) {
      const { frames: found, discarded } = find('rtu', SHAPES, [stream.subarray(0, at)]);
      const whole = found.join(' ').split(' ').filter(Boolean).length;
      expect([...frames, exception].slice(0, found.length)).toEqual(found);
      expect(discarded).toEqual(at === whole ? [] : [['cut-tail', at - whole]]);
    }
  });

  test('noise without end is told in parts and takes no room', () => {
    const { discarded } = find('rtu', SHAPES, [new Uint8Array(200_000).fill(0x55)]);
    expect(discarded).toEqual([
      ['checksum', 65_536],
      ['checksum', 65_536],
      ['checksum', 65_536],
      ['checksum', 200_000 - 3 * 65_536],
    ]);
  });

  test('the simulated line finds questions in noise and answers only for its own slaves', () => {
    const line = new SlaveLine([{ number: 3, read: () => 7 }]);
    const question = rtuQuestion({ slave: 3, fn: 3, address: 0, count: 1 });
    const other = rtuQuestion({ slave: 4, fn: 3, address: 0, count: 1 });
    expect(line.hear(joined(Uint8Array.of(0, 0xff, 3), other, question)).map(({ bytes }) => hex(bytes))).toEqual([
      hex(lineFrame(3, [3, 2, 0, 7])),
    ]);
    expect(line.hear(question.subarray(0, 5))).toEqual([]);
    expect(line.hear(question.subarray(5))).toHaveLength(1);
  });
});

describe('frames over TCP', () => {
  const frames = [
    '00 07 00 00 00 05 11 04 02 00 0A',
    '00 08 00 00 00 03 11 83 02',
    '00 09 00 00 00 09 11 03 06 00 01 00 02 00 03',
  ];
  const stream = joined(...frames.map(bytesOf));

  test('are found however they are cut; what is left of a lost connection is none', () => {
    for (let at = 0; at <= stream.length; at++) {
      expect(find('tcp', SHAPES, [stream.subarray(0, at), stream.subarray(at)])).toEqual({ frames, discarded: [] });
      const { frames: found } = find('tcp', SHAPES, [stream.subarray(0, at)]);
      expect(frames.slice(0, found.length)).toEqual(found);
    }
  });

  test('another protocol, unit, function or a length that does not fit is passed over byte by byte', () => {
    for (const bad of [
      '00 07 00 01 00 05 11 04 02 00 0A',
      '00 07 00 00 00 05 22 04 02 00 0A',
      '00 07 00 00 00 05 11 07 02 00 0A',
      '00 07 00 00 00 06 11 04 02 00 0A',
      '00 07 00 00 00 05 11 04 03 00 0A',
      '00 08 00 00 00 04 11 83 02',
    ]) {
      const found = find('tcp', SHAPES, [joined(bytesOf(bad), stream)]);
      expect([bad, found.frames]).toEqual([bad, frames]);
      expect(found.discarded).toEqual([['checksum', bytesOf(bad).length]]);
    }
  });

  test('no bytes make it throw or find what does not fit', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
        const { frames: found } = find('tcp', SHAPES, [bytes]);
        for (const frame of found) expect(tcpAnswer(bytesOf(frame))).not.toBeNull();
      }),
      { seed: 12, numRuns: 300 },
    );
  });
});
