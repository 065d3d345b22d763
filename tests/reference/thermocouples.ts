/** Thermocouples: figures as printed, each with its source. */
import type { ThermocoupleType } from '../../src/core/laws/thermocouple-functions.ts';

const TABLE = 'NIST Monograph 175 (1993) / NIST ITS-90 thermocouple database, as printed to 0.001 mV';
const INVERSE = 'NIST Monograph 175 (1993), approximate inverse functions, with the errors stated there';

export interface PrintedEmf {
  readonly type: ThermocoupleType;
  readonly tC: number;
  readonly mV: number;
  /** The same from the published coefficients, in fifty-digit arithmetic of another language. */
  readonly computedMv: number;
  readonly source: string;
}

/** Reference junction at 0 °C. */
export const EMF: readonly PrintedEmf[] = [
  { type: 'B', tC: 100, mV: 0.033, computedMv: 0.0332041779546, source: TABLE },
  { type: 'B', tC: 250, mV: 0.291, computedMv: 0.2912795406398, source: TABLE },
  { type: 'B', tC: 400, mV: 0.787, computedMv: 0.7865324168234, source: TABLE },
  { type: 'B', tC: 630, mV: 1.975, computedMv: 1.9745456196113, source: TABLE },
  { type: 'B', tC: 700, mV: 2.431, computedMv: 2.430625944576, source: TABLE },
  { type: 'B', tC: 1000, mV: 4.834, computedMv: 4.83433869911, source: TABLE },
  { type: 'B', tC: 1200, mV: 6.786, computedMv: 6.7864269711304, source: TABLE },
  { type: 'B', tC: 1500, mV: 10.099, computedMv: 10.0990608221817, source: TABLE },
  { type: 'B', tC: 1800, mV: 13.591, computedMv: 13.5913030974008, source: TABLE },
  { type: 'B', tC: 1820, mV: 13.82, computedMv: 13.820279215146, source: TABLE },
  { type: 'E', tC: -270, mV: -9.835, computedMv: -9.8349508561918, source: TABLE },
  { type: 'E', tC: -200, mV: -8.825, computedMv: -8.8245810518464, source: TABLE },
  { type: 'E', tC: -100, mV: -5.237, computedMv: -5.2371843318597, source: TABLE },
  { type: 'E', tC: 25, mV: 1.495, computedMv: 1.4951117511901, source: TABLE },
  { type: 'E', tC: 100, mV: 6.319, computedMv: 6.3189303231213, source: TABLE },
  { type: 'E', tC: 200, mV: 13.421, computedMv: 13.4212959171688, source: TABLE },
  { type: 'E', tC: 400, mV: 28.946, computedMv: 28.9459641655978, source: TABLE },
  { type: 'E', tC: 600, mV: 45.093, computedMv: 45.0933574675244, source: TABLE },
  { type: 'E', tC: 800, mV: 61.017, computedMv: 61.0173719053232, source: TABLE },
  { type: 'E', tC: 1000, mV: 76.373, computedMv: 76.372826454, source: TABLE },
  { type: 'J', tC: -210, mV: -8.095, computedMv: -8.0953796493034, source: TABLE },
  { type: 'J', tC: -200, mV: -7.89, computedMv: -7.8904832587747, source: TABLE },
  { type: 'J', tC: -100, mV: -4.633, computedMv: -4.6325236797317, source: TABLE },
  { type: 'J', tC: 25, mV: 1.277, computedMv: 1.2772883844942, source: TABLE },
  { type: 'J', tC: 100, mV: 5.269, computedMv: 5.2689160833702, source: TABLE },
  { type: 'J', tC: 200, mV: 10.779, computedMv: 10.7787460531425, source: TABLE },
  { type: 'J', tC: 400, mV: 21.848, computedMv: 21.8480650240481, source: TABLE },
  { type: 'J', tC: 600, mV: 33.102, computedMv: 33.1024104124455, source: TABLE },
  { type: 'J', tC: 760, mV: 42.919, computedMv: 42.9186414083459, source: TABLE },
  { type: 'J', tC: 1000, mV: 57.953, computedMv: 57.95341035, source: TABLE },
  { type: 'J', tC: 1200, mV: 69.553, computedMv: 69.5531797883808, source: TABLE },
  { type: 'K', tC: -270, mV: -6.458, computedMv: -6.4577379527383, source: TABLE },
  { type: 'K', tC: -200, mV: -5.891, computedMv: -5.8914035923504, source: TABLE },
  { type: 'K', tC: -100, mV: -3.554, computedMv: -3.5536313365806, source: TABLE },
  { type: 'K', tC: -40, mV: -1.527, computedMv: -1.526947951298, source: TABLE },
  { type: 'K', tC: 0, mV: 0, computedMv: 1.9741e-9, source: TABLE },
  { type: 'K', tC: 25, mV: 1, computedMv: 1.0002423545676, source: TABLE },
  { type: 'K', tC: 40, mV: 1.612, computedMv: 1.6117918494823, source: TABLE },
  { type: 'K', tC: 50, mV: 2.023, computedMv: 2.023077886207, source: TABLE },
  { type: 'K', tC: 100, mV: 4.096, computedMv: 4.0962302187233, source: TABLE },
  { type: 'K', tC: 200, mV: 8.138, computedMv: 8.1384733264869, source: TABLE },
  { type: 'K', tC: 400, mV: 16.397, computedMv: 16.3971418502763, source: TABLE },
  { type: 'K', tC: 500, mV: 20.644, computedMv: 20.6442863900435, source: TABLE },
  { type: 'K', tC: 800, mV: 33.275, computedMv: 33.2753798085134, source: TABLE },
  { type: 'K', tC: 1000, mV: 41.276, computedMv: 41.275606456314, source: TABLE },
  { type: 'K', tC: 1200, mV: 48.838, computedMv: 48.8382379328202, source: TABLE },
  { type: 'K', tC: 1372, mV: 54.886, computedMv: 54.8863640253048, source: TABLE },
  { type: 'N', tC: -270, mV: -4.345, computedMv: -4.3451354471775, source: TABLE },
  { type: 'N', tC: -200, mV: -3.99, computedMv: -3.9903760792752, source: TABLE },
  { type: 'N', tC: -100, mV: -2.407, computedMv: -2.4068111932282, source: TABLE },
  { type: 'N', tC: 25, mV: 0.659, computedMv: 0.6586458434378, source: TABLE },
  { type: 'N', tC: 100, mV: 2.774, computedMv: 2.7741240355635, source: TABLE },
  { type: 'N', tC: 200, mV: 5.913, computedMv: 5.913415411256, source: TABLE },
  { type: 'N', tC: 400, mV: 12.974, computedMv: 12.9736855931774, source: TABLE },
  { type: 'N', tC: 600, mV: 20.613, computedMv: 20.6131068131218, source: TABLE },
  { type: 'N', tC: 1000, mV: 36.256, computedMv: 36.255538357, source: TABLE },
  { type: 'N', tC: 1300, mV: 47.513, computedMv: 47.512772180838, source: TABLE },
  { type: 'R', tC: -50, mV: -0.226, computedMv: -0.2264651881738, source: TABLE },
  { type: 'R', tC: 25, mV: 0.141, computedMv: 0.1405786348029, source: TABLE },
  { type: 'R', tC: 100, mV: 0.647, computedMv: 0.647396064181, source: TABLE },
  { type: 'R', tC: 400, mV: 3.408, computedMv: 3.4076850256439, source: TABLE },
  { type: 'R', tC: 800, mV: 7.95, computedMv: 7.9498376056716, source: TABLE },
  { type: 'R', tC: 1000, mV: 10.506, computedMv: 10.50595791914, source: TABLE },
  { type: 'R', tC: 1064, mV: 11.361, computedMv: 11.361315376066, source: TABLE },
  { type: 'R', tC: 1200, mV: 13.228, computedMv: 13.2279651167881, source: TABLE },
  { type: 'R', tC: 1600, mV: 18.849, computedMv: 18.8489397749822, source: TABLE },
  { type: 'R', tC: 1700, mV: 20.222, computedMv: 20.2216960994354, source: TABLE },
  { type: 'R', tC: 1768, mV: 21.101, computedMv: 21.1014766870279, source: TABLE },
  { type: 'S', tC: -50, mV: -0.236, computedMv: -0.2355550714927, source: TABLE },
  { type: 'S', tC: 25, mV: 0.143, computedMv: 0.1425982351627, source: TABLE },
  { type: 'S', tC: 100, mV: 0.646, computedMv: 0.6459129754169, source: TABLE },
  { type: 'S', tC: 400, mV: 3.259, computedMv: 3.2593567882659, source: TABLE },
  { type: 'S', tC: 800, mV: 7.345, computedMv: 7.3449819078253, source: TABLE },
  { type: 'S', tC: 1000, mV: 9.587, computedMv: 9.58709765686, source: TABLE },
  { type: 'S', tC: 1064, mV: 10.332, computedMv: 10.3320906154904, source: TABLE },
  { type: 'S', tC: 1200, mV: 11.951, computedMv: 11.9505494389546, source: TABLE },
  { type: 'S', tC: 1600, mV: 16.777, computedMv: 16.776843968941, source: TABLE },
  { type: 'S', tC: 1700, mV: 17.947, computedMv: 17.9473020995133, source: TABLE },
  { type: 'S', tC: 1768, mV: 18.693, computedMv: 18.692510128045, source: TABLE },
  { type: 'T', tC: -270, mV: -6.258, computedMv: -6.2575050378409, source: TABLE },
  { type: 'T', tC: -200, mV: -5.603, computedMv: -5.6029606995632, source: TABLE },
  { type: 'T', tC: -100, mV: -3.379, computedMv: -3.3785820563073, source: TABLE },
  { type: 'T', tC: 25, mV: 0.992, computedMv: 0.99197726782, source: TABLE },
  { type: 'T', tC: 40, mV: 1.612, computedMv: 1.6117927674461, source: TABLE },
  { type: 'T', tC: 50, mV: 2.036, computedMv: 2.0357217665372, source: TABLE },
  { type: 'T', tC: 100, mV: 4.279, computedMv: 4.2785186158003, source: TABLE },
  { type: 'T', tC: 200, mV: 9.288, computedMv: 9.2881020039411, source: TABLE },
  { type: 'T', tC: 300, mV: 14.862, computedMv: 14.8619280116295, source: TABLE },
  { type: 'T', tC: 400, mV: 20.872, computedMv: 20.8719700505267, source: TABLE },
];

