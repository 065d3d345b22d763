/** The oil of the simulated world as the product is told it. */
import { fluidFrom } from '../../../src/core/fluids/fluid.ts';
import { OIL } from './world.ts';

export const TOLD_OIL = fluidFrom({
  kind: 'single',
  name: 'oil',
  density: { kind: 'lubricating-oil', at15KgPerM3: OIL.density15, uKgPerM3: 2, uExpansionPerK: 7.5e-5 },
  sound: null,
});
