/** What registers and bits become, which questions are asked, and what is said about settings that cannot work. */
import { describe, expect, test } from 'vitest';
import { modbus } from '../../drivers/modbus/driver.ts';
import { floatWords, lineFrame, type SlaveSpec } from '../../simulators/modbus-slave.ts';
import { EXCEPTION_CODES, FLOAT_100 } from '../reference/modbus.ts';
import { refusal } from './decode.ts';
import { Marked, markOf, talk } from './modbus-line.ts';

const S = 1_000_000;

/** Input registers of slave 1 from 0 on. */
function holding(words: readonly number[]): SlaveSpec {
  return { number: 1, read: (table, address) => (table === 4 ? (words[address] ?? null) : null) };
}

/** The first value of each signal. */
function firstOf(signals: object, slaves: readonly SlaveSpec[], more: object = {}): Record<string, number> {
  const { samples } = talk({ settings: { signals, late: '300 ms', ...more }, intervalUs: 1 * S, slaves }, 1.2 * S);
  return Object.fromEntries(samples.map(({ signal, value }) => [signal, value]));
}

describe('numbers', () => {
  // 16.7 million and a bit; the bytes all differ
  const WORDS = [0x8102, 0x0304];
  const at = (more: object) => ({ slave: 1, 'input-register': 0, ...more });

  test('of 16 bits, with and without a sign, either byte first', () => {
    expect(
      firstOf(
        {
          u: at({ type: 'u16' }),
          i: at({ type: 'i16' }),
          ub: at({ type: 'u16', bytes: 'little' }),
          ib: at({ type: 'i16', bytes: 'little' }),
          plain: at({}),
          words: at({ words: 'little' }),
        },
        [holding(WORDS)],
      ),
    ).toEqual({ u: 0x8102, i: 0x8102 - 0x10000, ub: 0x0281, ib: 0x0281, plain: 0x8102, words: 0x8102 });
  });

  test.each([
    ['big', 'big', 0x81020304],
    ['little', 'big', 0x03048102],
    ['big', 'little', 0x02810403],
    ['little', 'little', 0x04030281],
  ])('of 32 bits with words %s, bytes %s', (words, bytes, unsigned) => {
    const float = new DataView(Uint32Array.of(unsigned).buffer).getFloat32(0, true);
    expect(
      firstOf(
        {
          u: at({ type: 'u32', words, bytes }),
          i: at({ type: 'i32', words, bytes }),
          f: at({ type: 'f32', words, bytes }),
        },
        [holding(WORDS)],
      ),
    ).toEqual({ u: unsigned, i: unsigned | 0, f: float });
  });

  test('a published float, and scaling', () => {
    expect(firstOf({ f: at({ type: 'f32' }) }, [holding(FLOAT_100.registers)])).toEqual({ f: FLOAT_100.value });
    expect(firstOf({ t: at({ type: 'i16', scale: -0.5 }) }, [holding([0xfffe])])).toEqual({ t: 1 });
  });

  test('a float that is no number is a bad number, and its neighbours are read', () => {
    const settings = {
      signals: { f: at({ type: 'f32' }), g: at({ 'input-register': 2 }) },
      late: '300 ms',
    };
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY]) {
      const { samples, discarded } = talk(
        { settings, intervalUs: 1 * S, slaves: [holding([...floatWords(bad), 9])] },
        1.2 * S,
      );
      expect(samples.map(({ signal, value }) => [signal, value])).toEqual([['g', 9]]);
      expect(discarded).toEqual({ 'bad-number': 1 });
    }
  });

  test('bits of a register, coils and discrete inputs', () => {
    const bits = [1, 0, 1, 1, 0, 0, 1, 1, 0, 1, 0];
    const slave: SlaveSpec = {
      number: 5,
      read: (table, address) =>
        table === 3 ? 0x8001 : table === 1 ? (bits[address] ?? null) : 1 - (bits[address] ?? 0),
    };
    const signals = {
      b0: { slave: 5, 'holding-register': 9, bit: 0 },
      b14: { slave: 5, 'holding-register': 9, bit: 14 },
      b15: { slave: 5, 'holding-register': 9, bit: 15 },
      swapped: { slave: 5, 'holding-register': 9, bit: 8, bytes: 'little' },
      ...Object.fromEntries(bits.map((_, n) => [`c${n}`, { slave: 5, coil: n }])),
      d3: { slave: 5, 'discrete-input': 3 },
    };
    expect(firstOf(signals, [slave])).toEqual({
      b0: 1,
      b14: 0,
      b15: 1,
      swapped: 1,
      ...Object.fromEntries(bits.map((bit, n) => [`c${n}`, bit])),
      d3: 0,
    });
  });
});

