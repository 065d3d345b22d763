/** Level and volume of the plain shapes, level from the floor. Volumes in litres, so plan areas in litres per mm. */
import { findRoot, type Tangent } from '../find-root.ts';
import type { ShapeDescription } from './description.ts';

export interface Shape {
  readonly lowMm: number;
  readonly highMm: number;
  /** Litres and plan area, L/mm, at a level within the shape. */
  litresAt(mm: number): Tangent;
  /** The level, mm, at a volume within the shape. */
  levelAt(litres: number): number;
}

const LITRES_PER_MM3 = 1e-6;

type Of<K extends ShapeDescription['kind']> = Extract<ShapeDescription, { kind: K }>;

export function box({ lengthMm, widthMm, heightMm }: Of<'box'>): Shape {
  return prism(lengthMm * widthMm, heightMm);
}

export function uprightCylinder({ diameterMm, heightMm }: Of<'upright-cylinder'>): Shape {
  return prism((Math.PI / 4) * diameterMm * diameterMm, heightMm);
}

function prism(areaMm2: number, heightMm: number): Shape {
  const area = areaMm2 * LITRES_PER_MM3;
  return {
    lowMm: 0,
    highMm: heightMm,
    litresAt: (mm) => ({ value: area * mm, derivative: area }),
    levelAt: (litres) => litres / area,
  };
}

/** Both sides of the plan grow evenly with height; the volume is the integral of their product. */
export function taperedPan(pan: Of<'tapered-pan'>): Shape {
  const { floorLengthMm: l, floorWidthMm: w, heightMm } = pan;
  const p = (pan.rimLengthMm - l) / heightMm;
  const q = (pan.rimWidthMm - w) / heightMm;
  const litresAt = (mm: number): Tangent => ({
    value: LITRES_PER_MM3 * mm * (l * w + mm * ((l * q + w * p) / 2 + (mm * p * q) / 3)),
    derivative: LITRES_PER_MM3 * (l + p * mm) * (w + q * mm),
  });
  return solved(litresAt, heightMm);
}

/** Segment of a circle times the length. */
export function horizontalCylinder({ diameterMm: d, lengthMm }: Of<'horizontal-cylinder'>): Shape {
  const r2 = (d * d) / 4;
  const scale = LITRES_PER_MM3 * lengthMm;
  const lower = (mm: number): number => scale * r2 * segment(mm / d);
  const full = lower(d / 2) * 2;
  return solved(
    (mm) => ({
      // The upper half as what is missing from the full circle: near the top nothing is lost to rounding.
      value: mm <= d / 2 ? lower(mm) : full - lower(d - mm),
      derivative: scale * 2 * Math.sqrt(Math.max(0, mm * (d - mm))),
    }),
    d,
  );
}

/** Area of the segment of a unit circle filled to the share `u` of its diameter: φ − sin φ cos φ, cos φ = 1 − 2u. */
function segment(u: number): number {
  const phi = 2 * Math.asin(Math.sqrt(u));
  if (phi > 0.2) return phi - 2 * Math.sqrt(u * (1 - u)) * (1 - 2 * u);
  // Near the bottom the two terms all but cancel: the series of (x − sin x)/2 at x = 2φ.
  const x2 = 4 * phi * phi;
  return ((2 * phi * x2) / 12) * (1 - (x2 / 20) * (1 - (x2 / 42) * (1 - (x2 / 72) * (1 - x2 / 110))));
}

function solved(litresAt: (mm: number) => Tangent, highMm: number): Shape {
  return {
    lowMm: 0,
    highMm,
    litresAt,
    levelAt: (litres) =>
      findRoot(
        (mm) => {
          const { value, derivative } = litresAt(mm);
          return { value: value - litres, derivative };
        },
        0,
        highMm,
      ),
  };
}
