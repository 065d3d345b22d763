/** Invented vessels for the tests. */
import type { CircuitDescription, VesselDescription } from '../../../src/core/vessels/description.ts';
import { PAN } from '../../reference/vessels.ts';

const MIDDLE = { kind: 'known', alongMm: 0, acrossMm: 0 } as const;
const ALUMINIUM = { linearPerK: 23e-6, uLinearPerK: 1e-6, atC: 20 };

export const BOX: VesselDescription = {
  name: 'box',
  shape: { kind: 'box', lengthMm: 320, widthMm: 210, heightMm: 130 },
  floorAtMm: -10,
  uVolumeShare: 0.02,
  wall: null,
  sensor: { kind: 'known', alongMm: 90, acrossMm: -35 },
  tilt: null,
};

export const TAPERED: VesselDescription = {
  name: 'tapered pan',
  shape: { kind: 'tapered-pan', ...PAN },
  floorAtMm: -6,
  uVolumeShare: 0.02,
  wall: ALUMINIUM,
  sensor: { kind: 'known', alongMm: -70, acrossMm: 40 },
  tilt: null,
};

/** Narrower at the rim than at the floor along one side, wider along the other. */
export const LEANING_WALLS: VesselDescription = {
  name: 'pan with walls leaning in and out',
  shape: {
    kind: 'tapered-pan',
    floorLengthMm: 300,
    floorWidthMm: 180,
    rimLengthMm: 260,
    rimWidthMm: 240,
    heightMm: 110,
  },
  floorAtMm: 4,
  uVolumeShare: 0.02,
  wall: null,
  sensor: MIDDLE,
  tilt: null,
};

export const UPRIGHT: VesselDescription = {
  name: 'upright cylinder',
  shape: { kind: 'upright-cylinder', diameterMm: 240, heightMm: 300 },
  floorAtMm: 0,
  uVolumeShare: 0.02,
  wall: ALUMINIUM,
  sensor: { kind: 'known', alongMm: 0, acrossMm: 80 },
  tilt: null,
};

export const LYING: VesselDescription = {
  name: 'horizontal cylinder',
  shape: { kind: 'horizontal-cylinder', diameterMm: 400, lengthMm: 900 },
  floorAtMm: 0,
  uVolumeShare: 0.02,
  wall: null,
  sensor: { kind: 'unknown', withinMm: 50 },
  tilt: null,
};

export const STRAPPED: VesselDescription = {
  name: 'strapping table',
  shape: {
    kind: 'strapping-table',
    points: [
      { mm: 0, litres: 0.6 },
      { mm: 12, litres: 0.95 },
      { mm: 30, litres: 1.62 },
      { mm: 55, litres: 2.9 },
      { mm: 80, litres: 4.31 },
      { mm: 95, litres: 5.02 },
      { mm: 120, litres: 6.6 },
    ],
  },
  floorAtMm: 0,
  uVolumeShare: 0.02,
  wall: { linearPerK: 40e-6, uLinearPerK: 10e-6, atC: 25 },
  sensor: { kind: 'unknown', withinMm: 60 },
  tilt: null,
};

export const VESSELS = [BOX, TAPERED, LEANING_WALLS, UPRIGHT, LYING, STRAPPED];

export const CIRCUIT: CircuitDescription = {
  states: [
    { id: 'cooler shut', litres: 2.4, uLitres: 0.1 },
    { id: 'cooler open', litres: 3.1, uLitres: 0.15 },
  ],
  wall: { linearPerK: 12e-6, uLinearPerK: 1e-6, atC: 20 },
};
