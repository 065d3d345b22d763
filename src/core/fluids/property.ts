/** A property of a fluid at one temperature, and the way from a curve over temperature to it. */

/** One input that a property rests on, with how far the property follows it. */
export interface Constant {
  readonly name: string;
  /** ∂property/∂constant. */
  readonly perUnit: number;
  /** Standard uncertainty of the constant. */
  readonly u: number;
}

export interface Property {
  readonly value: number;
  /** ∂value/∂temperature, per K. */
  readonly derivative: number;
  /** Standard uncertainty of the value: its constants in quadrature (JCGM 100:2008, 5.1.2). */
  readonly u: number;
  /** The same constants in the same order at every temperature, so that errors common to two temperatures cancel. */
  readonly constants: readonly Constant[];
  /** False outside the temperatures that the source covers: the end value is held and its uncertainty widened. */
  readonly inRange: boolean;
  readonly source: string;
}

/** A constant of a curve: what it does to the value and to the slope. */
export interface CurveConstant extends Constant {
  /** ∂slope/∂constant. */
  readonly slopePerUnit: number;
}

/** Value, first and second derivative of a curve over temperature at one point. */
export interface CurveAt {
  readonly value: number;
  readonly slope: number;
  readonly curvature: number;
  readonly constants: readonly CurveConstant[];
}

/** A property over temperature, defined between two temperatures. */
export interface Curve {
  readonly lowC: number;
  readonly highC: number;
  readonly source: string;
  /** False where the description itself lies outside what the source covers. */
  readonly covered: boolean;
  /** `tC` lies between lowC and highC. */
  at(tC: number): CurveAt;
}

/** Farther outside than this makes no difference to a value that must not be used anyway, and keeps it a number. */
const FARTHEST_K = 1e6;

/** Root of the sum of the squares of what each constant contributes. */
export function combined(constants: readonly Constant[]): number {
  let sum = 0;
  for (const { perUnit, u } of constants) sum += perUnit * u * (perUnit * u);
  return Math.sqrt(sum);
}

/** The curve's own value as a property. */
export function propertyOf(curve: Curve, tC: number): Property {
  return read(curve, tC, (at) => at);
}

/** β = −(1/ρ) dρ/dT of a density curve, 1/K. */
export function expansionOf(density: Curve, tC: number): Property {
  return read(density, tC, ({ value, slope, curvature, constants }) => {
    const relative = slope / value;
    return {
      value: -relative,
      slope: relative * relative - curvature / value,
      constants: constants.map(({ name, u, perUnit, slopePerUnit }) => ({
        name,
        u,
        perUnit: (relative * perUnit - slopePerUnit) / value,
      })),
    };
  });
}

type Reading = Pick<CurveAt, 'value' | 'slope'> & { readonly constants: readonly Constant[] };

function read(curve: Curve, tC: number, how: (at: CurveAt) => Reading): Property {
  const heldC = Math.min(Math.max(tC, curve.lowC), curve.highC);
  const { value, slope, constants } = how(curve.at(heldC));
  const awayK = Math.min(Math.abs(tC - heldC), FARTHEST_K);
  const own = combined(constants);
  const away = slope * awayK;
  return {
    value,
    derivative: awayK > 0 ? 0 : slope,
    u: Math.sqrt(own * own + away * away),
    constants: constants.map(({ name, perUnit, u }) => ({ name, perUnit, u })),
    inRange: awayK === 0 && curve.covered,
    source: curve.source,
  };
}
