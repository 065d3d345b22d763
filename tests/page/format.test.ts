import { afterEach, describe, expect, it } from 'vitest';
import {
  ago,
  amount,
  chosen,
  clock,
  count,
  fixed,
  sensibly,
  span,
  timeOfDay,
  toGo,
  uncertainty,
  unitSign,
} from '../../src/page/format.ts';
import { discardWords, gateName, qualityWords, refusalWords, speak } from '../../src/page/words.ts';

afterEach(() => speak('en'));

describe('Numbers', () => {
  it('carry a true minus sign and never a negative zero', () => {
    expect(fixed(-4.26, 1)).toBe('−4.3');
    expect(fixed(-0.04, 1)).toBe('0.0');
    expect(fixed(62.3, 1)).toBe('62.3');
  });

  it('keep their unit on the same line', () => {
    expect(amount(62.31, 1, 'mm')).toBe('62.3\u00a0mm');
    expect(amount(1, 0, '1')).toBe('1');
    expect(chosen(50, 'Cel')).toBe('50\u00a0°C');
    expect(chosen(47.5, 'Cel')).toBe('47.5\u00a0°C');
    expect(unitSign('furlong')).toBe('furlong');
  });

  it('show as many figures as say something', () => {
    expect(sensibly(1234.5, 'mm')).toBe('1235\u00a0mm');
    expect(sensibly(41.63, 'Cel')).toBe('41.6\u00a0°C');
    expect(sensibly(0.62, 'mm/min')).toBe('0.62\u00a0mm/min');
    expect(sensibly(0.031, 'mm')).toBe('0.031\u00a0mm');
    expect(sensibly(0, 's')).toBe('0.00\u00a0s');
  });

  it('are grouped when long', () => {
    expect(count(5821)).toBe('5,821');
    expect(count(12)).toBe('12');
    expect(count(1_234_567)).toBe('1,234,567');
  });
});

describe('An uncertainty', () => {
  it.each([
    [0.37, '0.4', 1],
    [0.31, '0.4', 1],
    [0.3, '0.3', 1],
    [0.14, '0.14', 2],
    [0.141, '0.15', 2],
    [1.23, '1.3', 1],
    [2.1, '2.1', 1],
    [3.1, '4', 0],
    [28.05, '28', 0],
    [0.97, '1.0', 1],
    [14, '14', 0],
    [0.0123, '0.013', 3],
  ])('of %f is told as ±%s, not smaller by more than half a hundredth', (U, text, decimals) => {
    expect(uncertainty(U)).toEqual({ text, decimals });
  });

  it('of nothing stays nothing', () => {
    expect(uncertainty(0).text).toBe('0.00');
  });
});

describe('Times', () => {
  it('count down in steps that do not flicker, the interval rounded outwards', () => {
    expect(toGo({ s: 38, lowS: 31.2, highS: 53.2 })).toEqual({
      about: 'about 0:40 to go',
      between: '0:30–0:55',
      clock: '0:40',
    });
    expect(toGo({ s: 7.4, lowS: 5.9, highS: 9.1 })).toEqual({
      about: 'about 0:07 to go',
      between: '0:05–0:10',
      clock: '0:07',
    });
    expect(toGo({ s: 754, lowS: 700, highS: 910 })).toEqual({
      about: 'about 12:30 to go',
      between: '11:30–15:15',
      clock: '12:30',
    });
  });

  it('say so where there is no upper bound, no spread, or hardly anything left', () => {
    expect(toGo({ s: 40, lowS: 20, highS: null }).between).toBe('at least 0:20');
    expect(toGo({ s: 10, lowS: 10, highS: 10 }).between).toBe('');
    expect(toGo({ s: 0.4, lowS: 0, highS: 3 })).toEqual({ about: 'any moment now', between: '', clock: '' });
  });

  it('are told in the largest unit that fits', () => {
    expect(clock(3723)).toBe('1:02:03');
    expect([4, 89, 150, 7200, 200_000].map(span)).toEqual(['4 s', '89 s', '3 min', '2 h', '2 days']);
    expect(ago(1)).toBe('just now');
    expect(ago(240)).toBe('4 min ago');
  });

  it('of another day carry the date', () => {
    const noon = new Date(2031, 4, 6, 12, 3, 9);
    speak('en', ['en-GB']);
    expect(timeOfDay(noon.toISOString(), new Date(2031, 4, 6, 23, 0, 0))).toBe('12:03:09');
    expect(timeOfDay(noon.toISOString(), new Date(2031, 4, 7, 1, 0, 0))).toMatch(/^6 May 2031.* 12:03:09$/);
    expect(timeOfDay('whenever', noon)).toBe('whenever');
  });
});

describe('Codes', () => {
  it('have words, and stand for themselves where this page does not know them', () => {
    expect(gateName('settled')).toBe('Level settled');
    expect(gateName('moon')).toBe('moon');
    expect(discardWords('bad-number')).toBe('not a number');
    expect(discardWords('moon')).toBe('moon');
    expect(refusalWords('no-job', 'said')).toBe('No job is open.');
    expect(refusalWords('busy', 'said')).toMatch(/^Too many wait/);
    expect(refusalWords('moon', 'said')).toBe('said');
    expect(qualityWords('good', null)).toBe('');
    expect(qualityWords('bad', 'out-of-range')).toBe('not usable: out of range');
    expect(qualityWords('suspect', null)).toBe('doubtful');
  });
});
