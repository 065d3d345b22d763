/**
 * Published worked examples of measurement uncertainty. "GUM" is JCGM 100:2008; rounded figures are as printed, to be met
 * within half of their last digit unless a wider tolerance stands beside them.
 */

/** GUM 4.4.3, Table 1: twenty observations of a temperature, °C. */
export const OBSERVED_C = [
  96.9, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95, 101.11, 101.2,
  101.57, 101.84, 102.36, 102.72,
] as const;
/** Mean, s(t) and s(mean) of them as printed (100.145 → 100.14, 1.489 → 1.49, 0.333 → 0.33). */
export const OBSERVED = { mean: 100.145, deviation: 1.489, uMean: 0.333 } as const;
/** GUM 4.4.5 and 4.4.6: 96 to 104 °C, all alike, and triangular. */
export const BOUNDED = { halfWidthC: 4, rectangular: 2.3, triangular: 1.6 } as const;

/**
 * GUM H.1: an end gauge of 50 mm by comparison. Lengths in nm. The printed chain uses rounded steps (9.7, 2.9, 16.6), so
 * u² is printed 1002 nm², 1005 unrounded; ν_eff 16.7 is truncated to 16 before t is taken.
 */
export const END_GAUGE = {
  standardMm: 50.000623,
  standard: { expandedNm: 75, factor: 3, degreesOfFreedom: 18 },
  /** Pooled s of 25 repeats, mean of five. */
  difference: { deviationNm: 13, n: 5, degreesOfFreedom: 24, uNm: 5.8 },
  comparatorRandom: { halfWidthNm: 10, t95: 2.57, degreesOfFreedom: 5, uNm: 3.9 },
  comparatorSystematic: { expandedNm: 20, factor: 3, degreesOfFreedom: 8, uNm: 6.7 },
  alphaPerK: 11.5e-6,
  alpha: { halfWidthPerK: 2e-6 },
  alphaDifference: { halfWidthPerK: 1e-6, degreesOfFreedom: 50 },
  thetaK: -0.1,
  theta: { uMeanK: 0.2, cyclicK: 0.5, uK: 0.41 },
  thetaDifference: { halfWidthK: 0.05, degreesOfFreedom: 2 },
  printed: {
    uDifferenceNm: 9.7,
    differenceDegreesOfFreedom: 25.6,
    byAlphaNm: 2.9,
    byThetaNm: 16.6,
    uNm: 32,
    varianceNm2: 1002,
    lengthMm: 50.000838,
    degreesOfFreedom: 16.7,
    truncated: 16,
    t99: 2.92,
    U99Nm: 93,
  },
} as const;

