/** The `vessel` of a bench, key by key, and what it comes to. */
import { z } from 'zod';
import type { ShapeDescription, VesselDescription } from '../core/vessels/description.ts';
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

const wallSchema = z.strictObject({
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
});

export type VesselKeys = z.output<typeof vesselSchema>;

export const VESSEL_SECTIONS = [
  { title: 'The vessel', at: 'vessel', schema: vesselSchema },
  { title: 'Its shape', at: 'vessel.shape', schema: shapeSchema },
  { title: 'A box', at: 'vessel.shape.box', schema: box },
  { title: 'A tapered pan', at: 'vessel.shape.tapered-pan', schema: taperedPan },
  { title: 'An upright cylinder', at: 'vessel.shape.upright-cylinder', schema: uprightCylinder },
  { title: 'A lying cylinder', at: 'vessel.shape.horizontal-cylinder', schema: horizontalCylinder },
  { title: 'Its walls', at: 'vessel.wall', schema: wallSchema },
] as const;

/** Throws a RangeError where the keys do not go together. */
export function resolveVessel(keys: VesselKeys): VesselDescription {
  const { shape, wall, 'floor-at': floorAtMm, uncertainty: uVolumeShare } = keys;
  return {
    name: 'vessel',
    shape: shapeOf(shape),
    floorAtMm,
    uVolumeShare,
    wall: wall === undefined ? null : { linearPerK: wall.expansion, uLinearPerK: wall.uncertainty, atC: wall.at },
    // Where nothing is known of a tilt the place of the sensor plays no part.
    sensor: { kind: 'known', alongMm: 0, acrossMm: 0 },
  };
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
