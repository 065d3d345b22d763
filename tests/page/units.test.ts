/** Units for display: exact factors, and no figure more than the uncertainty allows. */
import { afterEach, describe, expect, it } from 'vitest';
import { amount, chosen, decimalsIn, measured, percent, sensibly, unitSign } from '../../src/page/format.ts';
import { convert, convertSize, like, METRIC } from '../../src/page/units.ts';
import { speak } from '../../src/page/words.ts';

const US = { temperature: 'F', length: 'in', volume: 'qt' } as const;
afterEach(() => {
  like(METRIC);
  speak('en');
});

describe('Units of this screen', () => {
  it('leave the units of the record as they are until somebody likes others', () => {
    expect([convert(41.6, 'Cel'), convert(62.31, 'mm'), convert(2.41, 'L')]).toEqual([41.6, 62.31, 2.41]);
    expect(['Cel', 'mm', 'L', 'Cel/min', 'mm/min', '1', 'kPa'].map(unitSign)).toEqual([
      ...['°C', 'mm', 'L', 'K/min', 'mm/min', '', 'kPa'],
    ]);
  });

  // NIST SP 811 (2008), appendix B.8: 1 in = 25.4 mm and t/°F = 1.8 t/°C + 32, both exact; 1 US liquid quart = 9.463 529 E−04 m³.
  it('turn by the published factors', () => {
    like(US);
    expect(convert(100, 'Cel')).toBeCloseTo(212, 10);
    expect(convert(-40, 'Cel')).toBeCloseTo(-40, 10);
    expect(convert(25.4, 'mm')).toBeCloseTo(1, 12);
    expect(convert(0.9463529, 'L')).toBeCloseTo(1, 7);
    expect(convertSize(5, 'K')).toBeCloseTo(9, 12);
    expect(convertSize(25.4 * 1.8, 'mm/K')).toBeCloseTo(1, 12);
    expect(['Cel', 'K', 'mm', 'mm/K', 'Cel/min', 'mm/min', 'L', 's'].map(unitSign)).toEqual([
      ...['°F', '°F', 'in', 'in/°F', '°F/min', 'in/min', 'qt', 's'],
    ]);
  });

  it('show no coarser steps than before', () => {
    like(US);
    expect(decimalsIn(1, 'mm')).toBe(3);
    expect(amount(62.31, 1, 'mm')).toBe('2.453\u00a0in');
    expect(amount(41.63, 1, 'Cel')).toBe('106.9\u00a0°F');
    expect(chosen(50, 'Cel')).toBe('122\u00a0°F');
    expect(chosen(47.5, 'Cel')).toBe('117.5\u00a0°F');
    expect(sensibly(0.5, 'K')).toBe('0.90\u00a0°F');
  });

  it('take the figures of a value from its uncertainty, in either unit', () => {
    expect(measured(62.31, 0.37, 'mm')).toMatchObject({ value: '62.3\u00a0mm', U: '0.4\u00a0mm' });
    like(US);
    // 0.37 mm = 0.014 57 in: two figures where it begins with 1 (GUM 7.2.6), rounded up
    expect(measured(62.31, 0.37, 'mm')).toMatchObject({ value: '2.453\u00a0in', U: '0.015\u00a0in' });
  });

  it('are written as in the region', () => {
    speak('de', ['de-DE']);
    expect(amount(-62.31, 1, 'mm')).toBe('−62,3\u00a0mm');
    expect(percent(0.345)).toMatch(/^3[45]\u00a0%$/);
    expect(measured(1234.5, 0.37, 'mm').number).toBe('1234,5');
  });
});
