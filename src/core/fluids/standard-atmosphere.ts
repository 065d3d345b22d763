/** Air pressure from altitude: ISO 2533:1975 standard atmosphere, below the tropopause. */

export interface AirPressure {
  /** kPa, absolute. */
  readonly value: number;
  /** kPa per metre. */
  readonly derivative: number;
  /** Standard uncertainty as the pressure of a real day, kPa: weather, our estimate. */
  readonly u: number;
  /** False outside −2000 to 11 000 geopotential metres: the end value is held. */
  readonly inRange: boolean;
  readonly source: string;
}

const P0_KPA = 101.325;
const T0_K = 288.15;
const LAPSE_K_PER_M = 0.0065;
/** g₀/(R × lapse rate) with g₀ = 9.80665 m/s² and R = 287.05287 J/(kg K). */
const EXPONENT = 9.80665 / (287.05287 * LAPSE_K_PER_M);
const EARTH_RADIUS_M = 6356766;
const LOW_M = -2000;
const HIGH_M = 11000;
const U_WEATHER_KPA = 1.5;

/** Pressure of the standard atmosphere at a geopotential altitude. A barometer, unreduced, is better. */
export function standardPressure(geopotentialM: number): AirPressure {
  const held = Math.min(Math.max(geopotentialM, LOW_M), HIGH_M);
  const share = 1 - (LAPSE_K_PER_M * held) / T0_K;
  const value = P0_KPA * Math.exp(EXPONENT * Math.log(share));
  const inRange = held === geopotentialM;
  return {
    value,
    derivative: inRange ? (-value * EXPONENT * LAPSE_K_PER_M) / (T0_K * share) : 0,
    u: U_WEATHER_KPA,
    inRange,
    source: 'ISO 2533:1975 standard atmosphere',
  };
}

/** Geopotential altitude, m, of an altitude as a map gives it. */
export function geopotential(geometricM: number): number {
  return (EARTH_RADIUS_M * geometricM) / (EARTH_RADIUS_M + geometricM);
}
