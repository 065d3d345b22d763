/**
 * A round pot that widens upwards: radius(z) = foot + taper · z. The level is measured from the bottom, where the
 * gauge sits. Expansion of the steel itself is left out: 3.5e-5/K by volume, a twentieth of the oil's.
 */
export interface Pot {
  /** Radius at the bottom, m. */
  readonly footRadiusM: number;
  /** Increase of the radius per metre of height. */
  readonly taper: number;
}

export function radiusM(pot: Pot, levelM: number): number {
  return pot.footRadiusM + pot.taper * levelM;
}

/** Frustum of a cone: V = π h (r₀² + r₀ r + r²) / 3. */
export function volumeM3(pot: Pot, levelM: number): number {
  const low = pot.footRadiusM;
  const high = radiusM(pot, levelM);
  return (Math.PI * levelM * (low * low + low * high + high * high)) / 3;
}

/** The inverse: r³ = r₀³ + 3 · taper · V / π. */
export function levelM(pot: Pot, volume: number): number {
  if (pot.taper === 0) return volume / (Math.PI * pot.footRadiusM ** 2);
  return (Math.cbrt(pot.footRadiusM ** 3 + (3 * pot.taper * volume) / Math.PI) - pot.footRadiusM) / pot.taper;
}

/** First zero of J₁', for the lowest sideways mode of a round vessel. */
const FIRST_SIDEWAYS_ROOT = 1.8412;

/**
 * Lowest sloshing frequency, Hz: ω² = g (ε/R) tanh(ε h/R) (Abramson, The dynamic behavior of liquids in moving
 * containers, NASA SP-106, 1966).
 */
export function sloshHz(pot: Pot, level: number): number {
  const k = FIRST_SIDEWAYS_ROOT / radiusM(pot, level);
  return Math.sqrt(9.80665 * k * Math.tanh(k * level)) / (2 * Math.PI);
}
