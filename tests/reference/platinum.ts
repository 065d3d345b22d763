/** Platinum thermometers: figures as printed, each with its source. */

const THREE = 'IEC 60751:2008, resistance of a Pt100, as printed to 0.001 Ω';
const TWO = 'IEC 60751:2008, resistance of a Pt100, as printed to 0.01 Ω';

export interface PrintedResistance {
  readonly tC: number;
  readonly ohm: number;
  /** Digits after the point, as printed. */
  readonly digits: number;
  readonly source: string;
}

export const PT100: readonly PrintedResistance[] = [
  { tC: -200, ohm: 18.52, digits: 3, source: THREE },
  { tC: -190, ohm: 22.83, digits: 2, source: TWO },
  { tC: -180, ohm: 27.1, digits: 2, source: TWO },
  { tC: -170, ohm: 31.34, digits: 2, source: TWO },
  { tC: -160, ohm: 35.54, digits: 2, source: TWO },
  { tC: -150, ohm: 39.723, digits: 3, source: THREE },
  { tC: -140, ohm: 43.88, digits: 2, source: TWO },
  { tC: -130, ohm: 48, digits: 2, source: TWO },
  { tC: -120, ohm: 52.11, digits: 2, source: TWO },
  { tC: -110, ohm: 56.19, digits: 2, source: TWO },
  { tC: -100, ohm: 60.256, digits: 3, source: THREE },
  { tC: -90, ohm: 64.3, digits: 2, source: TWO },
  { tC: -80, ohm: 68.33, digits: 2, source: TWO },
  { tC: -70, ohm: 72.33, digits: 2, source: TWO },
  { tC: -60, ohm: 76.33, digits: 2, source: TWO },
  { tC: -50, ohm: 80.306, digits: 3, source: THREE },
  { tC: -40, ohm: 84.271, digits: 3, source: THREE },
  { tC: -30, ohm: 88.222, digits: 3, source: THREE },
  { tC: -20, ohm: 92.16, digits: 3, source: THREE },
  { tC: -10, ohm: 96.086, digits: 3, source: THREE },
  { tC: 0, ohm: 100, digits: 3, source: THREE },
  { tC: 10, ohm: 103.903, digits: 3, source: THREE },
  { tC: 20, ohm: 107.794, digits: 3, source: THREE },
  { tC: 30, ohm: 111.673, digits: 3, source: THREE },
  { tC: 40, ohm: 115.541, digits: 3, source: THREE },
  { tC: 50, ohm: 119.397, digits: 3, source: THREE },
  { tC: 60, ohm: 123.242, digits: 3, source: THREE },
  { tC: 70, ohm: 127.075, digits: 3, source: THREE },
  { tC: 80, ohm: 130.897, digits: 3, source: THREE },
  { tC: 90, ohm: 134.707, digits: 3, source: THREE },
  { tC: 100, ohm: 138.506, digits: 3, source: THREE },
  { tC: 110, ohm: 142.29, digits: 2, source: TWO },
  { tC: 120, ohm: 146.07, digits: 2, source: TWO },
  { tC: 130, ohm: 149.83, digits: 2, source: TWO },
  { tC: 140, ohm: 153.58, digits: 2, source: TWO },
  { tC: 150, ohm: 157.325, digits: 3, source: THREE },
  { tC: 160, ohm: 161.05, digits: 2, source: TWO },
  { tC: 170, ohm: 164.77, digits: 2, source: TWO },
  { tC: 180, ohm: 168.48, digits: 2, source: TWO },
  { tC: 190, ohm: 172.17, digits: 2, source: TWO },
  { tC: 200, ohm: 175.856, digits: 3, source: THREE },
  { tC: 250, ohm: 194.098, digits: 3, source: THREE },
  { tC: 300, ohm: 212.052, digits: 3, source: THREE },
  { tC: 350, ohm: 229.716, digits: 3, source: THREE },
  { tC: 400, ohm: 247.092, digits: 3, source: THREE },
  { tC: 450, ohm: 264.179, digits: 3, source: THREE },
  { tC: 500, ohm: 280.978, digits: 3, source: THREE },
  { tC: 550, ohm: 297.487, digits: 3, source: THREE },
  { tC: 600, ohm: 313.708, digits: 3, source: THREE },
  { tC: 650, ohm: 329.64, digits: 3, source: THREE },
  { tC: 700, ohm: 345.284, digits: 3, source: THREE },
  { tC: 750, ohm: 360.638, digits: 3, source: THREE },
  { tC: 800, ohm: 375.704, digits: 3, source: THREE },
  { tC: 850, ohm: 390.481, digits: 3, source: THREE },
];

