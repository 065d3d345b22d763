import { describe, expect, test } from 'vitest';
import { flowPulses, mass } from '../../../src/core/laws/amounts.ts';
import { localGravity, STANDARD_GRAVITY_M_PER_S2 } from '../../../src/core/laws/gravity.ts';
import { hydrostatic } from '../../../src/core/laws/hydrostatic.ts';
import { AT_ALTITUDE, AT_SEA_LEVEL, EXACT, FREE_AIR } from '../../reference/gravity.ts';

describe('normal gravity', () => {
  test.each(EXACT)('is $mPerS2 m/s² at $latitudeDeg°', ({ latitudeDeg, mPerS2, within }) => {
    expect(Math.abs(localGravity(latitudeDeg, 0).mPerS2 - mPerS2)).toBeLessThanOrEqual(within);
    expect(localGravity(-latitudeDeg, 0).mPerS2).toBe(localGravity(latitudeDeg, 0).mPerS2);
  });

  test.each(AT_SEA_LEVEL)('is $mPerS2 m/s² at $latitudeDeg°, as another library has it', (row) => {
    const { mPerS2 } = localGravity(row.latitudeDeg, 0);
    expect(Math.abs(mPerS2 - row.mPerS2)).toBeLessThanOrEqual(5.01e-9);
    expect(Math.abs(mPerS2 - row.gswMPerS2)).toBeLessThan(1e-6);
  });

  test('thins with height as the first-order gradient says', () => {
    const { mPerS2, perAltitudeM } = localGravity(FREE_AIR.latitudeDeg, FREE_AIR.altitudeM);
    expect(Math.abs(mPerS2 - FREE_AIR.mPerS2)).toBeLessThan(2e-6);
    expect(perAltitudeM).toBeCloseTo(-3.086e-6, 8);
  });

  test.each(AT_ALTITUDE)('is $mPerS2 m/s² at $latitudeDeg° and $altitudeM m', ({ latitudeDeg, altitudeM, mPerS2 }) => {
    // The series stops at the first power of the flattening and the second of the height.
    const off = Math.abs(localGravity(latitudeDeg, altitudeM).mPerS2 - mPerS2);
    expect(off).toBeLessThan(1e-10 * Math.abs(altitudeM));
  });

  test('differs over the Earth by half a percent from the standard value', () => {
    expect(localGravity(0, 4000).mPerS2 / STANDARD_GRAVITY_M_PER_S2 - 1).toBeLessThan(-0.003);
    expect(localGravity(90, 0).mPerS2 / STANDARD_GRAVITY_M_PER_S2 - 1).toBeGreaterThan(0.002);
  });

  test('has the derivatives of its own values', () => {
    for (const [latitude, altitude] of [
      [-62, 0],
      [12, 1500],
      [47, 3000],
    ] as const) {
      const { perLatitudeDeg, perAltitudeM } = localGravity(latitude, altitude);
      const byLatitude =
        (localGravity(latitude + 0.01, altitude).mPerS2 - localGravity(latitude - 0.01, altitude).mPerS2) / 0.02;
      const byAltitude =
        (localGravity(latitude, altitude + 10).mPerS2 - localGravity(latitude, altitude - 10).mPerS2) / 20;
      expect(perLatitudeDeg).toBeCloseTo(byLatitude, 9);
      expect(perAltitudeM).toBeCloseTo(byAltitude, 12);
    }
  });

  test('is held at the ends of the Earth', () => {
    expect(localGravity(91, 0)).toMatchObject({
      mPerS2: localGravity(90, 0).mPerS2,
      perLatitudeDeg: 0,
      inRange: false,
    });
    expect(localGravity(45, 20_000)).toMatchObject({
      mPerS2: localGravity(45, 9000).mPerS2,
      perAltitudeM: 0,
      inRange: false,
    });
    expect(localGravity(Number.NaN, Number.NaN).inRange).toBe(false);
  });
});

describe('hydrostatic head', () => {
  const law = hydrostatic({
    kind: 'hydrostatic',
    sensorMm: 0,
    airDensityKgPerM3: 0,
    validMm: { low: -10, high: 3000 },
  });

  test('is one metre of water for 9.80665 kPa at standard gravity', () => {
    const context = { densityKgPerM3: 1000, gravityMPerS2: STANDARD_GRAVITY_M_PER_S2 };
    expect(law.at(9.80665, context).value).toBeCloseTo(1000, 9);
  });

  test('is higher in lighter fluid and where gravity is less', () => {
    const context = { densityKgPerM3: 850, gravityMPerS2: 9.81 };
    const { value, partials } = law.at(0.7, context);
    expect(value).toBeCloseTo(83.95, 1);
    expect(partials.densityKgPerM3).toBeLessThan(0);
    expect(partials.gravityMPerS2).toBeLessThan(0);
  });

  test('counts the air on the vent: about 0.14 % more in oil', () => {
    const vented = hydrostatic({
      kind: 'hydrostatic',
      sensorMm: 0,
      airDensityKgPerM3: 1.2,
      validMm: { low: -10, high: 3000 },
    });
    const context = { densityKgPerM3: 850, gravityMPerS2: 9.81 };
    expect(vented.at(0.7, context).value / law.at(0.7, context).value).toBeCloseTo(850 / 848.8, 12);
  });
});

describe('amounts', () => {
  test('pulses of a flow meter are litres', () => {
    const law = flowPulses({ kind: 'flow-pulses', pulsesPerLitre: 450, maxLitres: 60 });
    expect(law.at(2250, {})).toMatchObject({ value: 5, flag: null });
    expect(law.at(-1, {})).toMatchObject({ value: 0, derivative: 0, flag: 'out-of-range' });
    expect(law.at(27_001, {})).toMatchObject({ flag: 'out-of-range' });
  });

  test('mass is litres at the temperature of its density', () => {
    const law = mass({ kind: 'mass', airDensityKgPerM3: 0, maxLitres: 60 });
    expect(law.at(4.25, { densityKgPerM3: 850 }).value).toBeCloseTo(5, 12);
    expect(law.at(4.25, { densityKgPerM3: 820 }).value).toBeCloseTo(5.1829, 4);
    expect(law.at(4.25, { densityKgPerM3: 850 }).partials.densityKgPerM3).toBeCloseTo(-5 / 850, 12);
  });

  test('a scale in air shows too little for a light fluid, by 0.13 %', () => {
    // 1 L of 850 kg/m³ weighed in air of 1.2 kg/m³ against weights of 8000 kg/m³.
    const shownKg = (0.85 * (1 - 1.2 / 850)) / (1 - 1.2 / 8000);
    const law = mass({ kind: 'mass', airDensityKgPerM3: 1.2, maxLitres: 60 });
    expect(law.at(shownKg, { densityKgPerM3: 850 }).value).toBeCloseTo(1, 12);
    expect(0.85 / shownKg - 1).toBeCloseTo(0.00126, 5);
  });

  test('refuse what is no amount', () => {
    expect(() => flowPulses({ kind: 'flow-pulses', pulsesPerLitre: 0, maxLitres: 60 })).toThrow('pulses per litre');
    expect(() => mass({ kind: 'mass', airDensityKgPerM3: 12, maxLitres: 60 })).toThrow('the density of air');
    expect(() => mass({ kind: 'mass', airDensityKgPerM3: 1.2, maxLitres: 0 })).toThrow('the largest amount');
  });
});
