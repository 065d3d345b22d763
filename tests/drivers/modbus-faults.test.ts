/** Rows M1 to M6 of the catalogue of failures: no answer is ever taken for that of another question. */
import { describe, expect, test } from 'vitest';
import { joined } from '../../simulators/board.ts';
import { lineFrame, replyTo, SlaveLine } from '../../simulators/modbus-slave.ts';
import { Random } from '../../simulators/random.ts';
import { virtualClock } from '../../src/links/clock.ts';
import { memoryTwin } from '../../src/links/memory.ts';
import { runFor } from '../links/virtual-time.ts';
import { type Line, Marked, markOf, type Piece, type Talk, talk } from './modbus-line.ts';
import { beginConversation } from './modbus-real.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 1);
const S = 1_000_000;
const WITHIN_US = 100_000;

/** Single registers at different places of one slave: their answers look alike. */
const LIKE = {
  a: { slave: 3, 'holding-register': 10 },
  b: { slave: 3, 'holding-register': 40 },
  c: { slave: 3, 'holding-register': 70 },
  d: { slave: 3, 'input-register': 70 },
};
const TRUTH: Readonly<Record<string, number>> = {
  a: markOf(3, 3, 10),
  b: markOf(3, 3, 40),
  c: markOf(3, 3, 70),
  d: markOf(3, 4, 70),
};

const line = (more: Partial<Line> = {}): Line => ({
  settings: { signals: LIKE, within: '100 ms', late: '1 s' },
  intervalUs: 50_000,
  slaves: [new Marked(3)],
  ...more,
});

const wrongOf = ({ samples }: Talk, truth = TRUTH) => samples.filter(({ signal, value }) => value !== truth[signal]);

/** Every so many answers one comes late, by up to `mostUs`. */
function late(share: number, mostUs: number, label: string): NonNullable<Line['carry']> {
  const random = Random.of(SEED, label);
  return ({ bytes }) => [
    { afterUs: random.chance(share) ? random.integer(WITHIN_US / 2, mostUs) : random.integer(1000, 20_000), bytes },
  ];
}

describe(`M1: late answers (seed ${SEED})`, () => {
  test.each([
    ['a few, just late', 0.02, 1.5 * WITHIN_US],
    ['many, up to the limit for any answer', 0.2, 1 * S],
    ['most', 0.8, 1 * S],
  ])('%s: 10,000 values, and none is wrong', (label, share, mostUs) => {
    const heard = talk(line({ carry: late(share, mostUs, label) }), 40_000 * S, 10_000);
    expect(heard.samples).toHaveLength(10_000);
    expect(wrongOf(heard)).toEqual([]);
    expect(heard.discarded.unasked).toBeGreaterThan(100 * share);
    expect(heard.discarded['no-answer']).toBeGreaterThan(100 * share);
  });

  test('a slave that has nothing beyond its registers refuses longer answers, and none is wrong', () => {
    const marked = new Marked(3);
    const read = (table: number, address: number) =>
      [10, 40, 70].includes(address) ? marked.read(table, address) : null;
    const heard = talk(line({ slaves: [{ number: 3, read }], carry: late(0.05, 1 * S, 'bare') }), 40_000 * S, 10_000);
    expect(heard.samples).toHaveLength(10_000);
    expect(wrongOf(heard)).toEqual([]);
    const forMore = heard.questions.filter(({ bytes }) => bytes[5] !== 1);
    expect(forMore.length).toBeGreaterThan(0);
    expect(forMore.length).toBeLessThan(4);
  });

  test('such a refusal, while an earlier answer may still come, is not taken for that answer', () => {
    const marked = new Marked(3);
    const read = (table: number, address: number) =>
      [10, 40, 70].includes(address) ? marked.read(table, address) : null;
    for (let lateUs = 110_000; lateUs < 1 * S; lateUs += 3000) {
      const carry: Line['carry'] = ({ bytes }, question) => [{ afterUs: question === 0 ? lateUs : 20_000, bytes }];
      const heard = talk(line({ slaves: [{ number: 3, read }], carry }), 4 * S);
      expect(heard.samples.length).toBeGreaterThan(80);
      expect(wrongOf(heard)).toEqual([]);
    }
  });

  test('each value is of the question at whose time it stands, also where the registers change', () => {
    let asked = 0;
    // every register holds the number of the question that is answered
    const slaves = [{ number: 3, read: () => asked % 65_536 }];
    const heard = (_: Uint8Array, count: number) => {
      asked = count;
      return [];
    };
    const { samples, questions } = talk(
      line({ slaves, heard, carry: late(0.1, 1 * S, 'changing') }),
      40_000 * S,
      10_000,
    );
    expect(samples).toHaveLength(10_000);
    for (const { value, askedUs } of samples) expect(questions[value - 1]?.tUs).toBe(askedUs);
  });

  test('answers to what was asked in the last connection are not taken for those of this one', () => {
    const { questions } = talk(line(), 3 * S);
    expect(questions[0]?.tUs).toBe(1 * S);
  });

  test('over TCP, an answer with another number, unit, function or length is not taken', () => {
    const random = Random.of(SEED, 'tcp');
    const settings = { signals: LIKE, frames: 'tcp', within: '100 ms', late: '1 s' };
    const carry: Line['carry'] = ({ bytes }) => {
      const kind = random.integer(0, 9);
      const bent =
        kind === 0
          ? bytes.with(1, (bytes[1] as number) ^ 1)
          : kind === 1
            ? bytes.with(6, 4)
            : kind === 2
              ? bytes.with(7, 2)
              : bytes;
      return [{ afterUs: kind === 3 ? random.integer(WITHIN_US, 3 * S) : 2000, bytes: bent }];
    };
    const heard = talk(line({ settings, carry }), 40_000 * S, 10_000);
    expect(heard.samples).toHaveLength(10_000);
    expect(wrongOf(heard)).toEqual([]);
    expect(heard.questions[0]?.tUs).toBe(0);
  });
});

