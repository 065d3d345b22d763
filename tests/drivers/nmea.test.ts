import { describe, expect, test } from 'vitest';
import { nmea } from '../../drivers/nmea/driver.ts';
import { NMEA_SENTENCES } from '../reference/protocols.ts';
import { read, refusal } from './decode.ts';

const sentence = (start: string): string => {
  const found = NMEA_SENTENCES.map((one) => one.sentence).find((one) => one.startsWith(start));
  if (found === undefined) throw new Error(`no published sentence ${start}`);
  return found;
};

const xdr = (transducer: string, more: object = {}) => ({ signals: { v: { sentence: 'XDR', transducer, ...more } } });
const field = (of: string, number: number, more: object = {}) => ({
  signals: { v: { sentence: of, field: number, ...more } },
});

describe('published sentences give their published values', () => {
  test.each([
    ['$WIXDR,C,9.7', xdr('2', { type: 'C' }), { v: 9.7 }],
    ['$WIXDR,C,9.7', xdr('2', { type: 'U' }), { v: 3.51 }],
    ['$WIXDR,C,9.7', xdr('1', { unit: 'V' }), { v: 24.4 }],
    ['$WIXDR,C,026.0', xdr('', { type: 'C', unit: 'C' }), { v: 26 }],
    ['$WIXDR,A', xdr('0', { type: 'P' }), { v: 1024.8 }],
    ['$WIXDR,A', xdr('0', { type: 'H' }), { v: 69.4 }],
    ['$WIXDR,A', xdr('1', { type: 'A', unit: 'D' }), { v: 34 }],
    ['$IIMWV', field('MWV', 3, { valid: { field: 5, is: 'A' } }), { v: 5.9 }],
    ['$GPGGA', field('GGA', 9), { v: 545.4 }],
    ['$GPGLL', field('GLL', 5), { v: 142451 }],
    ['$IIXDR,C,38.5', xdr('TRANS'), { v: 38.5 }],
    ['$IIXDR,C,-7.25', xdr('FLUID', { type: 'C' }), { v: -7.25 }],
    ['$IIXDR,C,-7.25', xdr('LEVEL', { type: 'E', unit: 'P' }), { v: 47.5 }],
    ['$IIXDR,P', xdr('Baro', { unit: 'B' }), { v: 1.01325 }],
    ['$IIXDR,D', xdr('LEVEL', { unit: 'M' }), { v: 0.1234 }],
    ['$IIXDR,G', xdr(''), 'empty'],
  ])('%s… with %j gives %j', (start, settings, expected) => {
    expect(read(nmea, settings, sentence(start))).toEqual(expected);
  });

  test('several signals of one sentence come together', () => {
    const settings = {
      signals: {
        fluid: { sentence: 'XDR', transducer: 'FLUID' },
        level: { sentence: 'XDR', transducer: 'LEVEL' },
        wind: { sentence: 'MWV', field: 3 },
      },
    };
    expect(read(nmea, settings, sentence('$IIXDR,C,-7.25'))).toEqual({ fluid: -7.25, level: 47.5 });
  });
});

test('a name that stands twice is told apart by its type, or gives nothing', () => {
  expect(read(nmea, xdr('0'), sentence('$WIXDR,A'))).toBe('no-match');
  expect(read(nmea, xdr('0', { type: 'C' }), sentence('$WIXDR,A'))).toEqual({ v: 17.3 });
});

test('another unit, talker, sentence or status gives no value', () => {
  expect(read(nmea, xdr('Baro', { unit: 'P' }), sentence('$IIXDR,P'))).toBe('no-match');
  expect(read(nmea, field('MWV', 3, { talker: 'WI' }), sentence('$IIMWV'))).toBe('no-match');
  expect(read(nmea, field('MWV', 3, { talker: 'II' }), sentence('$IIMWV'))).toEqual({ v: 5.9 });
  expect(read(nmea, field('MTW', 1), sentence('$IIMWV'))).toBe('no-match');
  // A ^ V = 17 hex, so the checksum 31 becomes 26
  expect(read(nmea, field('MWV', 3, { valid: { field: 5, is: 'A' } }), '$IIMWV,344.0,R,005.9,M,V*26')).toBe('no-match');
  expect(read(nmea, field('MWV', 3), '$IIMWV,344.0,R,005.9,M,V*26')).toEqual({ v: 5.9 });
});

test('a field that is empty or not there has no value, one that is no number discards the sentence', () => {
  expect(read(nmea, field('GGA', 14), sentence('$GPGGA'))).toBe('empty');
  expect(read(nmea, field('GGA', 40), sentence('$GPGGA'))).toBe('empty');
  expect(read(nmea, field('GGA', 3), sentence('$GPGGA'))).toBe('bad-number');
});

test('a wrong, cut or missing checksum is refused', () => {
  const good = sentence('$IIXDR,C,38.5');
  for (const bad of [good.replace('38', '39'), good.slice(0, -1), good.slice(0, -3), `${good}0`, good.replace('*', '')])
    expect([bad, read(nmea, xdr('TRANS'), bad)]).toEqual([bad, 'checksum']);
  expect(read(nmea, xdr('TRANS'), `${good}  `)).toEqual({ v: 38.5 });
  expect(read(nmea, xdr('TRANS'), good.slice(1))).toBe('no-match');
  expect(read(nmea, xdr('TRANS'), `${good.slice(0, 9)}${good}`)).toBe('checksum');
});

test('sentences without a checksum are taken only if the bench says so, and with a wrong one never', () => {
  const settings = { ...xdr('TRANS'), unchecked: 'take' };
  expect(read(nmea, settings, '$IIXDR,C,38.5,C,TRANS')).toEqual({ v: 38.5 });
  expect(read(nmea, settings, '$IIXDR,C,38.5,C,TRANS*05')).toBe('checksum');
  expect(nmea.checked?.(nmea.options.parse(settings))).toBe(false);
  expect(nmea.checked?.(nmea.options.parse(xdr('TRANS')))).toBe(true);
});

test('a proprietary sentence is named in full', () => {
  const settings = { ...field('PLVL', 2), unchecked: 'take' };
  expect(read(nmea, settings, '$PLVL,1,62.3')).toEqual({ v: 62.3 });
  expect(read(nmea, settings, '$IIPLV,1,62.3')).toBe('no-match');
});

test.each([
  [{ signals: { v: { sentence: 'XDR' } } }, 'give either the number of a field'],
  [{ signals: { v: { sentence: 'XDR', field: 1, transducer: 'A' } } }, 'give either the number of a field'],
  [{ signals: { v: { sentence: 'MWV', transducer: 'A' } } }, 'only the sentence XDR names transducers'],
  [{ signals: { v: { sentence: 'MWV', field: 1, unit: 'M' } } }, 'type and unit belong to a transducer'],
  [{ signals: { v: { sentence: 'mwv', field: 1 } } }, 'three capital letters'],
  [{ signals: {} }, 'no signal is named'],
])('settings %j are refused in words', (settings, words) => {
  expect(refusal(nmea, settings)).toContain(words);
});
