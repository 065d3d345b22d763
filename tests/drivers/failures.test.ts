/** Rows of the catalogue of failures that drivers answer for; S9 to S12 stand also in the conformance suite. */
import { describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { joined } from '../../simulators/board.ts';
import { instruments } from '../../simulators/instruments.ts';
import { Random } from '../../simulators/random.ts';
import type { SentLine } from '../../simulators/sent.ts';
import { notSent } from '../../src/kit/conformance/judge.ts';
import { play } from '../../src/kit/conformance/rig.ts';
import type { AnyDriver } from '../../src/kit/driver.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig } from '../support/core-rig.ts';
import { recordingOf, tools } from './conformance.ts';
import { decode, read } from './decode.ts';

/** Drivers of text lines; what others make of noise stands in tests of their own. */
const ofLines = Object.values(drivers).filter((driver) => {
  const options: unknown = driver.options.parse(recordingOf(driver.name).options);
  return driver.framing(options).kind === 'lines';
});

const SEED = Number(process.env.STILLWELL_SEED ?? 1);

describe(`S12: NUL, 0xFF and flipped bits in lines with a check value (seed ${SEED})`, () => {
  const checked = ofLines.filter((driver) => driver.checked?.(driver.options.parse(recordingOf(driver.name).options)));

  test('there are such drivers', () => {
    expect(checked.map(({ name }) => name)).toEqual(['hexbytes', 'keyvalue', 'nmea']);
  });

  test.each(checked.map((driver) => [driver.name, driver] as const))(
    '%s: what comes was sent, and as many lines are discarded as were hit',
    (name, driver) => {
      const random = Random.of(SEED, `noise for ${name}`);
      const lines = readable(driver, instruments[name]?.(SEED, 1500) ?? []);
      const hit = lines.map(() => random.chance(0.2));
      const noisy = lines.map(({ bytes }, index) => (hit[index] ? oneByteWrong(bytes, random) : bytes));
      const { samples, discarded } = listen(driver, noisy);
      expect(samples).toEqual(lines.flatMap(({ values }, index) => (hit[index] || values === null ? [] : [values])));
      expect(total(discarded)).toBe(hit.filter(Boolean).length);
    },
  );

  test.each([0.001, 0.01, 0.1])('keyvalue with a CRC of 16 bits, %d of all bytes wrong', (share) => {
    const driver = drivers.keyvalue as AnyDriver;
    const random = Random.of(SEED, `wrong bytes ${share}`);
    const lines = readable(driver, instruments.keyvalue?.(SEED, 1500) ?? []);
    let hits = 0;
    const noisy = lines.map(({ bytes }) => {
      const wrong = bytes.map((byte, at) =>
        at < bytes.length - 2 && random.chance(share) ? mangled(byte, random) : byte,
      );
      if (!sameText(wrong, bytes)) hits += 1;
      return wrong;
    });
    const { samples, discarded } = listen(driver, noisy);
    expect(hits).toBeGreaterThan(20);
    expect(total(discarded)).toBe(hits);
    expect(samples).toHaveLength(lines.length - hits);
    const sent = lines.map(({ values }) => values ?? {});
    expect(notSent(samples, sent)).toEqual([]);
  });

  function readable(driver: AnyDriver, lines: readonly SentLine[]): SentLine[] {
    const settings = recordingOf(driver.name).options as { ask?: unknown };
    const { ask: _, ...unasked } = settings;
    return lines.filter(
      ({ bytes, values }) => values !== null && typeof read(driver, unasked, withoutEnd(bytes)) === 'object',
    );
  }

  function listen(driver: AnyDriver, lines: readonly Uint8Array[]) {
    const options: unknown = driver.options.parse(recordingOf(driver.name).options);
    return play({ driver, options, tools }, [[joined(Uint8Array.of(10), ...lines)]]);
  }

  /** Before the check value, so that no small letter of it can stand for the same digit. */
  function oneByteWrong(line: Uint8Array, random: Random): Uint8Array {
    const star = line.indexOf(0x2a);
    const at = random.integer(0, (star < 0 ? line.length - 4 : star) - 1);
    return line.with(at, mangled(line[at] as number, random));
  }

  /** Never a line end: that is another failure. Never a small letter for a capital one: hexadecimal digits may be both. */
  function mangled(byte: number, random: Random): number {
    const made = [0x00, 0xff, byte ^ (1 << random.integer(0, 7))][random.integer(0, 2)] as number;
    return made === 0x0a || made === 0x0d || (made ^ byte) === 0x20 ? 0x00 : made;
  }
});

describe('S19: a value that stands for a fault', () => {
  const thermometer = {
    length: 9,
    signals: { temp: { at: 0, type: 'i16', order: 'little', scale: 0.0625 } },
    check: { kind: 'crc-8-maxim-dow' },
  };

  test('the driver hands it on as it came if its check value is right: only the channel knows what was before', () => {
    expect(read(drivers.hexbytes as AnyDriver, thermometer, '50 05 4B 46 7F FF 0C 10 1C')).toEqual({ temp: 85 });
    expect(read(drivers.pattern as AnyDriver, { pattern: 'T={temp} C' }, 'T=-127.00 C')).toEqual({ temp: -127 });
  });

  test('jumped to, it is suspect on a channel that knows it', () => {
    const [probe, sonar] = testBench.instruments;
    const [temperature, level] = testBench.channels;
    if (!probe || !sonar || !temperature || !level) throw new Error('the test bench has changed');
    const rig = new CoreRig({
      ...testBench,
      instruments: [{ ...probe, driver: 'hexbytes', options: drivers.hexbytes?.options.parse(thermometer) }, sonar],
      channels: [{ ...temperature, sentinels: [85] }, level],
    });
    rig.open('probe');
    const qualities = ['91 01 4B 46 7F FF 0F 10 25', '50 05 4B 46 7F FF 0C 10 1C'].map((line) => {
      const sample = rig.line('probe', line).find(({ kind }) => kind === 'sample');
      return sample?.kind === 'sample' ? [sample.value, sample.quality, sample.reason] : null;
    });
    expect(qualities).toEqual([
      [25.0625, 'good', null],
      [85, 'suspect', 'sentinel'],
    ]);
  });
});

describe('S20: text that looks like a number to a computer only', () => {
  const ODD = [
    '',
    '12,5',
    '1e999',
    '1e5',
    '0x1F',
    '0b11',
    '0.943M',
    '.5',
    '5.',
    '--5',
    '+-5',
    'NaN',
    'Infinity',
    '1_000',
    '1 2',
    '12.5.1',
    '٣',
    '½',
  ];

  /** A line with the text in the number's place, and settings that read it. */
  const LINES: Readonly<Record<string, readonly [settings: object, line: (odd: string) => string]>> = {
    pattern: [{ pattern: 'T={v} C' }, (odd) => `T=${odd} C`],
    columns: [{ separator: ';', columns: ['_', 'v', '_'] }, (odd) => `a;${odd};b`],
    keyvalue: [{ signals: { v: 'T' }, between: ';' }, (odd) => `a=1;T=${odd};b=2`],
    nmea: [{ signals: { v: { sentence: 'XDR', field: 2 } }, unchecked: 'take' }, (odd) => `$IIXDR,C,${odd},C,A`],
    gatt: [{ signals: { v: { of: '2a6e' } } }, (odd) => `2a6e 66${odd}`],
    json: [{ signals: { v: 'v' } }, (odd) => `{"v":${odd}}`],
    hexbytes: [{ length: 2, signals: { v: { at: 0, type: 'u16' } } }, (odd) => `1A ${odd}`],
  };

  test('every driver of text lines has a row', () => {
    expect(Object.keys(LINES).toSorted()).toEqual(ofLines.map(({ name }) => name).toSorted());
  });

  test.each(Object.keys(LINES))('%s takes none of them', (name) => {
    const [settings, line] = LINES[name] as (typeof LINES)[string];
    // in JSON, an exponent belongs to the grammar (RFC 8259); a comma begins the next field of a sentence
    const proper: Readonly<Record<string, readonly string[]>> = { json: ['1e5'], nmea: ['12,5'] };
    for (const odd of ODD.filter((text) => !proper[name]?.includes(text))) {
      const items = decode(drivers[name] as AnyDriver, settings, line(odd));
      expect([odd, items.map(({ kind }) => kind)]).toEqual([odd, ['discarded']]);
    }
  });
});

function withoutEnd(line: Uint8Array): Uint8Array {
  return line.filter((byte) => byte !== 0x0d && byte !== 0x0a);
}

function sameText(a: Uint8Array, b: Uint8Array): boolean {
  return a.every((byte, at) => byte === b[at]);
}

function total(discarded: Readonly<Record<string, number>>): number {
  return Object.values(discarded).reduce((sum, count) => sum + count, 0);
}