/** The older curve that still circulates beside the new coefficients: must NOT come out. */
export const OLD_CURVE = {
  source: 'DIN 43760 / IPTS-68, superseded',
  points: [
    { tC: 100, ohm: 138.5 },
    { tC: 200, ohm: 175.84 },
    { tC: 300, ohm: 212.03 },
    { tC: 400, ohm: 247.06 },
    { tC: 500, ohm: 280.93 },
    { tC: 600, ohm: 313.65 },
    { tC: -100, ohm: 60.2 },
    { tC: -200, ohm: 18.53 },
  ],
} as const;

export interface PrintedTolerance {
  readonly rtdClass: 'A' | 'B';
  readonly tC: number;
  /** ± limit in °C and in Ω of a Pt100, as printed. */
  readonly limitC: number;
  readonly limitOhm: number;
  readonly source: string;
}

const LIMITS = 'IEC 60751 (1995), table of limits, as printed';
/** The printed table rounds these rows up; the formula of the same standard gives 0.05 °C or 0.01 Ω less. */
const ROUNDED = `${LIMITS}; row rounded up against its own formula`;

export const TOLERANCES: readonly PrintedTolerance[] = [
  { rtdClass: 'A', tC: -200, limitC: 0.55, limitOhm: 0.24, source: LIMITS },
  { rtdClass: 'A', tC: -100, limitC: 0.35, limitOhm: 0.14, source: LIMITS },
  { rtdClass: 'A', tC: 0, limitC: 0.15, limitOhm: 0.06, source: LIMITS },
  { rtdClass: 'A', tC: 100, limitC: 0.35, limitOhm: 0.13, source: LIMITS },
  { rtdClass: 'A', tC: 200, limitC: 0.55, limitOhm: 0.2, source: LIMITS },
  { rtdClass: 'A', tC: 300, limitC: 0.75, limitOhm: 0.27, source: LIMITS },
  { rtdClass: 'A', tC: 400, limitC: 0.95, limitOhm: 0.33, source: LIMITS },
  { rtdClass: 'A', tC: 500, limitC: 1.15, limitOhm: 0.38, source: LIMITS },
  { rtdClass: 'A', tC: 600, limitC: 1.35, limitOhm: 0.43, source: LIMITS },
  { rtdClass: 'A', tC: 650, limitC: 1.45, limitOhm: 0.46, source: LIMITS },
  { rtdClass: 'B', tC: -200, limitC: 1.3, limitOhm: 0.56, source: LIMITS },
  { rtdClass: 'B', tC: -100, limitC: 0.8, limitOhm: 0.32, source: LIMITS },
  { rtdClass: 'B', tC: 0, limitC: 0.3, limitOhm: 0.12, source: LIMITS },
  { rtdClass: 'B', tC: 100, limitC: 0.8, limitOhm: 0.3, source: LIMITS },
  { rtdClass: 'B', tC: 200, limitC: 1.3, limitOhm: 0.48, source: LIMITS },
  { rtdClass: 'B', tC: 300, limitC: 1.8, limitOhm: 0.64, source: LIMITS },
  { rtdClass: 'B', tC: 400, limitC: 2.3, limitOhm: 0.79, source: LIMITS },
  { rtdClass: 'B', tC: 500, limitC: 2.8, limitOhm: 0.93, source: LIMITS },
  { rtdClass: 'B', tC: 600, limitC: 3.3, limitOhm: 1.06, source: LIMITS },
  { rtdClass: 'B', tC: 650, limitC: 3.6, limitOhm: 1.13, source: ROUNDED },
  { rtdClass: 'B', tC: 700, limitC: 3.8, limitOhm: 1.17, source: ROUNDED },
  { rtdClass: 'B', tC: 800, limitC: 4.3, limitOhm: 1.28, source: LIMITS },
  { rtdClass: 'B', tC: 850, limitC: 4.6, limitOhm: 1.34, source: ROUNDED },
];