describe('questions', () => {
  const asked = (signals: object, frames = 'rtu') => {
    const { questions } = talk(
      { settings: { signals, late: '300 ms', frames }, intervalUs: 10 * S, slaves: [new Marked(1), new Marked(2)] },
      2 * S,
    );
    return questions.map(({ bytes }) =>
      Buffer.from(frames === 'tcp' ? bytes.subarray(6) : bytes.subarray(0, -2)).toString('hex'),
    );
  };
  const at = (slave: number, address: number, more: object = {}) => ({ slave, 'holding-register': address, ...more });

  test('neighbours of one table of one slave are read together, others are not', () => {
    const signals = {
      a: at(1, 100, { type: 'f32' }),
      b: at(1, 102),
      c: at(1, 104),
      d: at(2, 103),
      e: { slave: 1, 'input-register': 103 },
      f: at(1, 101, { bit: 3 }),
    };
    expect(asked(signals)).toEqual(['010300640003', '010300680001', '010400670001', '020300670001']);
    expect(asked(signals, 'tcp')).toEqual(['010300640003', '010300680001', '010400670001', '020300670001']);
  });

  test('no more than 125 registers or 2000 bits, and no value is torn', () => {
    const many = Object.fromEntries(Array.from({ length: 63 }, (_, n) => [`r${n}`, at(1, 2 * n, { type: 'u32' })]));
    expect(asked(many)).toEqual(['01030000007c', '0103007c0002']);
    const coils = Object.fromEntries(Array.from({ length: 2001 }, (_, n) => [`c${n}`, { slave: 1, coil: n }]));
    expect(asked(coils)).toEqual(['0101000007d0', '010107d00001']);
  });

  test('each is asked in the interval, an answer makes room for the next at once', () => {
    const signals = { a: at(1, 0), b: at(1, 10), c: at(2, 0) };
    const { questions, samples } = talk(
      { settings: { signals, late: '300 ms' }, intervalUs: 1 * S, slaves: [new Marked(1), new Marked(2)] },
      3 * S,
    );
    const [start, answer, gap] = [300_000, 20_000, 5000];
    expect(questions.map(({ tUs }) => tUs)).toEqual(
      [0, 1, 2].flatMap((turn) => [0, 1, 2].map((index) => start + turn * S + index * (answer + gap))),
    );
    expect(samples.map(({ signal, value }) => [signal, value]).slice(0, 3)).toEqual([
      ['a', markOf(1, 3, 0)],
      ['b', markOf(1, 3, 10)],
      ['c', markOf(2, 3, 0)],
    ]);
  });

  test.each([
    [{}, 2 * S],
    [{ within: '1 s' }, 5 * S],
    [{ within: '1 s', late: '3 s' }, 3 * S],
  ])('with %j the first is asked when no answer of an earlier connection can come any more', (times, atUs) => {
    const settings = { signals: { a: at(1, 0) }, ...times };
    const { questions } = talk({ settings, intervalUs: 10 * S, slaves: [new Marked(1)] }, 6 * S);
    expect(questions.map(({ tUs }) => tUs)).toEqual([atUs]);
  });

  test('an answer that is looked at after its limit does not count', () => {
    const options = modbus.options.parse({ signals: { a: at(1, 0) }, within: '100 ms', late: '100 ms', frames: 'rtu' });
    let { state } = modbus.poll?.(0, modbus.init(options), options, 1 * S) ?? { state: modbus.init(options) };
    ({ state } = modbus.poll?.(100_000, state, options, 1 * S) ?? { state });
    const bytes = lineFrame(1, [3, 2, 0, 7]);
    const decoded = (tUs: number) => modbus.decode({ bytes, seq: 1, tUs, request: 0 }, state, options).items;
    expect(decoded(200_000)).toEqual([{ kind: 'signal', signal: 'a', value: 7 }]);
    expect(decoded(200_001)).toEqual([{ kind: 'discarded', reason: 'unasked' }]);
  });
});

