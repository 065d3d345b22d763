/** A vessel made ready: level to volume and back at the temperature of its walls. */
import { monotoneCubic } from '../monotone-cubic.ts';
import type { ShapeDescription, VesselDescription, WallDescription } from './description.ts';
import { box, horizontalCylinder, type Shape, taperedPan, uprightCylinder } from './shapes.ts';

export interface Conversion {
  readonly value: number;
  /** ∂volume/∂level, the plan area in L/mm; or ∂level/∂volume in mm/L. */
  readonly derivative: number;
  /** ∂value/∂temperature of the walls, per K. */
  readonly perK: number;
  /** ∂value/∂(linear expansion coefficient of the walls), K. */
  readonly perLinear: number;
  /** False where the vessel does not reach: the end value is held, its derivatives are 0. */
  readonly inRange: boolean;
}

export interface Vessel {
  readonly description: VesselDescription;
  /** Lowest and highest level, mm, at the temperature at which the dimensions hold. */
  readonly lowMm: number;
  readonly highMm: number;
  /** Litres at a level with the walls at `wallC`. */
  litresAt(levelMm: number, wallC: number): Conversion;
  /** Level, mm, at a volume with the walls at `wallC`. */
  levelAt(litres: number, wallC: number): Conversion;
}

/** A level curve that starts or ends without area would rise without bound: held at a million times the chord's. */
const FLATTEST = 1e-6;
/** Walls are neither colder nor hotter than this. */
const COLDEST_C = -100;
const HOTTEST_C = 400;

const made = new WeakMap<VesselDescription, Vessel>();

/** The vessel that a description stands for, made once for each. */
export function vesselOf(description: VesselDescription): Vessel {
  const known = made.get(description);
  if (known !== undefined) return known;
  const vessel = vesselFrom(description);
  made.set(description, vessel);
  return vessel;
}

/** Throws a RangeError that says which value of the description cannot hold. */
export function vesselFrom(description: VesselDescription): Vessel {
  const floor = description.floorAtMm;
  const shape = shapeFrom(description.shape);
  const lowest = shape.litresAt(shape.lowMm).value;
  const highest = shape.litresAt(shape.highMm).value;
  const flattest = (FLATTEST * (highest - lowest)) / (shape.highMm - shape.lowMm);
  return {
    description,
    lowMm: floor + shape.lowMm,
    highMm: floor + shape.highMm,
    litresAt(levelMm, wallC) {
      const { s, perK, perLinear, inRange } = growth(description.wall, wallC);
      const over = (levelMm - floor) / s;
      const held = Math.min(Math.max(over, shape.lowMm), shape.highMm);
      const { value, derivative } = shape.litresAt(held);
      const inside = inRange && held === over;
      const perGrowth = s * s * (3 * value - held * derivative);
      return {
        value: s * s * s * value,
        derivative: inside ? s * s * derivative : 0,
        perK: inside ? perGrowth * perK : 0,
        perLinear: inside ? perGrowth * perLinear : 0,
        inRange: inside,
      };
    },
    levelAt(litres, wallC) {
      const { s, perK, perLinear, inRange } = growth(description.wall, wallC);
      const shrunk = litres / (s * s * s);
      const held = Math.min(Math.max(shrunk, lowest), highest);
      const over = shape.levelAt(held);
      const perLitre = 1 / Math.max(shape.litresAt(over).derivative, flattest);
      const inside = inRange && held === shrunk;
      const perGrowth = over - 3 * held * perLitre;
      return {
        value: floor + s * over,
        derivative: inside ? perLitre / (s * s) : 0,
        perK: inside ? perGrowth * perK : 0,
        perLinear: inside ? perGrowth * perLinear : 0,
        inRange: inside,
      };
    },
  };
}

/** Linear growth s = 1 + a (t − t₀) of walls and its derivatives; 1 where they are left out. */
export function growth(wall: WallDescription | null, wallC: number) {
  const heldC = Math.min(Math.max(wallC, COLDEST_C), HOTTEST_C);
  const inRange = heldC === wallC;
  if (wall === null) return { s: 1, perK: 0, perLinear: 0, inRange };
  const awayK = heldC - wall.atC;
  return { s: 1 + wall.linearPerK * awayK, perK: wall.linearPerK, perLinear: awayK, inRange };
}

function shapeFrom(shape: ShapeDescription): Shape {
  if (shape.kind === 'strapping-table') return strappingTable(shape);
  for (const [name, value] of Object.entries(shape))
    if (name !== 'kind' && !(typeof value === 'number' && value > 0 && Number.isFinite(value)))
      throw new RangeError(`${name} of the ${shape.kind} must be a length above 0 mm`);
  switch (shape.kind) {
    case 'box':
      return box(shape);
    case 'tapered-pan':
      return taperedPan(shape);
    case 'upright-cylinder':
      return uprightCylinder(shape);
    case 'horizontal-cylinder':
      return horizontalCylinder(shape);
  }
}

/** Monotone cubic through the points (Fritsch–Butland), inverted by solving its own piece. */
function strappingTable({ points }: Extract<ShapeDescription, { kind: 'strapping-table' }>): Shape {
  const levels = points.map(({ mm }) => mm);
  const cubic = monotoneCubic(
    levels,
    points.map(({ litres }) => litres),
  );
  const first = points[0] as (typeof points)[0];
  const last = points.at(-1) as (typeof points)[0];
  if (!(cubic.invertible && last.litres > first.litres && first.litres >= 0))
    throw new RangeError('the litres of a strapping table must rise from each point to the next, from 0 or above');
  return {
    lowMm: first.mm,
    highMm: last.mm,
    litresAt: (mm) => cubic.at(mm),
    levelAt: (litres) => cubic.inverse(litres).value,
  };
}