export interface InversePolynomial {
  readonly type: ThermocoupleType;
  readonly lowC: number;
  readonly highC: number;
  /** °C/mVⁱ, from i = 0. */
  readonly coefficients: readonly number[];
  /** Error of the polynomial against the reference function, as published, °C. */
  readonly errorC: readonly [number, number];
  readonly source: string;
}

/** An independent way from e.m.f. to temperature, good to its published error. */
export const INVERSE_POLYNOMIALS: readonly InversePolynomial[] = [
  {
    type: 'B',
    lowC: 250,
    highC: 700,
    coefficients: [98.423321, 699.715, -847.65304, 1005.2644, -833.45952, 455.08542, -155.23037, 29.88675, -2.474286],
    errorC: [-0.02, 0.03],
    source: INVERSE,
  },
  {
    type: 'B',
    lowC: 700,
    highC: 1820,
    coefficients: [
      213.15071, 285.10504, -52.742887, 9.9160804, -1.2965303, 0.1119587, -0.0060625199, 0.00018661696, -2.4878585e-6,
    ],
    errorC: [-0.01, 0.02],
    source: INVERSE,
  },
  {
    type: 'E',
    lowC: -200,
    highC: 0,
    coefficients: [
      0, 16.977288, -0.4351497, -0.15859697, -0.092502871, -0.026084314, -0.0041360199, -0.0003403403, -1.156489e-5,
    ],
    errorC: [-0.01, 0.03],
    source: INVERSE,
  },
  {
    type: 'E',
    lowC: 0,
    highC: 1000,
    coefficients: [
      0, 17.057035, -0.23301759, 0.0065435585, -7.3562749e-5, -1.7896001e-6, 8.4036165e-8, -1.3735879e-9, 1.0629823e-11,
      -3.2447087e-14,
    ],
    errorC: [-0.02, 0.02],
    source: INVERSE,
  },
  {
    type: 'J',
    lowC: -210,
    highC: 0,
    coefficients: [
      0, 19.528268, -1.2286185, -1.0752178, -0.59086933, -0.17256713, -0.028131513, -0.002396337, -8.3823321e-5,
    ],
    errorC: [-0.05, 0.03],
    source: INVERSE,
  },
  {
    type: 'J',
    lowC: 0,
    highC: 760,
    coefficients: [0, 19.78425, -0.2001204, 0.01036969, -0.0002549687, 3.585153e-6, -5.344285e-8, 5.09989e-10],
    errorC: [-0.04, 0.04],
    source: INVERSE,
  },
  {
    type: 'J',
    lowC: 760,
    highC: 1200,
    coefficients: [-3113.58187, 300.543684, -9.9477323, 0.17027663, -0.00143033468, 4.73886084e-6],
    errorC: [-0.04, 0.03],
    source: INVERSE,
  },
  {
    type: 'K',
    lowC: -200,
    highC: 0,
    coefficients: [
      0, 25.173462, -1.1662878, -1.0833638, -0.8977354, -0.37342377, -0.086632643, -0.010450598, -0.00051920577,
    ],
    errorC: [-0.02, 0.04],
    source: INVERSE,
  },
  {
    type: 'K',
    lowC: 0,
    highC: 500,
    coefficients: [
      0, 25.08355, 0.07860106, -0.2503131, 0.0831527, -0.01228034, 0.0009804036, -4.41303e-5, 1.057734e-6, -1.052755e-8,
    ],
    errorC: [-0.05, 0.04],
    source: INVERSE,
  },
  {
    type: 'K',
    lowC: 500,
    highC: 1372,
    coefficients: [-131.8058, 48.30222, -1.646031, 0.05464731, -0.0009650715, 8.802193e-6, -3.11081e-8],
    errorC: [-0.05, 0.06],
    source: INVERSE,
  },
  {
    type: 'N',
    lowC: -200,
    highC: 0,
    coefficients: [
      0, 38.436847, 1.1010485, 5.2229312, 7.2060525, 5.8488586, 2.7754916, 0.77075166, 0.11582665, 0.0073138868,
    ],
    errorC: [-0.02, 0.03],
    source: INVERSE,
  },
  {
    type: 'N',
    lowC: 0,
    highC: 600,
    coefficients: [0, 38.6896, -1.08267, 0.0470205, -2.12169e-6, -0.000117272, 5.3928e-6, -7.98156e-8],
    errorC: [-0.02, 0.03],
    source: INVERSE,
  },
  {
    type: 'N',
    lowC: 600,
    highC: 1300,
    coefficients: [19.72485, 33.00943, -0.3915159, 0.009855391, -0.0001274371, 7.767022e-7],
    errorC: [-0.04, 0.02],
    source: INVERSE,
  },
  {
    type: 'R',
    lowC: -50,
    highC: 250,
    coefficients: [
      0, 188.9138, -93.83529, 130.68619, -227.0358, 351.45659, -389.539, 282.39471, -126.07281, 31.353611, -3.3187769,
    ],
    errorC: [-0.02, 0.02],
    source: INVERSE,
  },
  {
    type: 'R',
    lowC: 250,
    highC: 1200,
    coefficients: [
      13.34584505, 147.2644573, -18.44024844, 4.031129726, -0.624942836, 0.06468412046, -0.004458750426,
      0.0001994710149, -5.31340179e-6, 6.481976217e-8,
    ],
    errorC: [-0.005, 0.005],
    source: INVERSE,
  },
  {
    type: 'R',
    lowC: 1064,
    highC: 1664.5,
    coefficients: [-81.99599416, 155.3962042, -8.342197663, 0.4279433549, -0.0119157791, 0.0001492290091],
    errorC: [-0.0005, 0.001],
    source: INVERSE,
  },
  {
    type: 'R',
    lowC: 1664.5,
    highC: 1768.1,
    coefficients: [34061.77836, -7023.729171, 558.2903813, -19.52394635, 0.2560740231],
    errorC: [-0.001, 0.002],
    source: INVERSE,
  },
  {
    type: 'S',
    lowC: -50,
    highC: 250,
    coefficients: [
      0, 184.94946, -80.0504062, 102.23743, -152.248592, 188.821343, -159.085941, 82.302788, -23.4181944, 2.7978626,
    ],
    errorC: [-0.02, 0.02],
    source: INVERSE,
  },
  {
    type: 'S',
    lowC: 250,
    highC: 1200,
    coefficients: [
      12.91507177, 146.6298863, -15.34713402, 3.145945973, -0.4163257839, 0.03187963771, -0.0012916375, 2.183475087e-5,
      -1.447379511e-7, 8.211272125e-9,
    ],
    errorC: [-0.01, 0.01],
    source: INVERSE,
  },
  {
    type: 'S',
    lowC: 1064,
    highC: 1664.5,
    coefficients: [-80.87801117, 162.1573104, -8.536869453, 0.4719686976, -0.01441693666, 0.000208161889],
    errorC: [-0.0002, 0.0002],
    source: INVERSE,
  },
  {
    type: 'S',
    lowC: 1664.5,
    highC: 1768.1,
    coefficients: [53338.75126, -12358.92298, 1092.657613, -42.65693686, 0.624720542],
    errorC: [-0.002, 0.002],
    source: INVERSE,
  },
  {
    type: 'T',
    lowC: -200,
    highC: 0,
    coefficients: [0, 25.949192, -0.21316967, 0.79018692, 0.42527777, 0.13304473, 0.020241446, 0.0012668171],
    errorC: [-0.02, 0.04],
    source: INVERSE,
  },
  {
    type: 'T',
    lowC: 0,
    highC: 400,
    coefficients: [0, 25.928, -0.7602961, 0.04637791, -0.002165394, 6.048144e-5, -7.293422e-7],
    errorC: [-0.03, 0.03],
    source: INVERSE,
  },
];