describe(`M2: noise (seed ${SEED})`, () => {
  const noisy = (random: Random, most: number): Uint8Array =>
    Uint8Array.from({ length: random.integer(1, most) }, () => random.integer(0, 255));

  test('random bytes between frames: a good value within two rounds, never a wrong one', () => {
    const random = Random.of(SEED, 'between');
    const carry: Line['carry'] = ({ bytes }) => [
      { afterUs: 5000, bytes: noisy(random, 40) },
      { afterUs: 20_000, bytes },
      { afterUs: 22_000, bytes: noisy(random, 40) },
    ];
    const heard = talk(line({ carry, intervalUs: 200_000 }), 2000 * S, 20_000);
    expect(heard.samples).toHaveLength(20_000);
    expect(wrongOf(heard)).toEqual([]);
    for (const signal of Object.keys(LIKE)) {
      const times = heard.samples.filter((one) => one.signal === signal).map(({ tUs }) => tUs);
      const gaps = times.slice(1).map((tUs, index) => tUs - (times[index] as number));
      expect(Math.max(...gaps)).toBeLessThanOrEqual(2 * 200_000 + WITHIN_US);
    }
  });

  test('damaged answers: bits flipped, bytes lost and put in, cut short', () => {
    const random = Random.of(SEED, 'damaged');
    const carry: Line['carry'] = ({ bytes }) => {
      const at = random.integer(0, bytes.length - 1);
      const damaged = [
        bytes,
        bytes.with(at, (bytes[at] as number) ^ (1 << random.integer(0, 7))),
        joined(bytes.subarray(0, at), bytes.subarray(at + 1)),
        joined(bytes.subarray(0, at), noisy(random, 3), bytes.subarray(at)),
        bytes.subarray(0, at),
      ][random.chance(0.3) ? random.integer(1, 4) : 0] as Uint8Array;
      return [{ afterUs: 10_000, bytes: damaged }];
    };
    const heard = talk(line({ carry }), 40_000 * S, 10_000);
    expect(heard.samples).toHaveLength(10_000);
    expect(wrongOf(heard)).toEqual([]);
  });
});

test('M3: answers split at every byte with pauses of 20 ms between', () => {
  const settings = { signals: LIKE, within: '400 ms', late: '1 s' };
  let turn = 0;
  const carry: Line['carry'] = ({ bytes }) => {
    const at = 1 + (turn++ % (bytes.length - 1));
    return [
      { afterUs: 10_000, bytes: bytes.subarray(0, at) },
      { afterUs: 30_000, bytes: bytes.subarray(at) },
    ];
  };
  const inBytes: Line['carry'] = ({ bytes }) =>
    Array.from(bytes, (byte, index) => ({ afterUs: 20_000 * (index + 1), bytes: Uint8Array.of(byte) }));
  for (const pieces of [carry, inBytes]) {
    const heard = talk(line({ settings, carry: pieces }), 4000 * S, 500);
    expect(heard.samples).toHaveLength(500);
    expect(wrongOf(heard)).toEqual([]);
    expect(heard.discarded).toEqual({});
  }
});

