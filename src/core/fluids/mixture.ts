/**
 * Two fluids of one kind mixed by mass: volumes add, and so do compressibilities by volume (Wood 1930; tried on
 * hydrocarbon mixtures by Wang and Nur 1991, J. Acoust. Soc. Am. 89, 2725–2730). Both rules are ideal. How far a real
 * mixture may depart from them is our estimate: nothing at the pure ends and most at equal shares.
 */
import type { Curve, CurveAt, CurveConstant } from './property.ts';

/** Standard uncertainty of the rules at equal shares, as a share of the volume and of the speed. */
const U_VOLUME_RULE = 0.0003;
const U_SPEED_RULE = 0.002;
const RULE = 'mixing rule';
const SHARE = 'share of the fresh fluid';

export interface Share {
  /** Mass of the fresh fluid over the mass of both. */
  readonly fresh: number;
  readonly u: number;
}

interface Jet {
  readonly value: number;
  readonly slope: number;
  readonly curvature: number;
}

/** Density of the mixture, kg/m³: 1/ρ = w/ρ(fresh) + (1 − w)/ρ(old). */
export function mixedDensity(old: Curve, fresh: Curve, share: Share): Curve {
  const w = share.fresh;
  return {
    ...joined([old, fresh], share),
    at(tC) {
      const a = old.at(tC);
      const b = fresh.at(tC);
      const va = reciprocal(a);
      const vb = reciprocal(b);
      const v = weighted(va, 1 - w, vb, w);
      const rho = reciprocal(v);
      // ∂ρ follows from ∂V as ∂V follows from ∂ρ: both are reciprocals.
      const back = (k: Change): Change => reciprocalChange(v, k);
      const own = (from: CurveAt, part: number, name: string) =>
        from.constants.map((k): CurveConstant => named(k, name, back(times(reciprocalChange(from, k), part))));
      const shareChange = { perUnit: vb.value - va.value, slopePerUnit: vb.slope - va.slope };
      const bulge = 4 * w * (1 - w);
      return {
        ...rho,
        constants: [
          ...own(a, 1 - w, 'old'),
          ...own(b, w, 'fresh'),
          { name: SHARE, u: share.u, ...back(shareChange) },
          { name: RULE, u: U_VOLUME_RULE, ...back({ perUnit: bulge * v.value, slopePerUnit: bulge * v.slope }) },
        ],
      };
    },
  };
}

export interface Part {
  readonly density: Curve;
  readonly sound: Curve;
}

/**
 * Speed of sound of the mixture, m/s. With V the volume of one kilogram and q = V/c, compressibilities that add by volume
 * are squares that add by mass: q² = w q(fresh)² + (1 − w) q(old)².
 */
export function mixedSound(old: Part, fresh: Part, share: Share): Curve {
  const w = share.fresh;
  return {
    ...joined([old.sound, fresh.sound, old.density, fresh.density], share, 2),
    at(tC) {
      const parts = [
        { ...slowness(old, tC), w: 1 - w, name: 'old' },
        { ...slowness(fresh, tC), w, name: 'fresh' },
      ];
      let v = 0;
      let vSlope = 0;
      let q2 = 0;
      let q2Slope = 0;
      for (const part of parts) {
        v += part.w * part.v.value;
        vSlope += part.w * part.v.slope;
        q2 += part.w * part.q * part.q;
        q2Slope += 2 * part.w * part.q * part.qSlope;
      }
      const q = Math.sqrt(q2);
      const value = v / q;
      const perVq = (vChange: number, q2Change: number) => vChange / q - (value * q2Change) / (2 * q2);
      const [a, b] = parts as [(typeof parts)[0], (typeof parts)[0]];
      const plain = (name: string, u: number, perUnit: number): CurveConstant => ({
        name,
        u,
        perUnit,
        slopePerUnit: 0,
      });
      return {
        value,
        slope: perVq(vSlope, q2Slope),
        curvature: 0,
        constants: [
          ...parts.flatMap((part) => [
            ...part.sound.constants.map((k) =>
              plain(
                `${part.name}: ${k.name}`,
                k.u,
                perVq(0, ((-2 * part.w * part.q * part.q) / part.sound.value) * k.perUnit),
              ),
            ),
            ...part.density.constants.map((k) => {
              const vChange = reciprocalChange(part.density, k).perUnit * part.w;
              return plain(`${part.name}: ${k.name}`, k.u, perVq(vChange, (2 * part.q * vChange) / part.sound.value));
            }),
          ]),
          plain(SHARE, share.u, perVq(b.v.value - a.v.value, b.q * b.q - a.q * a.q)),
          plain(RULE, U_SPEED_RULE, 4 * w * (1 - w) * value),
        ],
      };
    },
  };
}

function slowness(part: Part, tC: number) {
  const density = part.density.at(tC);
  const sound = part.sound.at(tC);
  const v = reciprocal(density);
  const q = v.value / sound.value;
  return { density, sound, v, q, qSlope: (v.slope - q * sound.slope) / sound.value };
}

/** Where all hold; the sources of the first `named` curves. Throws where no temperature is left. */
function joined(curves: readonly Curve[], share: Share, named = curves.length): Omit<Curve, 'at'> {
  if (!(share.fresh >= 0 && share.fresh <= 1))
    throw new RangeError('the share of the fresh fluid must lie from 0 to 1');
  const lowC = Math.max(...curves.map((curve) => curve.lowC));
  const highC = Math.min(...curves.map((curve) => curve.highC));
  if (!(lowC < highC)) throw new RangeError('the two fluids have no temperature in common at which both are known');
  const sources = new Set(curves.slice(0, named).map((curve) => curve.source));
  return {
    lowC,
    highC,
    source: `mixed by mass from ${[...sources].join(' and ')}`,
    covered: curves.every((curve) => curve.covered),
  };
}

interface Change {
  readonly perUnit: number;
  readonly slopePerUnit: number;
}

function reciprocal({ value, slope, curvature }: Jet): Jet {
  const one = 1 / value;
  const first = -slope * one * one;
  return { value: one, slope: first, curvature: (-curvature * one - 2 * slope * first) * one };
}

function reciprocalChange({ value, slope }: Pick<Jet, 'value' | 'slope'>, { perUnit, slopePerUnit }: Change): Change {
  const one2 = 1 / (value * value);
  return { perUnit: -perUnit * one2, slopePerUnit: (-slopePerUnit + (2 * slope * perUnit) / value) * one2 };
}

function weighted(a: Jet, wa: number, b: Jet, wb: number): Jet {
  return {
    value: wa * a.value + wb * b.value,
    slope: wa * a.slope + wb * b.slope,
    curvature: wa * a.curvature + wb * b.curvature,
  };
}

function times({ perUnit, slopePerUnit }: Change, by: number): Change {
  return { perUnit: perUnit * by, slopePerUnit: slopePerUnit * by };
}

function named({ name, u }: CurveConstant, part: string, change: Change): CurveConstant {
  return { name: `${part}: ${name}`, u, ...change };
}