export const COLD_JUNCTION_EXAMPLE = {
  type: 'K',
  measuringC: 350,
  coldJunctionC: 22,
  mV: 13.414294,
  source: 'computed from the reference function: E(350 °C) − E(22 °C); printed 14.293 − 0.879 mV',
} as const;

/** Upper minus lower sub-range where two of them meet, mV. */
export const JOINT_STEPS: readonly {
  readonly type: ThermocoupleType;
  readonly tC: number;
  readonly stepMv: number;
  readonly source: string;
}[] = [
  { type: 'B', tC: 630.615, stepMv: -2.1679726902590346e-9, source: 'computed from the published coefficients' },
  { type: 'E', tC: 0, stepMv: 0, source: 'computed from the published coefficients' },
  { type: 'J', tC: 760, stepMv: 7.492958076227296e-8, source: 'computed from the published coefficients' },
  { type: 'K', tC: 0, stepMv: 1.9740837610415785e-9, source: 'computed from the published coefficients' },
  { type: 'N', tC: 0, stepMv: 0, source: 'computed from the published coefficients' },
  { type: 'R', tC: 1064.18, stepMv: 1.6370904631912708e-11, source: 'computed from the published coefficients' },
  { type: 'R', tC: 1664.5, stepMv: -1.7145325159617641e-9, source: 'computed from the published coefficients' },
  { type: 'S', tC: 1064.18, stepMv: -5.8113514000979194e-11, source: 'computed from the published coefficients' },
  { type: 'S', tC: 1664.5, stepMv: -2.7350921527613536e-10, source: 'computed from the published coefficients' },
  { type: 'T', tC: 0, stepMv: 0, source: 'computed from the published coefficients' },
];

/** Range of each reference function, °C. */
export const RANGES: Readonly<Record<ThermocoupleType, readonly [low: number, high: number]>> & {
  readonly source: string;
} = {
  source: 'NIST Monograph 175 (1993)',
  B: [0, 1820],
  E: [-270, 1000],
  J: [-210, 1200],
  K: [-270, 1372],
  N: [-270, 1300],
  R: [-50, 1768.1],
  S: [-50, 1768.1],
  T: [-270, 400],
};
