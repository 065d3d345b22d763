/** The `vessel` of a bench, key by key, and what it comes to. */
import { z } from 'zod';
import type { SensorPlace, ShapeDescription, VesselDescription } from '../core/vessels/description.ts';
import { key, quantity } from './fields.ts';
import { onlyOne } from './fluid-schema.ts';

const size = (meaning: string, example: string) =>
  key(quantity('length', { above: '0 mm' }, example), { meaning, form: 'a length above 0', example });

const box = z.strictObject({
  length: size('Inner length.', '300 mm'),
  width: size('Inner width.', '200 mm'),
  height: size('Inner height.', '120 mm'),
});

const taperedPan = z.strictObject({
  'floor-length': size('Inner length at the floor.', '280 mm'),
  'floor-width': size('Inner width at the floor.', '180 mm'),
  'rim-length': size('Inner length at the rim.', '320 mm'),
  'rim-width': size('Inner width at the rim.', '220 mm'),
  height: size('Inner height.', '120 mm'),
});

const uprightCylinder = z.strictObject({
  diameter: size('Inner diameter.', '230 mm'),
  height: size('Inner height.', '120 mm'),
});

const horizontalCylinder = z.strictObject({
  diameter: size('Inner diameter.', '230 mm'),
  length: size('Inner length between its flat ends.', '400 mm'),
});

const shapeSchema = z.strictObject({
  'strapping-table': key(
    z
      .array(z.tuple([quantity('length'), quantity('volume')]))
      .min(2)
      .optional(),
    {
      meaning: 'Levels, rising, each with the volume there, as poured or computed.',
      form: 'pairs of a level and a volume',
      example: '[[0 mm, 0 L], [40 mm, 1.65 L], [80 mm, 3.36 L]]',
      otherwise: 'needs another shape',
    },
  ),
  box: key(box.optional(), {
    meaning: 'Upright walls on a rectangular floor.',
    form: 'the keys length, width and height',
    example: '{ length: 300 mm, width: 200 mm, height: 120 mm }',
    otherwise: 'needs another shape',
  }),
  'tapered-pan': key(taperedPan.optional(), {
    meaning: 'Flat walls between a rectangular floor and a rectangular rim.',
    form: 'the keys floor-length, floor-width, rim-length, rim-width and height',
    example: '{ floor-length: 280 mm, floor-width: 180 mm, rim-length: 320 mm, rim-width: 220 mm, height: 120 mm }',
    otherwise: 'needs another shape',
  }),
  'upright-cylinder': key(uprightCylinder.optional(), {
    meaning: 'A round pot.',
    form: 'the keys diameter and height',
    example: '{ diameter: 230 mm, height: 120 mm }',
    otherwise: 'needs another shape',
  }),
  'horizontal-cylinder': key(horizontalCylinder.optional(), {
    meaning: 'A round tank on its side.',
    form: 'the keys diameter and length',
    example: '{ diameter: 230 mm, length: 400 mm }',
    otherwise: 'needs another shape',
  }),
});

export const wallSchema = z.strictObject({
  expansion: key(quantity('expansion', { from: '0 /K' }, '0.000012 /K'), {
    meaning: 'The linear expansion of its walls: steel about 0.000012 /K, aluminium about 0.000023 /K.',
    form: 'an expansion per kelvin',
    example: '0.000012 /K',
  }),
  uncertainty: key(quantity('expansion', { from: '0 /K' }, '0.000001 /K'), {
    meaning: 'Its standard uncertainty.',
    form: 'an expansion per kelvin',
    example: '0.000001 /K',
  }),
  at: key(quantity('temperature', {}, '20 °C'), {
    meaning: 'The temperature at which the dimensions hold.',
    form: 'a temperature',
    example: '20 °C',
  }),
});

const sensorSchema = z.strictObject({
  along: key(quantity('length', {}, '40 mm').optional(), {
    meaning: 'Where the sensor sits, from the middle of the plan along the length.',
    form: 'a length',
    example: '40 mm',
    otherwise: '0 mm, or unknown with `within`',
  }),
  across: key(quantity('length', {}, '-25 mm').optional(), {
    meaning: 'The same across the length.',
    form: 'a length',
    example: '-25 mm',
    otherwise: '0 mm, or unknown with `within`',
  }),
  within: key(quantity('length', { above: '0 mm' }, '120 mm').optional(), {
    meaning: 'Where the place is not known: no farther from the middle than this.',
    form: 'a length above 0',
    example: '120 mm',
    otherwise: 'the place is known',
  }),
});

const tiltSchema = z.strictObject({
  along: key(quantity('angle', { from: '-20 deg', to: '20 deg' }, '0.4 deg').prefault('0 deg'), {
    meaning: 'By how much the far end of the length stands higher.',
    form: 'an angle of at most 20 degrees',
    example: '0.4 deg',
  }),
  across: key(quantity('angle', { from: '-20 deg', to: '20 deg' }, '-0.2 deg').prefault('0 deg'), {
    meaning: 'The same across the length.',
    form: 'an angle of at most 20 degrees',
    example: '-0.2 deg',
  }),
  uncertainty: key(quantity('angle', { from: '0 deg', to: '20 deg' }, '0.2 deg'), {
    meaning: 'The standard uncertainty of each; for a lift that was only looked at, a degree.',
    form: 'an angle, not below 0',
    example: '0.2 deg',
  }),
});

