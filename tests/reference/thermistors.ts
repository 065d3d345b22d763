/** NTC thermistors, each figure with its source. */

export const TEXTBOOK_POINTS = {
  source: 'widely used textbook case of three points; coefficients recomputed independently',
  points: [
    { tC: 5, ohm: 25000 },
    { tC: 25, ohm: 10000 },
    { tC: 45, ohm: 4000 },
  ],
  a: 0.002108508173112712,
  b: 7.979204726779853e-5,
  c: 6.535076314649454e-7,
  resistances: [
    { tC: 0, ohm: 31482.146 },
    { tC: 15, ohm: 15799.007 },
    { tC: 35, ohm: 6329.52 },
    { tC: 60, ohm: 1996.633 },
  ],
} as const;

export const GENERIC_10K = {
  source: 'widely published coefficients of a 10 kΩ thermistor, no standard; temperatures computed independently',
  a: 0.001129241,
  b: 0.0002341077,
  c: 8.775468e-8,
  temperatures: [
    { ohm: 32650, tC: -5e-5 },
    { ohm: 25000, tC: 5.31666 },
    { ohm: 10000, tC: 24.99997 },
    { ohm: 5000, tC: 41.57258 },
    { ohm: 1000, tC: 87.16813 },
  ],
} as const;

/** A published table whose value at 40 °C has a wrong digit: 5331 stands where 5231 fits. */
export const PUBLISHED_TABLE = {
  source: 'published resistance table of a 10 kΩ thermistor, fit errors printed as 0.0003 to 0.0009 °C',
  points: [
    { tC: 0, ohm: 32128, offC: 0 },
    { tC: 10, ohm: 19549, offC: 0.0006 },
    { tC: 20, ohm: 12262, offC: 0 },
    { tC: 25, ohm: 9814, offC: 0.0007 },
    { tC: 30, ohm: 7908, offC: -0.0015 },
    { tC: 40, ohm: 5331, offC: -0.4723 },
    { tC: 50, ohm: 3542, offC: 0 },
  ],
  wrong: { tC: 40, printedOhm: 5331, rightOhm: 5231 },
  a: 0.0011045049000755398,
  b: 0.0002388609573168689,
  c: 6.953605504611571e-8,
} as const;

/** A published worked example that does not follow from its own, rounded, resistances: must NOT come out as printed. */
export const BROKEN_EXAMPLE = {
  source: 'trade-press article on linearising thermistors',
  points: [
    { tC: -50, ohm: 2045 },
    { tC: 25, ohm: 100 },
    { tC: 100, ohm: 15 },
  ],
  printed: { a: 0.00175, b: 0.0003399, c: 3.089e-7 },
  recomputed: { a: 0.0017401798318651455, b: 0.000345189611834592, c: 2.4757896625440423e-7 },
} as const;

export const BETA_EXAMPLE = {
  source: 'IEC 60539-1, B-value; resistances computed independently',
  r0Ohm: 10000,
  t0C: 25,
  betaK: 3950,
  resistances: [
    { tC: -40, ohm: 401859.7246 },
    { tC: 0, ohm: 33620.6037 },
    { tC: 25, ohm: 10000 },
    { tC: 50, ohm: 3588.1826 },
    { tC: 85, ohm: 1086.6708 },
    { tC: 100, ohm: 697.5198 },
  ],
} as const;

export const BETA_FROM_POINTS = {
  source: 'IEC 60539-1, B25/50; computed independently',
  first: { tC: 25, ohm: 10000 },
  second: { tC: 50, ohm: 3602 },
  betaK: 3935.1879,
} as const;

export const DIVIDER_EXAMPLE = {
  source: 'two resistors in series: thermistor to ground, 10 kΩ to the supply',
  fixedOhm: 10000,
  fraction: 0.25,
  ohm: 3333.3333333333335,
} as const;