/** GUM H.2, Tables H.2 to H.4: five simultaneous observations of voltage (V), current (mA) and phase (rad). */
export const IMPEDANCE = {
  V: [5.007, 4.994, 5.005, 4.99, 4.999],
  mA: [19.663, 19.639, 19.64, 19.685, 19.678],
  rad: [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
  printed: {
    /** Resistance, reactance, impedance in Ohm, with their standard uncertainties. */
    R: 127.732,
    X: 219.847,
    Z: 254.26,
    uR: 0.071,
    uX: 0.295,
    uZ: 0.236,
    rRX: -0.588,
    rRZ: -0.485,
    rXZ: 0.993,
  },
} as const;

/** GUM H.3, Table H.6: a thermometer calibrated by a line, corrections b at readings t, °C. */
export const CALIBRATION = {
  tC: [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511],
  bC: [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16],
  t0C: 20,
  printed: {
    y1: -0.1712,
    u1: 0.0029,
    y2: 0.00218,
    u2: 0.00067,
    r: -0.93,
    s: 0.0035,
    b30: -0.1494,
    u30: 0.0041,
    degreesOfFreedom: 9,
    /** H.3.5: with the origin in the middle of the readings the two are uncorrelated. */
    middle: { y1: -0.1625, u1: 0.0011 },
  },
} as const;

/** GUM Table G.2: t(ν) for these fractions; the printed 68.27, 95.45 and 99.73 % are those of 1, 2 and 3 σ, exactly. */
export const T_FRACTIONS = [0.6826894921370859, 0.9, 0.95, 0.9544997361036416, 0.99, 0.9973002039367398] as const;
export const T_TABLE: readonly (readonly [degreesOfFreedom: number, t: readonly number[]])[] = [
  [1, [1.84, 6.31, 12.71, 13.97, 63.66, 235.8]],
  [2, [1.32, 2.92, 4.3, 4.53, 9.92, 19.21]],
  [3, [1.2, 2.35, 3.18, 3.31, 5.84, 9.22]],
  [4, [1.14, 2.13, 2.78, 2.87, 4.6, 6.62]],
  [5, [1.11, 2.02, 2.57, 2.65, 4.03, 5.51]],
  [6, [1.09, 1.94, 2.45, 2.52, 3.71, 4.9]],
  [7, [1.08, 1.89, 2.36, 2.43, 3.5, 4.53]],
  [8, [1.07, 1.86, 2.31, 2.37, 3.36, 4.28]],
  [9, [1.06, 1.83, 2.26, 2.32, 3.25, 4.09]],
  [10, [1.05, 1.81, 2.23, 2.28, 3.17, 3.96]],
  [11, [1.05, 1.8, 2.2, 2.25, 3.11, 3.85]],
  [12, [1.04, 1.78, 2.18, 2.23, 3.05, 3.76]],
  [13, [1.04, 1.77, 2.16, 2.21, 3.01, 3.69]],
  [14, [1.04, 1.76, 2.14, 2.2, 2.98, 3.64]],
  [15, [1.03, 1.75, 2.13, 2.18, 2.95, 3.59]],
  [16, [1.03, 1.75, 2.12, 2.17, 2.92, 3.54]],
  [17, [1.03, 1.74, 2.11, 2.16, 2.9, 3.51]],
  [18, [1.03, 1.73, 2.1, 2.15, 2.88, 3.48]],
  [19, [1.03, 1.73, 2.09, 2.14, 2.86, 3.45]],
  [20, [1.03, 1.72, 2.09, 2.13, 2.85, 3.42]],
  [25, [1.02, 1.71, 2.06, 2.11, 2.79, 3.33]],
  [30, [1.02, 1.7, 2.04, 2.09, 2.75, 3.27]],
  [35, [1.01, 1.69, 2.03, 2.07, 2.72, 3.23]],
  [40, [1.01, 1.68, 2.02, 2.06, 2.7, 3.2]],
  [45, [1.01, 1.68, 2.01, 2.06, 2.69, 3.18]],
  [50, [1.01, 1.68, 2.01, 2.05, 2.68, 3.16]],
  [100, [1.01, 1.66, 1.98, 2.03, 2.63, 3.08]],
  [Number.POSITIVE_INFINITY, [1.0, 1.645, 1.96, 2.0, 2.576, 3.0]],
];
/** The same with all digits: computed with scipy.stats.t.ppf. */
export const T_DIGITS: readonly (readonly [degreesOfFreedom: number, t: readonly number[]])[] = [
  [
    1,
    [
      1.837337201471583, 6.313751514675037, 12.706204736174694, 13.967730199244548, 63.656741162871526,
      235.80149796046652,
    ],
  ],
  [
    2,
    [
      1.3212773729262555, 2.9199855803537242, 4.302652729749462, 4.526536687430166, 9.924843200918287,
      19.20674421150852,
    ],
  ],
  [
    3,
    [
      1.196881354403156, 2.3533634348018233, 3.1824463052837078, 3.306822175005651, 5.840909309733355,
      9.218940458700235,
    ],
  ],
  [
    7,
    [
      1.0767133754164624, 1.8945786050900062, 2.364624251592784, 2.428805130403569, 3.4994832973504924,
      4.5299736787334215,
    ],
  ],
  [
    16,
    [1.0322417795607566, 1.7458836762762495, 2.1199052992212546, 2.168939991186383, 2.9207816224251, 3.544127612420493],
  ],
  [
    30,
    [
      1.016946754114985, 1.697260886593957, 2.0422724563012378, 2.0868443273103687, 2.7499956535672254,
      3.2703338824733135,
    ],
  ],
  [
    100,
    [
      1.0050250624472903, 1.6602343260853392, 1.9839715185235518, 2.0253091279034594, 2.6258905214380173,
      3.076755577096672,
    ],
  ],
];

/** GUM G.4.1: relative standard uncertainties in % from 10, 5 and 15 observations. */
export const PRODUCT = { u: [0.25, 0.57, 0.82], n: [10, 5, 15], uC: 1.03, degreesOfFreedom: 19.0, U95: 2.2 } as const;

/** GUM Table E.1: standard deviation of the standard deviation of n normal values, in % of its expectation. */
export const SPREAD_OF_SPREAD: readonly (readonly [n: number, percent: number])[] = [
  [2, 76],
  [3, 52],
  [4, 42],
  [5, 36],
  [10, 24],
  [20, 16],
  [30, 13],
  [50, 10],
];

/** GUM 7.2.6: how 10.47 mOhm and 28.05 kHz are told. */
export const ROUNDED = [
  [10.47, '11'],
  [28.05, '28'],
] as const;

/**
 * JCGM 101:2008, 9.2: four quantities added up. Half-widths of the 95 % interval by the law of propagation and by the
 * distributions themselves (3.879407 exactly, from the Irwin–Hall distribution; 17.0 by 4·10⁶ draws).
 */
export const ADDED = {
  normal: { byLaw: 3.92, byDistributions: 3.92 },
  rectangular: { byLaw: 3.92, byDistributions: 3.879407 },
  oneLarge: { byLaw: 19.9, byDistributions: 17.0 },
} as const;

/** JCGM 106:2012: probability that a quantity conforms to its limits. */
export const CONFORMITY = [
  {
    what: '7.3.2, breakdown voltage',
    value: -5.47,
    u: 0.05,
    low: Number.NEGATIVE_INFINITY,
    high: -5.4,
    within: 0.92,
    tolerance: 0.005,
  },
  { what: '7.4, kinematic viscosity', value: 13.6, u: 1.8, low: 12.5, high: 16.3, within: 0.66, tolerance: 0.005 },
  { what: 'middle, four u wide', value: 0.5, u: 0.25, low: 0, high: 1, within: 0.9544997361036416, tolerance: 1e-9 },
  { what: 'one u inside', value: 0.9, u: 0.1, low: 0, high: 1, within: 0.8413447460685429, tolerance: 1e-9 },
  { what: 'on the limit', value: 1, u: 0.1, low: 0, high: 1, within: 0.5, tolerance: 1e-9 },
] as const;
/** JCGM 106, Table 1: z for these conformance probabilities (0.95 is printed 1.64, unrounded 1.645). */
export const Z_TABLE = [
  [0.8, 0.84],
  [0.9, 1.28],
  [0.95, 1.64],
  [0.99, 2.33],
  [0.999, 3.09],
] as const;
/** JCGM 106, 8.3.3: 100 km/h, relative u 2 %, 99.9 % sure to be too fast: from 107 km/h on (106.588 unrounded). */
export const SPEED = { limit: 100, relative: 0.02, probability: 0.999, from: 106.588 } as const;
/**
 * JCGM 106, 9.5.4: error of bearings, gamma prior (4, 4 per µm), limit 2 µm, u 0.25 µm: share out of tolerance, risk of a
 * bad one accepted, acceptance limit for a risk of 0.1 %. Printed to the digits in brackets, the others computed with scipy.
 */
export const BEARINGS = {
  shape: 4,
  ratePerUm: 4,
  limitUm: 2,
  uUm: 0.25,
  /** [0.042] */
  outside: 0.04238011199168401,
  /** [0.008] */
  consumersRisk: 0.008019111884287175,
  /** [1.67] */
  limitForThousandth: 1.6718287715559588,
} as const;
