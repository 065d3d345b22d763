/**
 * Normal gravity at a place, Geodetic Reference System 1980: Moritz (2000), J. Geodesy 74, 128–133. Somigliana's closed
 * formula on the ellipsoid, and the second-order series in height above it (Heiskanen and Moritz 1967, 2-123). The true
 * acceleration differs by the local anomaly, seldom more than 0.001 m/s².
 */
import { hold, type Range } from './law.ts';

export interface LocalGravity {
  readonly mPerS2: number;
  readonly perLatitudeDeg: number;
  /** Per metre of altitude. */
  readonly perAltitudeM: number;
  /** False where latitude or altitude was held at the end of its range. */
  readonly inRange: boolean;
}

/** 3rd General Conference on Weights and Measures (1901), exact. */
export const STANDARD_GRAVITY_M_PER_S2 = 9.80665;
/** Standard uncertainty of normal gravity as a measure of the true one, by the anomaly. */
export const GRAVITY_U_M_PER_S2 = 0.0005;

const EQUATOR_M_PER_S2 = 9.7803267715;
const K = 0.001931851353;
const ECCENTRICITY_SQUARED = 0.0066943800229;
const AXIS_M = 6378137;
const FLATTENING = 1 / 298.257222101;
const CENTRIFUGAL_RATIO = 0.00344978600308;

const LATITUDE_DEG: Range = { low: -90, high: 90 };
const ALTITUDE_M: Range = { low: -500, high: 9000 };
const RAD_PER_DEG = Math.PI / 180;

export function localGravity(latitudeDeg: number, altitudeM: number): LocalGravity {
  const latitude = hold(latitudeDeg, LATITUDE_DEG);
  const h = hold(altitudeM, ALTITUDE_M);
  const sine = Math.sin(latitude * RAD_PER_DEG);
  const s = sine * sine;
  const perDeg = latitude === latitudeDeg ? 2 * sine * Math.cos(latitude * RAD_PER_DEG) * RAD_PER_DEG : 0;

  const root = Math.sqrt(1 - ECCENTRICITY_SQUARED * s);
  const ground = (EQUATOR_M_PER_S2 * (1 + K * s)) / root;
  const groundPerS = (EQUATOR_M_PER_S2 * K + (ground * ECCENTRICITY_SQUARED) / (2 * root)) / root;

  const rate = (-2 / AXIS_M) * (1 + FLATTENING + CENTRIFUGAL_RATIO - 2 * FLATTENING * s);
  const ratePerS = (4 * FLATTENING) / AXIS_M;
  const curvature = 3 / (AXIS_M * AXIS_M);
  const rise = 1 + h * (rate + curvature * h);

  return {
    mPerS2: ground * rise,
    perLatitudeDeg: (groundPerS * rise + ground * h * ratePerS) * perDeg,
    perAltitudeM: h === altitudeM ? ground * (rate + 2 * curvature * h) : 0,
    inRange: latitude === latitudeDeg && h === altitudeM,
  };
}
