/** Numbers with units: the grammar, the units, the conversion to what is kept inside. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readNumber, readQuantity, readSpan } from '../../src/config/quantities.ts';
import { KINDS, type Kind, parseUnit, toInside } from '../../src/config/units.ts';

describe('quantities', () => {
  const right: readonly [text: string, kind: Kind, inside: number][] = [
    ['0.5 s', 'time', 500_000],
    ['500 ms', 'time', 500_000],
    ['500ms', 'time', 500_000],
    ['  6 s  ', 'time', 6_000_000],
    ['250 us', 'time', 250],
    ['250 µs', 'time', 250],
    ['250 μs', 'time', 250],
    ['1.5 min', 'time', 90_000_000],
    ['2 h', 'time', 7_200_000_000],
    ['0.0000004 s', 'time', 0],
    ['50 °C', 'temperature', 50],
    ['50 Cel', 'temperature', 50],
    ['50 ℃', 'temperature', 50],
    ['50 ºC', 'temperature', 50],
    ['+50 °C', 'temperature', 50],
    ['-20 °C', 'temperature', -20],
    ['−20 °C', 'temperature', -20],
    ['122 °F', 'temperature', 50],
    ['122 [degF]', 'temperature', 50],
    ['-40 °F', 'temperature', -40],
    ['273.15 K', 'temperature', 0],
    ['0 K', 'temperature', -273.15],
    ['0.3 K', 'difference', 0.3],
    ['0.3 °C', 'difference', 0.3],
    ['300 mK', 'difference', 0.3],
    ['9 °F', 'difference', 5],
    ['12 mm', 'length', 12],
    ['1.2 cm', 'length', 12],
    ['0.012 m', 'length', 12],
    ['100 µm', 'length', 0.1],
    ['1 in', 'length', 25.4],
    ['1 ″', 'length', 25.4],
    ['1"', 'length', 25.4],
    ['1 [in_i]', 'length', 25.4],
    ['1 ft', 'length', 304.8],
    ['0.25 mm/K', 'slope', 0.25],
    ['0.25 mm/°C', 'slope', 0.25],
    ['250 µm/K', 'slope', 0.25],
    ['1 mm/°F', 'slope', 1.8],
    ['-0.1 mm / K', 'slope', -0.1],
    ['2 mm/min', 'drift', 2],
    ['0.1 mm/s', 'drift', 6],
    ['6 cm/h', 'drift', 1],
    ['2.5 us', 'flight', 2.5],
    ['10 kOhm', 'resistance', 10_000],
    ['10 kΩ', 'resistance', 10_000],
    ['4.7 MOhm', 'resistance', 4_700_000],
    ['250 mV', 'voltage', 0.25],
    ['0.02 A', 'current', 20],
    ['1 bar', 'pressure', 100],
    ['1013.25 mbar', 'pressure', 101.325],
    ['1 psi', 'pressure', 6.89475729316836],
    ['1 [gal_us]', 'volume', 3.785411784],
    ['2.4 l', 'volume', 2.4],
    ['870 kg/m³', 'density', 870],
    ['0.87 g/mL', 'density', 870],
    ['1440 m/s', 'speed', 1440],
    ['-3.5 m/s/K', 'speed-slope', -3.5],
    ['75 [ppm]/K', 'expansion', 7.5e-5],
    ['0.00007 /K', 'expansion', 7e-5],
    ['50 %', 'share', 0.5],
    ['12 counts', 'count', 12],
  ];

  test.each(right)('%s as %s', (text, kind, inside) => {
    expect(readQuantity(text, kind)).toEqual({ ok: true, value: inside });
  });

  const wrong: readonly [text: string, kind: Kind, words: string, nearest: string | null][] = [
    ['', 'time', '"" does not begin with a plain number', null],
    ['s', 'time', '"s" does not begin with a plain number', null],
    ['5', 'time', '"5" has no unit', null],
    ['.5 s', 'time', '".5 s" does not begin with a plain number', '0.5 s'],
    ['5. s', 'time', '"5. s" does not begin with a plain number', '5 s'],
    ['0,5 s', 'time', '"0,5 s" does not begin with a plain number', '0.5 s'],
    ['1e3 ms', 'time', '"1e3 ms" does not begin with a plain number', null],
    ['1e999 s', 'time', '"1e999 s" does not begin with a plain number', null],
    ['0x1F s', 'time', '"0x1F s" does not begin with a plain number', null],
    ['1 000 ms', 'time', '"1 000 ms" does not begin with a plain number', '1000 ms'],
    ['1_000 ms', 'time', '"1_000 ms" does not begin with a plain number', '1000 ms'],
    ['1.2.3 s', 'time', '"1.2.3 s" does not begin with a plain number', null],
    ['--5 s', 'time', '"--5 s" does not begin with a plain number', null],
    ['NaN s', 'time', '"NaN s" does not begin with a plain number', null],
    ['Infinity s', 'time', '"Infinity s" does not begin with a plain number', null],
    ['±0.3 K', 'difference', '"±0.3 K" does not begin with a plain number', '0.3 K'],
    ['5 seconds', 'time', 'unknown unit "seconds"', 's'],
    ['5 S', 'time', 'unknown unit "S"', 's'],
    ['5 Ms', 'time', 'unknown unit "Ms"', 'ms'],
    ['50 C', 'temperature', 'unknown unit "C"', '°C'],
    ['50 deg C', 'temperature', 'unknown unit "deg C"', '°C'],
    ['50 F', 'temperature', 'unknown unit "F"', '°F'],
    ['1 inch', 'length', 'unknown unit "inch"', 'in'],
    ['0.25 mm/kelvin', 'slope', 'unknown unit "mm/kelvin"', 'mm/K'],
    ['2 mm/minute', 'drift', 'unknown unit "mm/minute"', 'mm/min'],
    ['2 mm/min/K', 'drift', '"mm/min/K" is a unit of speed per kelvin', null],
    ['-3.5 m/s/°C', 'speed-slope', 'unknown unit "m/s/°C"', 'm/s/K'],
    ['3 Ohms', 'resistance', 'unknown unit "Ohms"', 'Ohm'],
    ['3 kohm', 'resistance', 'unknown unit "kohm"', 'kOhm'],
    ['2 mm/mm', 'drift', 'unknown unit "mm/mm"', 'mm/min'],
    ['2 s/mm', 'drift', 'unknown unit "s/mm"', null],
    ['2 constructor', 'time', 'unknown unit "constructor"', null],
    ['2 mm', 'time', '"mm" is a unit of length', null],
    ['2 °C', 'length', '"°C" is a unit of temperature', null],
    ['-274 °C', 'temperature', '"-274 °C" is below absolute zero', null],
    [`${'9'.repeat(400)} s`, 'time', `"${'9'.repeat(40)}…" is too long`, null],
  ];

  test.each(wrong)('%s as %s is refused', (text, kind, words, nearest) => {
    expect(readQuantity(text, kind)).toEqual({ ok: false, words, nearest });
  });

  test('every unit that is offered fits its kind, and the sample is understood', () => {
    for (const [kind, { units, sample }] of Object.entries(KINDS) as [Kind, (typeof KINDS)[Kind]][]) {
      expect(readQuantity(sample, kind).ok, sample).toBe(true);
      for (const unit of units) expect(readQuantity(`1 ${unit}`, kind).ok, unit).toBe(true);
    }
  });

  test('Fahrenheit and kelvin agree with Celsius at the fixed points of each scale', () => {
    const of = (code: string, value: number): number => {
      const unit = parseUnit(code);
      if (unit === null) throw new Error(code);
      return toInside(value, unit, 'temperature');
    };
    expect([of('[degF]', 32), of('[degF]', 212), of('[degF]', 98.6)]).toEqual([0, 100, expect.closeTo(37, 12)]);
    expect([of('K', 373.15), of('mK', 373_150)]).toEqual([100, expect.closeTo(100, 10)]);
  });
});

describe('spans', () => {
  test.each([
    ['46 °C to 54 °C', 46, 54],
    ['46 to 54 °C', 46, 54],
    ['-20 °C  to  150 °C', -20, 150],
    ['115 °F to 54 °C', (83 * 5) / 9, 54],
  ])('%s', (text, low, high) => {
    expect(readSpan(text, 'temperature')).toEqual({ ok: true, value: { low, high } });
  });

  test.each([
    ['54 °C to 46 °C', '46 °C to 54 °C'],
    ['46 °C – 54 °C', '46 °C to 54 °C'],
    ['46…54 °C', '46 °C to 54 °C'],
    ['46 °C to', null],
    ['46 °C to 50 °C to 54 °C', null],
  ])('%s is refused', (text, nearest) => {
    expect(readSpan(text, 'temperature')).toMatchObject({ ok: false, nearest });
  });

  test('a text too long for a span is not looked into', () => {
    const read = readSpan(`46 °C${' '.repeat(70_000)}to`, 'temperature');
    expect(read).toEqual({ ok: false, words: `"46 °C${' '.repeat(35)}…" is too long`, nearest: null });
  });
});

describe('numbers', () => {
  test.each(['', ' ', '12,5', '1e999', '0x1F', '0.943M', '.5', '5.', '1 2', 'NaN', '∞', '--1', '+-1', '1e3'])(
    '%s is no number',
    (text) => {
      expect(readNumber(text)).toBeNull();
    },
  );

  test('whatever is printed with a point is read as it was', () => {
    const seed = Date.now() % 2 ** 31;
    console.log(`seed ${seed}`);
    const number = fc.double({ min: -1e6, max: 1e6, noNaN: true }).filter((value) => !String(value).includes('e'));
    fc.assert(
      fc.property(number, (value) => {
        expect(readNumber(String(value))).toBe(value + 0);
      }),
      { seed },
    );
  });
});