describe('M4: the adapter hears its own questions', () => {
  const echo = (part: (bytes: Uint8Array) => readonly Piece[]): Talk =>
    talk(line({ heard: (bytes) => part(bytes) }), 2000 * S, 1000);

  test('whole: each is recognised and passed over', () => {
    const heard = echo((bytes) => [{ afterUs: 1000, bytes }]);
    expect(heard.samples).toHaveLength(1000);
    expect(wrongOf(heard)).toEqual([]);
    expect(heard.discarded.echo).toBe(heard.questions.length);
    expect(heard.discarded['no-answer']).toBeUndefined();
  });

  test('in part, damaged, and in one piece with the answer', () => {
    const random = Random.of(SEED, 'echo');
    for (const part of [
      (bytes: Uint8Array) => bytes.subarray(random.integer(0, 7)),
      (bytes: Uint8Array) => bytes.subarray(0, random.integer(1, 7)),
      (bytes: Uint8Array) => bytes.with(random.integer(0, 7), random.integer(0, 255)),
    ]) {
      const heard = echo((bytes) => [{ afterUs: 1000, bytes: part(bytes) }]);
      expect(heard.samples).toHaveLength(1000);
      expect(wrongOf(heard)).toEqual([]);
    }
    const glued = talk(
      line({
        carry: ({ slave, pdu, bytes }) => [{ afterUs: 20_000, bytes: joined(lineFrame(slave, pdu), bytes) }],
      }),
      2000 * S,
      1000,
    );
    expect(glued.samples).toHaveLength(1000);
    expect(glued.discarded).toEqual({ echo: glued.questions.length });
  });

  test('an answer that reads like its question is taken the second time only', () => {
    // 24 inputs from 768 on: byte count 3, and the data spell the rest of the question
    const inputs = Object.fromEntries(
      Array.from({ length: 24 }, (_, n) => [`i${n}`, { slave: 3, 'discrete-input': 768 + n }]),
    );
    const bits = [0x00, 0x00, 0x18];
    const slaves = [
      {
        number: 3,
        read: (_: number, address: number) => ((bits[(address - 768) >> 3] ?? 0) >> ((address - 768) & 7)) & 1,
      },
    ];
    const settings = { signals: inputs, within: '100 ms', late: '1 s' };
    const heard = talk(line({ settings, slaves, heard: (bytes) => [{ afterUs: 1000, bytes }] }), 5 * S);
    expect(heard.samples.length).toBeGreaterThan(24);
    for (const { signal, value } of heard.samples) expect(value).toBe(['i19', 'i20'].includes(signal) ? 1 : 0);
  });
});

describe('answers that nobody asked for', () => {
  const strays: Readonly<Record<string, (slave: number, pdu: readonly number[]) => Uint8Array>> = {
    'of another slave': (_, pdu) => lineFrame(4, replyTo(new Marked(4), pdu)),
    'of a slave that is not there': (_, pdu) => lineFrame(9, replyTo(new Marked(9), pdu)),
    'too short': (slave, [fn = 3]) => lineFrame(slave, [fn, 1, 0x11]),
    'too long': (slave, [fn = 3]) => lineFrame(slave, [fn, 12, ...Array.from({ length: 12 }, () => 0x22)]),
    'to another function': (slave, pdu) =>
      lineFrame(slave, replyTo(new Marked(slave), [pdu[0] === 3 ? 4 : 3, ...pdu.slice(1)])),
  };

  test.each(Object.entries(strays))('%s: none is taken', (_, stray) => {
    const random = Random.of(SEED, 'strays');
    const signals = { ...LIKE, e: { slave: 4, 'holding-register': 10 } };
    const truth = { ...TRUTH, e: markOf(4, 3, 10) };
    const carry: Line['carry'] = ({ slave, pdu, bytes }) => {
      const strange = { afterUs: 5000, bytes: stray(slave, pdu) };
      return random.chance(0.5) ? [strange] : [strange, { afterUs: 20_000, bytes }];
    };
    const settings = { signals, within: '100 ms', late: '1 s' };
    const slaves = [new Marked(3), new Marked(4)];
    const heard = talk(line({ settings, slaves, carry }), 40_000 * S, 5000);
    expect(heard.samples).toHaveLength(5000);
    expect(wrongOf(heard, truth)).toEqual([]);
  });
});

