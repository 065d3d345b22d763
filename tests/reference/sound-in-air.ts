/** Speed of sound in air, each figure with its source. */

const CRAMER = 'Cramer (1993), J. Acoust. Soc. Am. 93, 2510–2516, eq. 15, computed independently from Table III';
const DRY = 'ISO 9613-1:1993, 343.2 m/s √(T/293.15 K)';

export const HUMID_AIR = [
  { airC: 0, relativeHumidity: 0, pa: 101325, carbonDioxide: 0.000314, mPerS: 331.455, source: CRAMER },
  { airC: 10, relativeHumidity: 0, pa: 101325, carbonDioxide: 0.000314, mPerS: 337.4669, source: CRAMER },
  { airC: 20, relativeHumidity: 0, pa: 101325, carbonDioxide: 0.000314, mPerS: 343.3672, source: CRAMER },
  { airC: 25, relativeHumidity: 0, pa: 101325, carbonDioxide: 0.000314, mPerS: 346.2755, source: CRAMER },
  { airC: 30, relativeHumidity: 0, pa: 101325, carbonDioxide: 0.000314, mPerS: 349.156, source: CRAMER },
  { airC: 20, relativeHumidity: 0.5, pa: 101325, carbonDioxide: 0.000314, mPerS: 343.9944, source: CRAMER },
  { airC: 20, relativeHumidity: 1, pa: 101325, carbonDioxide: 0.000314, mPerS: 344.6208, source: CRAMER },
  { airC: 25, relativeHumidity: 0.5, pa: 101325, carbonDioxide: 0.0004, mPerS: 347.1265, source: CRAMER },
  { airC: 30, relativeHumidity: 1, pa: 101325, carbonDioxide: 0.0004, mPerS: 351.4689, source: CRAMER },
  { airC: 20, relativeHumidity: 0.5, pa: 89874.6, carbonDioxide: 0.0004, mPerS: 344.0617, source: CRAMER },
] as const;

export const PUBLISHED_DRY_AIR = {
  airC: 0,
  pa: 101325,
  carbonDioxide: 0.000314,
  mPerS: 331.46,
  source: 'Cramer (1993), abstract, from memory',
} as const;

export const DRY_RULE = [
  { airC: -20, mPerS: 318.927, source: DRY },
  { airC: -10, mPerS: 325.165, source: DRY },
  { airC: 0, mPerS: 331.286, source: DRY },
  { airC: 10, mPerS: 337.296, source: DRY },
  { airC: 20, mPerS: 343.2, source: DRY },
  { airC: 30, mPerS: 349.005, source: DRY },
  { airC: 40, mPerS: 354.714, source: DRY },
] as const;

/** c = √(γ R T/M) with γ = 1.4, M = 28.9647 g/mol: another physics, close but not equal. */
export const IDEAL_GAS = [
  { airC: 0, mPerS: 331.32, withinMPerS: 0.35, source: 'ideal gas' },
  { airC: 20, mPerS: 343.235, withinMPerS: 0.35, source: 'ideal gas' },
  { airC: 30, mPerS: 349.04, withinMPerS: 0.35, source: 'ideal gas' },
] as const;
