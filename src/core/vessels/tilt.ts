/**
 * The level that a leaning vessel would show if it stood level. The surface stays horizontal, so in the vessel's own axes
 * it leans; what a sensor reads depends on where it sits. Geometry only: exact for upright walls, to second order of the
 * tilt for tapered ones. Holds while the surface touches the walls only, neither the floor nor the rim.
 */
import type { ShapeDescription, Tilt } from './description.ts';
import type { Vessel } from './vessel.ts';

export interface Levelled {
  /** mm */
  readonly value: number;
  /** ∂value/∂reading. */
  readonly perReading: number;
  /** mm per degree. */
  readonly perAlongDeg: number;
  readonly perAcrossDeg: number;
  /** Standard uncertainty from the tilt, mm; the reading's own comes on top. */
  readonly u: number;
  /** True where the reading was moved; false where the tilt only adds uncertainty. */
  readonly corrected: boolean;
  /** False where the vessel leans too far, or the surface meets the floor or the rim: `value` must not be used. */
  readonly inRange: boolean;
}

/** Leaning farther is no place to read a level. */
const MOST_DEG = 20;
const RAD_PER_DEG = Math.PI / 180;

/** The level at the reference point of the vessel, were it level, from what its sensor reads. */
export function levelled(readingMm: number, vessel: Vessel, tilt: Tilt): Levelled {
  const lean = leanOf(tilt);
  const uRad = tilt.uDeg * RAD_PER_DEG;
  const { shape, sensor, floorAtMm } = vessel.description;
  const plan = sensor.kind === 'known' ? planOf(shape) : null;
  if (sensor.kind === 'unknown' || plan === null) {
    const withinMm = sensor.kind === 'unknown' ? sensor.withinMm : hypotenuse(sensor.alongMm, sensor.acrossMm);
    // Rectangular: the reading may be off by the whole of tilt times distance, either way.
    const half = withinMm * hypotenuse(lean.x, lean.y);
    const u = hypotenuse(half / Math.sqrt(3), withinMm * uRad);
    return {
      value: readingMm,
      perReading: 1,
      perAlongDeg: 0,
      perAcrossDeg: 0,
      u,
      corrected: false,
      inRange: lean.inRange,
    };
  }
  const middle = readingMm - lean.x * sensor.alongMm - lean.y * sensor.acrossMm;
  const rise = riseOf(plan, middle - floorAtMm, lean);
  const perLeanX = -sensor.alongMm * (1 + rise.perMm) + rise.perX;
  const perLeanY = -sensor.acrossMm * (1 + rise.perMm) + rise.perY;
  const perAlongDeg = (perLeanX * lean.xPerAlong + perLeanY * lean.yPerAlong) * RAD_PER_DEG;
  const perAcrossDeg = (perLeanX * lean.xPerAcross + perLeanY * lean.yPerAcross) * RAD_PER_DEG;
  const free = middle - rise.reachMm > vessel.lowMm && middle + rise.reachMm < vessel.highMm;
  return {
    value: middle + rise.mm,
    perReading: 1 + rise.perMm,
    perAlongDeg,
    perAcrossDeg,
    u: tilt.uDeg * hypotenuse(perAlongDeg, perAcrossDeg),
    corrected: true,
    inRange: lean.inRange && free,
  };
}

/** How the surface rises along the vessel's own axes, mm per mm, with derivatives per radian of tilt. */
function leanOf({ alongDeg, acrossDeg }: Tilt) {
  const along = held(alongDeg) * RAD_PER_DEG;
  const across = held(acrossDeg) * RAD_PER_DEG;
  const nx = Math.sin(along);
  const ny = Math.sin(across);
  // The upward vertical in the vessel's axes; the surface is normal to it.
  const nz = Math.sqrt(1 - nx * nx - ny * ny);
  const nz3 = nz * nz * nz;
  return {
    x: -nx / nz,
    y: -ny / nz,
    xPerAlong: (-Math.cos(along) * (1 - ny * ny)) / nz3,
    xPerAcross: (-Math.cos(across) * nx * ny) / nz3,
    yPerAlong: (-Math.cos(along) * nx * ny) / nz3,
    yPerAcross: (-Math.cos(across) * (1 - nx * nx)) / nz3,
    inRange: Math.abs(alongDeg) <= MOST_DEG && Math.abs(acrossDeg) <= MOST_DEG,
  };
}

function held(deg: number): number {
  return Math.min(Math.max(deg, -MOST_DEG), MOST_DEG);
}

/** Half sides of a rectangular plan at the floor and how the walls lean outwards; a disc is its own case. */
type Plan =
  | { readonly kind: 'disc'; readonly radius: number }
  | { readonly kind: 'rectangle'; readonly l: number; readonly w: number; readonly p: number; readonly q: number };

function planOf(shape: ShapeDescription): Plan | null {
  switch (shape.kind) {
    case 'upright-cylinder':
      return { kind: 'disc', radius: shape.diameterMm / 2 };
    case 'box':
      return { kind: 'rectangle', l: shape.lengthMm / 2, w: shape.widthMm / 2, p: 0, q: 0 };
    case 'tapered-pan':
      return {
        kind: 'rectangle',
        l: shape.floorLengthMm / 2,
        w: shape.floorWidthMm / 2,
        p: (shape.rimLengthMm - shape.floorLengthMm) / (2 * shape.heightMm),
        q: (shape.rimWidthMm - shape.floorWidthMm) / (2 * shape.heightMm),
      };
    case 'horizontal-cylinder':
    case 'strapping-table':
      return null;
  }
}

interface Rise {
  /** Level above that in the middle which the same volume has when the vessel stands level. */
  readonly mm: number;
  readonly perMm: number;
  readonly perX: number;
  readonly perY: number;
  /** Highest point of the leaning surface over its middle. */
  readonly reachMm: number;
}

function riseOf(plan: Plan, mm: number, { x, y }: { readonly x: number; readonly y: number }): Rise {
  if (plan.kind === 'disc') return { mm: 0, perMm: 0, perX: 0, perY: 0, reachMm: plan.radius * hypotenuse(x, y) };
  const { p, q } = plan;
  const l = plan.l + p * mm;
  const w = plan.w + q * mm;
  // Wedges along walls that lean outwards gain more on the high side than they lose on the low one.
  const xx = (p * l) / 2 + (q * l * l) / (6 * w);
  const yy = (q * w) / 2 + (p * w * w) / (6 * l);
  const xxPerMm = (p * p) / 2 + (q * l * (2 * p * w - l * q)) / (6 * w * w);
  const yyPerMm = (q * q) / 2 + (p * w * (2 * q * l - w * p)) / (6 * l * l);
  return {
    mm: x * x * xx + y * y * yy,
    perMm: x * x * xxPerMm + y * y * yyPerMm,
    perX: 2 * x * xx,
    perY: 2 * y * yy,
    reachMm: Math.abs(x) * l + Math.abs(y) * w,
  };
}

function hypotenuse(a: number, b: number): number {
  return Math.sqrt(a * a + b * b);
}
