/** Invented fluids for the tests. */
import type { FluidDescription, SingleFluidDescription } from '../../../src/core/fluids/description.ts';

export const OIL: SingleFluidDescription = {
  kind: 'single',
  name: 'oil',
  density: { kind: 'lubricating-oil', at15KgPerM3: 850, uKgPerM3: 2, uExpansionPerK: 5e-5 },
  sound: {
    kind: 'linear',
    atC: 25,
    mPerS: 1430,
    uMPerS: 20,
    perK: -3.5,
    uPerK: 0.3,
    lowC: -20,
    highC: 120,
    source: 'invented',
  },
};

export const OTHER_OIL: SingleFluidDescription = {
  kind: 'single',
  name: 'other oil',
  density: { kind: 'lubricating-oil', at15KgPerM3: 872, uKgPerM3: 3, uExpansionPerK: 4e-5 },
  sound: {
    kind: 'calibrated',
    atC: 30,
    uAtC: 0.2,
    lengthMm: 100,
    uLengthMm: 0.05,
    echoUs: 138,
    uEchoUs: 0.1,
    perK: -3.2,
    uPerK: 0.4,
    lowC: 0,
    highC: 110,
    source: 'calibrated in the fluid',
  },
};

export const WATER: SingleFluidDescription = {
  kind: 'single',
  name: 'water',
  density: { kind: 'water', uKgPerM3: 0.5 },
  sound: { kind: 'water', uMPerS: 1 },
};

export const BY_TABLE: SingleFluidDescription = {
  kind: 'single',
  name: 'by table',
  density: {
    kind: 'table',
    source: 'invented data sheet',
    uKgPerM3: 1,
    points: [
      { tC: 0, kgPerM3: 1082 },
      { tC: 20, kgPerM3: 1071 },
      { tC: 50, kgPerM3: 1053 },
      { tC: 80, kgPerM3: 1033 },
      { tC: 110, kgPerM3: 1009 },
    ],
  },
  sound: {
    kind: 'table',
    source: 'invented measurement',
    uMPerS: 4,
    points: [
      { tC: 10, mPerS: 1660 },
      { tC: 40, mPerS: 1625 },
      { tC: 70, mPerS: 1560 },
      { tC: 100, mPerS: 1480 },
    ],
  },
};

export const MIXED: FluidDescription = {
  kind: 'mixture',
  name: 'old and fresh',
  old: OTHER_OIL,
  fresh: OIL,
  freshShare: 0.4,
  uFreshShare: 0.02,
};

/** Each with temperatures at which all its properties hold. */
export const FLUIDS = [
  { fluid: OIL, lowC: -20, highC: 120 },
  { fluid: OTHER_OIL, lowC: 0, highC: 110 },
  { fluid: WATER, lowC: 0, highC: 95 },
  { fluid: BY_TABLE, lowC: 10, highC: 100 },
  { fluid: MIXED, lowC: 0, highC: 110 },
] as const;
