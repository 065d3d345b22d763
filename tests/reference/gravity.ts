/** Normal gravity, each figure with its source. */

const GRS80 = 'Moritz (2000), J. Geodesy 74, 128–133: closed formula, computed independently';

export const AT_SEA_LEVEL = [
  { latitudeDeg: 0, mPerS2: 9.78032677, gswMPerS2: 9.780327, source: GRS80 },
  { latitudeDeg: 10, mPerS2: 9.78188384, gswMPerS2: 9.78188411, source: GRS80 },
  { latitudeDeg: 20, mPerS2: 9.78636954, gswMPerS2: 9.78636994, source: GRS80 },
  { latitudeDeg: 30, mPerS2: 9.7932487, gswMPerS2: 9.79324926, source: GRS80 },
  { latitudeDeg: 40, mPerS2: 9.8016983, gswMPerS2: 9.80169896, source: GRS80 },
  { latitudeDeg: 45, mPerS2: 9.8061992, gswMPerS2: 9.80619988, source: GRS80 },
  { latitudeDeg: 50, mPerS2: 9.81070357, gswMPerS2: 9.81070422, source: GRS80 },
  { latitudeDeg: 55, mPerS2: 9.81507438, gswMPerS2: 9.81507496, source: GRS80 },
  { latitudeDeg: 60, mPerS2: 9.81917838, gswMPerS2: 9.81917886, source: GRS80 },
  { latitudeDeg: 70, mPerS2: 9.8260962, gswMPerS2: 9.82609639, source: GRS80 },
  { latitudeDeg: 80, mPerS2: 9.83061588, gswMPerS2: 9.83061582, source: GRS80 },
  { latitudeDeg: 90, mPerS2: 9.83218637, gswMPerS2: 9.83218621, source: GRS80 },
] as const;

export const EXACT = [
  { latitudeDeg: 0, mPerS2: 9.7803267715, within: 1e-10, source: 'Moritz (2000), gravity at the equator' },
  { latitudeDeg: 45, mPerS2: 9.806199203, within: 2e-9, source: 'Moritz (2000), gravity at 45°' },
  { latitudeDeg: 90, mPerS2: 9.8321863685, within: 2e-10, source: 'Moritz (2000), gravity at the pole' },
] as const;

export const FREE_AIR = {
  latitudeDeg: 45,
  altitudeM: 1000,
  mPerS2: 9.803113,
  source: 'first-order gradient −3.086e-6 /s², computed',
} as const;

const POTENTIAL =
  'gradient of the closed normal potential of GRS80 (Moritz 2000; Heiskanen and Moritz 1967, 2-62), in forty-digit arithmetic of another language';

export const AT_ALTITUDE = [
  { latitudeDeg: 0, altitudeM: 3000, mPerS2: 9.771069911659, source: POTENTIAL },
  { latitudeDeg: 45, altitudeM: 1000, mPerS2: 9.803114329632, source: POTENTIAL },
  { latitudeDeg: 60, altitudeM: 2000, mPerS2: 9.813012294584, source: POTENTIAL },
  { latitudeDeg: 45, altitudeM: 9000, mPerS2: 9.778487472006, source: POTENTIAL },
  { latitudeDeg: 30, altitudeM: -500, mPerS2: 9.794792234835, source: POTENTIAL },
] as const;