export const vesselSchema = z.strictObject({
  shape: key(shapeSchema, {
    meaning: 'Its shape.',
    form: 'one of strapping-table, box, tapered-pan, upright-cylinder, horizontal-cylinder',
    example: '{ box: { length: 300 mm, width: 200 mm, height: 120 mm } }',
  }),
  'floor-at': key(quantity('length', {}, '0 mm').prefault('0 mm'), {
    meaning: 'The level that the gauge shows when the fluid just reaches the floor.',
    form: 'a length',
    example: '-4 mm',
  }),
  uncertainty: key(quantity('share', { from: '0 %', to: '100 %' }, '1 %'), {
    meaning: 'The standard uncertainty of its volumes.',
    form: 'a share of at most 100 %',
    example: '1 %',
  }),
  wall: key(wallSchema.optional(), {
    meaning: 'How its walls grow with temperature; they are taken to be as warm as the fluid.',
    form: 'the keys expansion, uncertainty and at',
    example: '{ expansion: 0.000012 /K, uncertainty: 0.000001 /K, at: 20 °C }',
    otherwise: 'the walls keep their size',
  }),
  sensor: key(sensorSchema.optional(), {
    meaning: 'Where the level is read.',
    form: 'the keys along and across, or within',
    example: '{ along: 40 mm, across: -25 mm }',
    otherwise: 'in the middle of the plan',
  }),
  tilt: key(tiltSchema.optional(), {
    meaning:
      'How it stands. Where the place of the sensor is known and the shape has upright or flat walls the level is corrected; otherwise it becomes less sure.',
    form: 'the keys along, across and uncertainty',
    example: '{ along: 0.4 deg, across: -0.2 deg, uncertainty: 0.2 deg }',
    otherwise: 'it stands level',
  }),
});

export type VesselKeys = z.output<typeof vesselSchema>;

export const VESSEL_SECTIONS = [
  { title: 'The vessel', at: 'vessel', schema: vesselSchema },
  { title: 'Its shape', at: 'vessel.shape', schema: shapeSchema },
  { title: 'A box', at: 'vessel.shape.box', schema: box },
  { title: 'A tapered pan', at: 'vessel.shape.tapered-pan', schema: taperedPan },
  { title: 'An upright cylinder', at: 'vessel.shape.upright-cylinder', schema: uprightCylinder },
  { title: 'A lying cylinder', at: 'vessel.shape.horizontal-cylinder', schema: horizontalCylinder },
  { title: 'Its sensor', at: 'vessel.sensor', schema: sensorSchema },
  { title: 'How it stands', at: 'vessel.tilt', schema: tiltSchema },
  { title: 'Its walls', at: 'vessel.wall', schema: wallSchema },
] as const;

/** Throws a RangeError where the keys do not go together. */
export function resolveVessel(keys: VesselKeys): VesselDescription {
  const { shape, wall, sensor, tilt, 'floor-at': floorAtMm, uncertainty: uVolumeShare } = keys;
  return {
    name: 'vessel',
    shape: shapeOf(shape),
    floorAtMm,
    uVolumeShare,
    wall: wall === undefined ? null : { linearPerK: wall.expansion, uLinearPerK: wall.uncertainty, atC: wall.at },
    sensor: placeOf(sensor),
    tilt: tilt === undefined ? null : { alongDeg: tilt.along, acrossDeg: tilt.across, uDeg: tilt.uncertainty },
  };
}

function placeOf({ along, across, within }: z.output<typeof sensorSchema> = {}): SensorPlace {
  if (within === undefined) return { kind: 'known', alongMm: along ?? 0, acrossMm: across ?? 0 };
  if (along !== undefined || across !== undefined)
    throw new RangeError('the place of the sensor is either known, by along and across, or within a distance');
  return { kind: 'unknown', withinMm: within };
}

function shapeOf(keys: z.output<typeof shapeSchema>): ShapeDescription {
  onlyOne('shape', keys);
  const { box, 'strapping-table': table, 'tapered-pan': pan, 'upright-cylinder': upright } = keys;
  if (table !== undefined) return { kind: 'strapping-table', points: table.map(([mm, litres]) => ({ mm, litres })) };
  if (box !== undefined) return { kind: 'box', lengthMm: box.length, widthMm: box.width, heightMm: box.height };
  if (pan !== undefined)
    return {
      kind: 'tapered-pan',
      floorLengthMm: pan['floor-length'],
      floorWidthMm: pan['floor-width'],
      rimLengthMm: pan['rim-length'],
      rimWidthMm: pan['rim-width'],
      heightMm: pan.height,
    };
  if (upright !== undefined)
    return { kind: 'upright-cylinder', diameterMm: upright.diameter, heightMm: upright.height };
  const lying = keys['horizontal-cylinder'] as NonNullable<(typeof keys)['horizontal-cylinder']>;
  return { kind: 'horizontal-cylinder', diameterMm: lying.diameter, lengthMm: lying.length };
}
