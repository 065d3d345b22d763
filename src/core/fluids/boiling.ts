/** Boiling point and vapour pressure of water: IAPWS-IF97, region 4 (IAPWS R7-97(2012), section 8). */

export interface Boiling {
  readonly value: number;
  /** °C per kPa, or kPa per K. */
  readonly derivative: number;
  /** False outside 0 to 373.946 °C: the end value is held. */
  readonly inRange: boolean;
  readonly source: string;
}

const N = [
  1167.0521452767, -724213.16703206, -17.073846940092, 12020.82470247, -3232555.0322333, 14.91510861353,
  -4823.2657361591, 405113.40542057, -0.23855557567849, 650.17534844798,
] as const;
const SOURCE = 'IAPWS-IF97 region 4';
const ZERO_C_K = 273.15;
const CRITICAL_C = 373.946;
const CRITICAL_KPA = 22064;
const KPA_PER_MPA = 1000;

/** Temperature, °C on ITS-90, at which water boils under `kPa` absolute pressure. */
export function boilingPoint(kPa: number): Boiling {
  const lowest = vapourPressure(0).value;
  const held = Math.min(Math.max(kPa, lowest), CRITICAL_KPA);
  const beta = Math.sqrt(Math.sqrt(held / KPA_PER_MPA));
  const [n1, n2, n3, n4, n5, n6, n7, n8, n9, n10] = N;
  const e = (beta + n3) * beta + n6;
  const f = (n1 * beta + n4) * beta + n7;
  const g = (n2 * beta + n5) * beta + n8;
  const d = (2 * g) / (-f - Math.sqrt(f * f - 4 * e * g));
  const kelvin = (n10 + d - Math.sqrt((n10 + d) * (n10 + d) - 4 * (n9 + n10 * d))) / 2;
  const inRange = held === kPa;
  return { value: kelvin - ZERO_C_K, derivative: inRange ? 1 / slope(kelvin, beta) : 0, inRange, source: SOURCE };
}

/** Vapour pressure of water, kPa, at `tC` on ITS-90. */
export function vapourPressure(tC: number): Boiling {
  const heldC = Math.min(Math.max(tC, 0), CRITICAL_C);
  const kelvin = heldC + ZERO_C_K;
  const [n1, n2, n3, n4, n5, n6, n7, n8] = N;
  const theta = thetaOf(kelvin);
  const a = (theta + n1) * theta + n2;
  const b = (n3 * theta + n4) * theta + n5;
  const c = (n6 * theta + n7) * theta + n8;
  const beta = (2 * c) / (-b + Math.sqrt(b * b - 4 * a * c));
  const inRange = heldC === tC;
  const square = beta * beta;
  return {
    value: square * square * KPA_PER_MPA,
    derivative: inRange ? slope(kelvin, beta) : 0,
    inRange,
    source: SOURCE,
  };
}

function thetaOf(kelvin: number): number {
  return kelvin + N[8] / (kelvin - N[9]);
}

/** dp/dT, kPa/K, by implicit differentiation of the saturation equation, a polynomial in β = p^¼ and ϑ. */
function slope(kelvin: number, beta: number): number {
  const [n1, n2, n3, n4, n5, n6, n7, , n9, n10] = N;
  const theta = thetaOf(kelvin);
  const perBeta = 2 * beta * ((theta + n1) * theta + n2) + (n3 * theta + n4) * theta + n5;
  const perTheta = 2 * theta * ((beta + n3) * beta + n6) + (n1 * beta + n4) * beta + n7;
  const thetaPerK = 1 - n9 / ((kelvin - n10) * (kelvin - n10));
  const betaPerK = (-perTheta / perBeta) * thetaPerK;
  return 4 * beta * beta * beta * betaPerK * KPA_PER_MPA;
}