test(`M5: the port is lost 100 times in the middle of an answer; each time it is opened and read again (seed ${SEED})`, async () => {
  const random = Random.of(SEED, 'lost');
  const clock = virtualClock();
  const twin = memoryTwin();
  const slaves = new SlaveLine([new Marked(3)]);
  const settings = { signals: LIKE, within: '100 ms', late: '1 s' };
  const { heard, stop } = beginConversation({ door: twin.door, settings, intervalUs: 50_000, clock });
  let rest: Uint8Array = new Uint8Array();
  let answered = 0;
  const answer = async (): Promise<Uint8Array> => {
    while (twin.written.length === answered) await runFor(clock, 1000);
    answered = twin.written.length;
    return slaves.hear(twin.written.at(-1) as Uint8Array)[0]?.bytes ?? new Uint8Array();
  };
  for (let time = 1; time <= 100; time++) {
    while (heard.connections < time) await runFor(clock, 10_000);
    answered = twin.written.length;
    // what was under way when the last connection was lost arrives in this one
    twin.send(rest);
    const before = heard.samples;
    for (let turn = 0; turn < 5; turn++) twin.send(await answer());
    expect(heard.samples).toBe(before + 5);
    const bytes = await answer();
    const cut = random.integer(1, bytes.length - 1);
    twin.send(bytes.subarray(0, cut));
    rest = bytes.subarray(cut);
    twin.unplug();
    await runFor(clock, 1 * S);
    twin.plug();
  }
  await stop();
  for (const [signal, seen] of Object.entries(heard.values)) expect([...seen.keys()]).toEqual([TRUTH[signal]]);
  expect(Object.keys(heard.values).toSorted()).toEqual(Object.keys(LIKE));
});

describe('M6: one dead slave of eight', () => {
  const numbers = [1, 2, 3, 4, 5, 6, 7, 8];
  const signals = Object.fromEntries(numbers.map((slave) => [`s${slave}`, { slave, 'input-register': 5 }]));
  const settings = { signals, within: '100 ms', late: '1 s' };
  const rates = (dead: readonly number[], intervalUs: number): Record<string, number> => {
    const slaves = numbers.filter((number) => !dead.includes(number)).map((number) => new Marked(number));
    const { samples } = talk({ settings, intervalUs, slaves }, 121 * S);
    const counts: Record<string, number> = {};
    for (const { signal } of samples) counts[signal] = (counts[signal] ?? 0) + 1;
    return counts;
  };

  test.each([
    ['a line that is always busy', 1000],
    ['a line with time to spare', 1_000_000],
  ])('on %s, the others keep at least 90 % of their rate', (_, intervalUs) => {
    const all = rates([], intervalUs);
    for (const dead of [1, 4, 8]) {
      const rest = rates([dead], intervalUs);
      expect(rest[`s${dead}`]).toBeUndefined();
      for (const number of numbers.filter((one) => one !== dead))
        expect(rest[`s${number}`]).toBeGreaterThanOrEqual(0.9 * (all[`s${number}`] as number));
    }
  });

  test('back, it is read again within two seconds', () => {
    const backAfter = 2000;
    let count = 0;
    const carry: Line['carry'] = ({ slave, bytes }) =>
      slave === 4 && count < backAfter ? [] : [{ afterUs: 20_000, bytes }];
    const { samples, questions } = talk(
      {
        settings,
        intervalUs: 200_000,
        slaves: numbers.map((number) => new Marked(number)),
        carry,
        heard: (_, number) => {
          count = number;
          return [];
        },
      },
      200 * S,
    );
    const firstUs = samples.find(({ signal }) => signal === 's4')?.tUs ?? Number.POSITIVE_INFINITY;
    const backUs = questions[backAfter - 1]?.tUs ?? 0;
    expect(firstUs).toBeGreaterThan(backUs);
    expect(firstUs - backUs).toBeLessThan(2 * S);
  });
});