describe('a slave that refuses', () => {
  test.each(EXCEPTION_CODES)('with code $code, $words: $reason', ({ code, reason }) => {
    for (const frames of ['rtu', 'tcp']) {
      const settings = { signals: { a: { slave: 1, 'holding-register': 0 } }, late: '300 ms', frames };
      const { samples, discarded, questions } = talk(
        {
          settings,
          intervalUs: 1 * S,
          slaves: [new Marked(1)],
          carry: ({ bytes }) => {
            const pdu = [0x83, code];
            const tcp = Uint8Array.of(...bytes.subarray(0, 5), 3, 1, ...pdu);
            return [{ afterUs: 10_000, bytes: frames === 'tcp' ? tcp : lineFrame(1, pdu) }];
          },
        },
        5.9 * S,
      );
      expect(samples).toEqual([]);
      expect(discarded).toEqual({ [reason]: questions.length });
      expect(questions.length).toBeGreaterThan(3);
    }
  });

  test('a gateway that answers for a dead slave after a time of its own does not slow the others', () => {
    const signals = Object.fromEntries([1, 2, 3, 4].map((slave) => [`s${slave}`, { slave, coil: 0 }]));
    const { samples } = talk(
      {
        settings: { signals, frames: 'tcp', within: '500 ms' },
        intervalUs: 1000,
        slaves: [1, 2, 3].map((number) => new Marked(number)),
        carry: ({ slave, bytes }) => [{ afterUs: slave === 4 ? 400_000 : 20_000, bytes }],
      },
      120 * S,
    );
    // 25 ms each, three of them: at most 40 values in 3 s
    expect(samples.length).toBeGreaterThan(0.9 * 120 * 40);
  });
});

describe('settings that cannot work are refused in words', () => {
  const one = (more: object, rest: object = {}) => refusal(modbus, { signals: { a: { slave: 1, ...more } }, ...rest });
  test.each([
    [one({}), 'it stands in no table, or in several'],
    [one({ coil: 1, 'input-register': 1 }), 'it stands in no table, or in several'],
    [one({ coil: 1, type: 'i16' }), 'a coil is 1 or 0 and has no type'],
    [one({ coil: 1, bit: 2 }), 'a bit is of one register of 16 bits'],
    [one({ 'input-register': 1, type: 'f32', bit: 2 }), 'a bit is of one register of 16 bits'],
    [one({ 'input-register': 65_535, type: 'f32' }), 'its last register lies beyond 65535'],
    [one({ coil: 1, slave: 0 }), '0 is no slave'],
    [one({ coil: 1, slave: 248 }), '248 is no slave'],
    [one({ coil: 1, scale: 0 }), 'a scale of 0 leaves nothing of the value'],
    [one({ coil: 1 }, { late: '100 ms' }), '100 ms is shorter than within'],
    [one({ coil: 1 }, { within: '20 s' }), '"20 s" is too long'],
    [refusal(modbus, { signals: {} }), 'no signal is named: give at least one'],
  ])('%s', (said, words) => {
    expect(said).toContain(words);
  });

  test('over TCP any unit is allowed, also 0 and 255', () => {
    for (const slave of [0, 255]) expect(one({ coil: 1, slave }, { frames: 'tcp' })).toBeNull();
  });
});
