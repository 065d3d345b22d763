/** Petroleum volume correction: the standard's own worked examples and figures of the 1980 tables, each with its source. */
import type { Coefficients } from '../../src/core/fluids/petroleum.ts';

const STANDARD = 'API MPMS 11.1-2004 / ASTM D1250-04';

export interface WorkedExample {
  readonly source: string;
  readonly liquid: string;
  /** Per °F, as the standard gives them for the group; α₆₀ alone where the example gives it. */
  readonly by: Coefficients;
  /** Density at 60 °F, kg/m³; what was observed in the examples that go back to the base. */
  readonly fromKgPerM3: number;
  readonly tF: number;
  readonly psig: number;
  /** Printed intermediates and results: °F, kg/m³, 1/°F, 10⁻⁵/psi. */
  readonly printed: Readonly<Record<string, number>>;
}

/** From 60 °F to other conditions. */
export const FROM_BASE: readonly WorkedExample[] = [
  {
    source: `${STANDARD}, 11.1.6.1, example 1`,
    liquid: 'crude oils',
    by: { k0: 341.0957, k1: 0, k2: 0 },
    fromKgPerM3: 946.918739324,
    tF: -27.7,
    psig: 0,
    printed: {
      t68F: -27.712499233089,
      rhoStarKgPerM3: 946.921215770785,
      alpha60PerF: 0.000380407044,
      fp: 0.305779891997,
      ctl: 1.033011591958,
      cpl: 1.0,
      ctpl: 1.033011591958,
      densityKgPerM3: 978.178034364,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.1, example 2`,
    liquid: 'crude oils',
    by: { k0: 341.0957, k1: 0, k2: 0 },
    fromKgPerM3: 1163.463078189,
    tF: 301.93,
    psig: 1500,
    printed: {
      t68F: 301.993163042978,
      rhoStarKgPerM3: 1163.46509372,
      alpha60PerF: 0.000251982006,
      fp: 0.427958509999,
      ctl: 0.938051116886,
      cpl: 1.006460852301,
      ctpl: 0.944111726603,
      densityKgPerM3: 1098.4391355882,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.1, example 3`,
    liquid: 'fuel oils',
    by: { k0: 103.872, k1: 0.2701, k2: 0 },
    fromKgPerM3: 936.784387011,
    tF: 48.04,
    psig: -7.3,
    printed: {
      t68F: 48.043878159606,
      rhoStarKgPerM3: 936.787006219757,
      alpha60PerF: 0.000406689168,
      fp: 0.384339609206,
      ctl: 1.00485806899,
      cpl: 1.0,
      ctpl: 1.00485806899,
      densityKgPerM3: 941.3353501926,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.1, example 4`,
    liquid: 'jet fuels',
    by: { k0: 330.301, k1: 0, k2: 0 },
    fromKgPerM3: 793.5184088,
    tF: 85,
    psig: 247.3,
    printed: {
      t68F: 85.013358222928,
      rhoStarKgPerM3: 793.521270459968,
      alpha60PerF: 0.000524557068,
      fp: 0.664706197066,
      ctl: 0.986832406683,
      cpl: 1.001646525013,
      ctpl: 0.988457250925,
      densityKgPerM3: 784.3590249208,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.1, example 5`,
    liquid: 'transition zone',
    by: { k0: 1489.067, k1: 0, k2: -0.0018684 },
    fromKgPerM3: 772.32,
    tF: -32.8,
    psig: 124.63,
    printed: {
      fp: 0.451102239378,
      ctl: 1.057147343671,
      cpl: 1.000562524977,
      ctpl: 1.057742015457,
      densityKgPerM3: 816.9153133776,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.1, example 5 as a second copy has it`,
    liquid: 'transition zone',
    by: { k0: 1489.067, k1: 0, k2: -0.0018684 },
    fromKgPerM3: 787.518566697,
    tF: 55.9,
    psig: 350,
    printed: {
      t68F: 55.905838569594,
      rhoStarKgPerM3: 787.521450184768,
      alpha60PerF: 0.000532585048,
      fp: 0.608111538634,
      ctl: 1.002182725702,
      cpl: 1.002132930093,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.1, example 6`,
    liquid: 'gasolines',
    by: { k0: 192.4571, k1: 0.2438, k2: 0 },
    fromKgPerM3: 657.3,
    tF: 27.3,
    psig: 1234.5,
    printed: {
      t68F: 27.298898616759,
      rhoStarKgPerM3: 657.303689061482,
      alpha60PerF: 0.00081636213,
      fp: 0.993527440282,
      ctl: 1.026475833518,
      cpl: 1.012417396817,
      ctpl: 1.039221991267,
      densityKgPerM3: 683.0806148596,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.1, example 7 (special application, alpha given)`,
    liquid: 'special application',
    by: { k0: 0, k1: 0, k2: 0.000732185 },
    fromKgPerM3: 1052.6631592,
    tF: 97.7,
    psig: 287.4,
    printed: {
      fp: 0.346454796729,
      ctl: 0.9721737956968,
      cpl: 1.000996703515,
      ctpl: 0.973142764735,
      densityKgPerM3: 1024.3915370787,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.1, example 8`,
    liquid: 'lubricating oils',
    by: { k0: 0, k1: 0.34878, k2: 0 },
    fromKgPerM3: 810.55483945,
    tF: 129.3,
    psig: 138.8,
    printed: {
      fp: 0.732650236105,
      ctl: 0.969922293864,
      cpl: 1.001017953704,
      ctpl: 0.970909629855,
      densityKgPerM3: 786.9754991473,
    },
  },
];

/** From an observed density back to 60 °F; the standard stops its iteration at 1e-6 kg/m³. */
export const TO_BASE: readonly WorkedExample[] = [
  {
    source: `${STANDARD}, 11.1.6.2, example 1`,
    liquid: 'crude oils',
    by: { k0: 341.0957, k1: 0, k2: 0 },
    fromKgPerM3: 823.7,
    tF: 80.3,
    psig: -5,
    printed: { baseKgPerM3: 832.048516184234, ctl: 0.989966310837, fp: 0.567045450015, cpl: 1.0, ctpl: 0.989966310837 },
  },
  {
    source: `${STANDARD}, 11.1.6.2, example 2`,
    liquid: 'crude oils',
    by: { k0: 341.0957, k1: 0, k2: 0 },
    fromKgPerM3: 722.60825312,
    tF: -57.95,
    psig: 113.5,
    printed: {
      baseKgPerM3: 663.445062852402,
      ctl: 1.08842974169,
      fp: 0.60343654082,
      cpl: 1.000685369884,
      ctpl: 1.089175718656,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.2, example 5`,
    liquid: 'transition zone',
    by: { k0: 1489.067, k1: 0, k2: -0.0018684 },
    fromKgPerM3: 803.141,
    tF: 25.3,
    psig: 267,
    printed: {
      baseKgPerM3: 787.507922593917,
      ctl: 1.018381017381,
      fp: 0.539959363768,
      cpl: 1.001443772976,
      ctpl: 1.019851328373,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.2, example 6`,
    liquid: 'gasolines',
    by: { k0: 192.4571, k1: 0.2438, k2: 0 },
    fromKgPerM3: 731.4795152,
    tF: 139,
    psig: 100,
    printed: {
      baseKgPerM3: 770.34979425206,
      ctl: 0.948677079691,
      fp: 0.910923457238,
      cpl: 1.000911753995,
      ctpl: 0.949542039808,
    },
  },
  {
    source: `${STANDARD}, 11.1.6.2, example 7`,
    liquid: 'special application',
    by: { k0: 0, k1: 0, k2: 0.00057634 },
    fromKgPerM3: 853.7,
    tF: 84.5,
    psig: 573,
    printed: {
      baseKgPerM3: 863.403098613648,
      ctl: 0.985817857839,
      fp: 0.519616156675,
      cpl: 1.002986291965,
      ctpl: 0.988761797787,
    },
  },
];

/**
 * Table 54D of the 1980 edition, lubricating oils on a base of 15 °C: computed from its constant 0.6278 kg/m³ per °C
 * (API MPMS 11.1-1980 / ASTM D1250-80). An independent edition: the two agree within 6e-6 of the volume.
 */
export const TABLE_54D: readonly { at15KgPerM3: number; tC: number; vcf: number; kgPerM3: number }[] = [
  { at15KgPerM3: 830, tC: -20, vcf: 1.0262515, kgPerM3: 851.789 },
  { at15KgPerM3: 830, tC: 0, vcf: 1.0113062, kgPerM3: 839.384 },
  { at15KgPerM3: 830, tC: 20, vcf: 0.9962138, kgPerM3: 826.857 },
  { at15KgPerM3: 830, tC: 30, vcf: 0.9886165, kgPerM3: 820.552 },
  { at15KgPerM3: 830, tC: 40, vcf: 0.9809874, kgPerM3: 814.22 },
  { at15KgPerM3: 830, tC: 50, vcf: 0.973328, kgPerM3: 807.862 },
  { at15KgPerM3: 830, tC: 60, vcf: 0.96564, kgPerM3: 801.481 },
  { at15KgPerM3: 830, tC: 80, vcf: 0.9501848, kgPerM3: 788.653 },
  { at15KgPerM3: 830, tC: 100, vcf: 0.9346346, kgPerM3: 775.747 },
  { at15KgPerM3: 850, tC: -20, vcf: 1.0256392, kgPerM3: 871.793 },
  { at15KgPerM3: 850, tC: 0, vcf: 1.0110411, kgPerM3: 859.385 },
  { at15KgPerM3: 850, tC: 20, vcf: 0.996303, kgPerM3: 846.858 },
  { at15KgPerM3: 850, tC: 30, vcf: 0.9888852, kgPerM3: 840.552 },
  { at15KgPerM3: 850, tC: 40, vcf: 0.981437, kgPerM3: 834.221 },
  { at15KgPerM3: 850, tC: 50, vcf: 0.9739599, kgPerM3: 827.866 },
  { at15KgPerM3: 850, tC: 60, vcf: 0.9664553, kgPerM3: 821.487 },
  { at15KgPerM3: 850, tC: 80, vcf: 0.9513702, kgPerM3: 808.665 },
  { at15KgPerM3: 850, tC: 100, vcf: 0.9361935, kgPerM3: 795.764 },
  { at15KgPerM3: 870, tC: -20, vcf: 1.0250547, kgPerM3: 891.798 },
  { at15KgPerM3: 870, tC: 0, vcf: 1.0107882, kgPerM3: 879.386 },
  { at15KgPerM3: 870, tC: 20, vcf: 0.9963881, kgPerM3: 866.858 },
  { at15KgPerM3: 870, tC: 30, vcf: 0.9891415, kgPerM3: 860.553 },
  { at15KgPerM3: 870, tC: 40, vcf: 0.9818658, kgPerM3: 854.223 },
  { at15KgPerM3: 870, tC: 50, vcf: 0.9745625, kgPerM3: 847.869 },
  { at15KgPerM3: 870, tC: 60, vcf: 0.9672329, kgPerM3: 841.493 },
  { at15KgPerM3: 870, tC: 80, vcf: 0.9525005, kgPerM3: 828.675 },
  { at15KgPerM3: 870, tC: 100, vcf: 0.93768, kgPerM3: 815.782 },
];

/** Factor to a base of 15 °C by the 2004 edition for 850 kg/m³ at 15 °C, computed from the standard's formula. */
export const FACTOR_2004 = [
  { tC: 40, vcf: 0.9814362 },
  { tC: 80, vcf: 0.9513666 },
] as const;

/** Constants that circulate in public codes and belong elsewhere: per °C and a base of 15 °C, or the transition zone. */
export const WRONG_CONSTANTS = [
  { why: 'per °C instead of per °F', by: { k0: 0, k1: 0.6278, k2: 0 } },
  { why: 'transition zone', by: { k0: 1489.067, k1: 0, k2: -0.0018684 } },
] as const;
