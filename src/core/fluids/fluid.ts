/** A fluid made ready: density, expansion and speed of sound at any temperature, each with its uncertainty. */
import type { DensityDescription, FluidDescription } from './description.ts';
import { lubricatingOilDensity } from './lubricating-oil.ts';
import { mixedDensity, mixedSound } from './mixture.ts';
import { type Curve, expansionOf, type Property, propertyOf } from './property.ts';
import { soundCurve } from './sound.ts';
import { tableCurve } from './table.ts';
import { waterDensity } from './water.ts';

export interface Fluid {
  readonly name: string;
  /** kg/m³ at tC. */
  density(tC: number): Property;
  /** Cubic expansion coefficient −(1/ρ) dρ/dT at tC, 1/K. */
  expansion(tC: number): Property;
  /** m/s at tC; null where the description gives no speed of sound. */
  speedOfSound(tC: number): Property | null;
}

const made = new WeakMap<FluidDescription, Fluid>();

/** The fluid that a description stands for, made once for each. */
export function fluidOf(description: FluidDescription): Fluid {
  const known = made.get(description);
  if (known !== undefined) return known;
  const fluid = fluidFrom(description);
  made.set(description, fluid);
  return fluid;
}

/** Throws a RangeError that says which value of the description cannot hold. */
export function fluidFrom(description: FluidDescription): Fluid {
  const { density, sound } = curvesOf(description);
  return {
    name: description.name,
    density: (tC) => propertyOf(density, tC),
    expansion: (tC) => expansionOf(density, tC),
    speedOfSound: (tC) => (sound === null ? null : propertyOf(sound, tC)),
  };
}

interface Curves {
  readonly density: Curve;
  readonly sound: Curve | null;
}

function curvesOf(description: FluidDescription): Curves {
  if (description.kind === 'single') {
    const { density, sound } = description;
    return { density: densityCurve(density), sound: sound === null ? null : soundCurve(sound) };
  }
  const old = curvesOf(description.old);
  const fresh = curvesOf(description.fresh);
  const share = { fresh: description.freshShare, u: description.uFreshShare };
  return {
    density: mixedDensity(old.density, fresh.density, share),
    sound:
      old.sound === null || fresh.sound === null
        ? null
        : mixedSound({ density: old.density, sound: old.sound }, { density: fresh.density, sound: fresh.sound }, share),
  };
}

function densityCurve(density: DensityDescription): Curve {
  switch (density.kind) {
    case 'lubricating-oil':
      return lubricatingOilDensity(density);
    case 'water':
      return waterDensity(density.uKgPerM3);
    case 'table':
      return tableCurve(
        density.points.map(({ tC, kgPerM3 }) => [tC, kgPerM3]),
        density.uKgPerM3,
        density.source,
      );
  }
}
