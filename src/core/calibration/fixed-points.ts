/** Reference temperatures that water gives: melting ice, and boiling under the pressure of the day. */
import { boilingPoint } from '../fluids/boiling.ts';
import { geopotential, standardPressure } from '../fluids/standard-atmosphere.ts';

export interface FixedPoint {
  readonly tC: number;
  /** Standard uncertainty, K. */
  readonly uK: number;
  readonly name: string;
}

/** A careful bath in a workshop: clean crushed ice in clean water, stirred. Common practice, no source. */
const ICE_U_K = 0.05;
/** Clean water in an open vessel that boils all over. Common practice, no source. */
const BOILING_U_K = 0.1;

/** Melting ice at the pressure of the air: 0 °C. */
export function icePoint(): FixedPoint {
  return { tC: 0, uK: ICE_U_K, name: 'ice bath' };
}

/** The pressure as a barometer on the spot shows it, not reduced to sea level. */
export function boilingByBarometer(kPa: number, uKPa: number): FixedPoint {
  return boilingAt(kPa, uKPa, `boiling water, ${Number(kPa.toPrecision(6))} kPa by barometer`);
}

/** From the altitude on a map: the weather makes this several times less sure than a barometer. */
export function boilingByAltitude(altitudeM: number): FixedPoint {
  const { value, u, inRange } = standardPressure(geopotential(altitudeM));
  if (!inRange) throw new RangeError(`an altitude of ${altitudeM} m is outside −2000 to 11000 m`);
  return boilingAt(value, u, `boiling water at ${altitudeM} m altitude`);
}

function boilingAt(kPa: number, uKPa: number, name: string): FixedPoint {
  const { value, derivative, inRange } = boilingPoint(kPa);
  if (!(kPa >= 20 && kPa <= 120 && inRange))
    throw new RangeError(`${kPa} kPa is no pressure of the air: 20 to 120 kPa are expected`);
  const byPressure = derivative * uKPa;
  return { tC: value, uK: Math.sqrt(byPressure * byPressure + BOILING_U_K * BOILING_U_K), name };
}
