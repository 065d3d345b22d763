/** The `fluid` of a bench, key by key, and what it comes to. */
import { z } from 'zod';
import type { FluidDescription, SingleFluidDescription } from '../core/fluids/description.ts';
import { TYPICAL_TRANSMISSION_OIL, TYPICAL_U_EXPANSION_PER_K } from '../core/fluids/starter-values.ts';
import { key, quantity, span, text, word } from './fields.ts';

const U_EXPANSION = `${TYPICAL_U_EXPANSION_PER_K.value.toFixed(6)} /K`;

const source = () =>
  key(text(200), {
    meaning: 'Where the figures come from.',
    form: 'a text of at most 200 characters',
    example: 'data sheet of the oil',
  });

const densityUncertainty = (example: string) =>
  key(quantity('density', { from: '0 kg/m3' }, example), {
    meaning: 'The standard uncertainty of the density.',
    form: 'a density',
    example,
  });

const lubricatingOil = z.strictObject({
  'at-15-C': key(quantity('density', { above: '0 kg/m3' }, '870 kg/m3'), {
    meaning: 'The density at 15 °C, as a data sheet gives it.',
    form: 'a density',
    example: '870 kg/m3',
  }),
  uncertainty: densityUncertainty('2 kg/m3'),
  'expansion-uncertainty': key(quantity('expansion', { from: '0 /K' }, U_EXPANSION).prefault(U_EXPANSION), {
    meaning: `How far the expansion of this oil may lie from that of lubricating oils, as a standard uncertainty. ${TYPICAL_U_EXPANSION_PER_K.source}; ${TYPICAL_U_EXPANSION_PER_K.advice}.`,
    form: 'an expansion per kelvin',
    example: '0.00005 /K',
  }),
});

const waterDensity = z.strictObject({
  uncertainty: key(quantity('density', { from: '0 kg/m3' }, '0.5 kg/m3').prefault('0 kg/m3'), {
    meaning: 'What salts and air may do to its density, as a standard uncertainty.',
    form: 'a density',
    example: '0.5 kg/m3',
  }),
});

const densityTable = z.strictObject({
  points: key(z.array(z.tuple([quantity('temperature'), quantity('density')])).min(2), {
    meaning: 'Temperatures, rising, each with the density there.',
    form: 'pairs of a temperature and a density',
    example: '[[15 °C, 870 kg/m3], [40 °C, 854 kg/m3], [80 °C, 829 kg/m3]]',
  }),
  uncertainty: densityUncertainty('1 kg/m3'),
  source: source(),
});

const densitySchema = z.strictObject({
  'lubricating-oil': key(lubricatingOil.optional(), {
    meaning: 'Lubricating oil by the petroleum volume correction (API MPMS 11.1 / ASTM D1250), -50 °C to 150 °C.',
    form: 'the keys at-15-C, uncertainty and expansion-uncertainty',
    example: '{ at-15-C: 870 kg/m3, uncertainty: 2 kg/m3 }',
    otherwise: 'needs `water`, or `table`',
  }),
  water: key(waterDensity.optional(), {
    meaning: 'Water, 0 °C to 100 °C.',
    form: 'the key uncertainty',
    example: '{ uncertainty: 0.5 kg/m3 }',
    otherwise: 'needs `lubricating-oil`, or `table`',
  }),
  table: key(densityTable.optional(), {
    meaning: 'Anything else, point by point.',
    form: 'the keys points, uncertainty and source',
    example: '{ points: [[15 °C, 870 kg/m3], [80 °C, 829 kg/m3]], uncertainty: 1 kg/m3, source: data sheet }',
    otherwise: 'needs `lubricating-oil`, or `water`',
  }),
});

const slopeKeys = {
  'per-kelvin': key(quantity('speed-slope'), {
    meaning: 'How the speed changes for each kelvin; in oils it falls.',
    form: 'a speed per kelvin',
    example: '-3.5 m/s/K',
  }),
  'per-kelvin-uncertainty': key(quantity('speed-slope', { from: '0 m/s/K' }, '0.3 m/s/K'), {
    meaning: 'The standard uncertainty of that figure.',
    form: 'a speed per kelvin',
    example: '0.3 m/s/K',
  }),
  valid: key(span('temperature', '0 °C to 100 °C'), {
    meaning: 'The temperatures for which the line is good.',
    form: 'two temperatures, the lower first',
    example: '0 °C to 100 °C',
  }),
  source: source(),
};

const linearSound = z.strictObject({
  at: key(quantity('temperature', {}, '20 °C'), {
    meaning: 'The temperature of the stated speed.',
    form: 'a temperature',
    example: '20 °C',
  }),
  speed: key(quantity('speed', { above: '0 m/s' }), {
    meaning: 'The speed of sound at that temperature.',
    form: 'a speed of sound',
    example: '1440 m/s',
  }),
  uncertainty: key(quantity('speed', { from: '0 m/s' }, '25 m/s'), {
    meaning: 'Its standard uncertainty: tens of m/s unless it was measured in this fluid.',
    form: 'a speed of sound',
    example: '25 m/s',
  }),
  ...slopeKeys,
});

const calibratedSound = z.strictObject({
  at: key(quantity('temperature', {}, '21.4 °C'), {
    meaning: 'The temperature of the fluid during the calibration.',
    form: 'a temperature',
    example: '21.4 °C',
  }),
  'at-uncertainty': key(quantity('difference', { from: '0 K' }), {
    meaning: 'Its standard uncertainty.',
    form: 'a temperature difference',
    example: '0.3 K',
  }),
  length: key(quantity('length', { above: '0 mm' }, '60 mm'), {
    meaning: 'The length from the face of the sensor to the reflector.',
    form: 'a length',
    example: '60 mm',
  }),
  'length-uncertainty': key(quantity('length', { from: '0 mm' }, '0.1 mm'), {
    meaning: 'Its standard uncertainty.',
    form: 'a length',
    example: '0.1 mm',
  }),
  echo: key(quantity('flight', { above: '0 µs' }, '83.4 µs'), {
    meaning: 'The time of the echo there and back, the dead time taken off.',
    form: 'a time',
    example: '83.4 µs',
  }),
  'echo-uncertainty': key(quantity('flight', { from: '0 µs' }, '0.1 µs'), {
    meaning: 'Its standard uncertainty.',
    form: 'a time',
    example: '0.1 µs',
  }),
  ...slopeKeys,
});

const waterSound = z.strictObject({
  uncertainty: key(quantity('speed', { from: '0 m/s' }, '1 m/s').prefault('0 m/s'), {
    meaning: 'What salts and air may do to its speed of sound, as a standard uncertainty.',
    form: 'a speed of sound',
    example: '1 m/s',
  }),
});

const soundTable = z.strictObject({
  points: key(z.array(z.tuple([quantity('temperature'), quantity('speed')])).min(2), {
    meaning: 'Temperatures, rising, each with the speed of sound there.',
    form: 'pairs of a temperature and a speed of sound',
    example: '[[20 °C, 1440 m/s], [50 °C, 1336 m/s], [80 °C, 1235 m/s]]',
  }),
  uncertainty: key(quantity('speed', { from: '0 m/s' }, '5 m/s'), {
    meaning: 'The standard uncertainty of a speed.',
    form: 'a speed of sound',
    example: '5 m/s',
  }),
  source: source(),
});

const soundSchema = z.strictObject({
  linear: key(linearSound.optional(), {
    meaning: 'A straight line over temperature.',
    form: 'the keys of a line',
    example: '{ at: 20 °C, speed: 1440 m/s, … }',
    otherwise: 'needs `calibrated`, `water` or `table`',
  }),
  calibrated: key(calibratedSound.optional(), {
    meaning: 'Measured in the fluid itself: an echo over a known length, then a straight line.',
    form: 'the keys of a calibration',
    example: '{ at: 21.4 °C, length: 60 mm, echo: 83.4 µs, … }',
    otherwise: 'needs `linear`, `water` or `table`',
  }),
  water: key(waterSound.optional(), {
    meaning: 'Water, 0 °C to 95 °C.',
    form: 'the key uncertainty',
    example: '{ uncertainty: 1 m/s }',
    otherwise: 'needs `linear`, `calibrated` or `table`',
  }),
  table: key(soundTable.optional(), {
    meaning: 'Point by point.',
    form: 'the keys points, uncertainty and source',
    example: '{ points: [[20 °C, 1440 m/s], [50 °C, 1336 m/s]], uncertainty: 5 m/s, source: data sheet }',
    otherwise: 'needs `linear`, `calibrated` or `water`',
  }),
});

const singleKeys = {
  name: key(text(80).optional(), {
    meaning: 'What the fluid is called.',
    form: 'a name of at most 80 characters',
    example: 'gear oil',
    otherwise: '"fluid"',
  }),
  typical: key(word('transmission-oil').optional(), {
    meaning: `Typical values to begin with, in place of \`density\` and \`sound\`: ${TYPICAL_TRANSMISSION_OIL.advice}. ${TYPICAL_TRANSMISSION_OIL.source}`,
    form: 'transmission-oil',
    example: 'transmission-oil',
    otherwise: 'needs `density`',
  }),
  density: key(densitySchema.optional(), {
    meaning: 'How its density follows from temperature.',
    form: 'one of lubricating-oil, water, table',
    example: '{ lubricating-oil: { at-15-C: 870 kg/m3, uncertainty: 2 kg/m3 } }',
    otherwise: 'needs `typical`',
  }),
  sound: key(soundSchema.optional(), {
    meaning: 'How its speed of sound follows from temperature.',
    form: 'one of linear, calibrated, water, table',
    example: '{ linear: { at: 20 °C, speed: 1440 m/s, … } }',
    otherwise: 'no echo can be timed in it',
  }),
};

const singleSchema = z.strictObject(singleKeys);

const mixtureSchema = z.strictObject({
  old: key(singleSchema, {
    meaning: 'The fluid that was there.',
    form: 'the keys of a fluid',
    example: '{ typical: transmission-oil }',
  }),
  fresh: key(singleSchema, {
    meaning: 'The fluid that was filled in.',
    form: 'the keys of a fluid',
    example: '{ density: { … } }',
  }),
  'fresh-share': key(quantity('share', { from: '0 %', to: '100 %' }, '60 %'), {
    meaning: 'The share of the fresh fluid, by mass.',
    form: 'a share of at most 100 %',
    example: '60 %',
  }),
  uncertainty: key(quantity('share', { from: '0 %', to: '100 %' }, '5 %'), {
    meaning: 'Its standard uncertainty.',
    form: 'a share of at most 100 %',
    example: '5 %',
  }),
});

export const fluidSchema = z.strictObject({
  ...singleKeys,
  mixture: key(mixtureSchema.optional(), {
    meaning: 'Two fluids of one kind, mixed, in place of the keys above.',
    form: 'the keys old, fresh, fresh-share and uncertainty',
    example: '{ old: { … }, fresh: { … }, fresh-share: 60 %, uncertainty: 5 % }',
    otherwise: 'one fluid alone',
  }),
});

export type FluidKeys = z.output<typeof fluidSchema>;
type SingleKeys = z.output<typeof singleSchema>;

export const FLUID_SECTIONS = [
  { title: 'The fluid', at: 'fluid', schema: fluidSchema },
  { title: 'Its density', at: 'fluid.density', schema: densitySchema },
  { title: 'Density of a lubricating oil', at: 'fluid.density.lubricating-oil', schema: lubricatingOil },
  { title: 'Density of water', at: 'fluid.density.water', schema: waterDensity },
  { title: 'Density by table', at: 'fluid.density.table', schema: densityTable },
  { title: 'Its speed of sound', at: 'fluid.sound', schema: soundSchema },
  { title: 'Speed of sound as a line', at: 'fluid.sound.linear', schema: linearSound },
  { title: 'Speed of sound by calibration', at: 'fluid.sound.calibrated', schema: calibratedSound },
  { title: 'Speed of sound in water', at: 'fluid.sound.water', schema: waterSound },
  { title: 'Speed of sound by table', at: 'fluid.sound.table', schema: soundTable },
  { title: 'A mixture', at: 'fluid.mixture', schema: mixtureSchema },
] as const;

/** Throws a RangeError where the keys do not go together. */
export function resolveFluid(keys: FluidKeys): FluidDescription {
  const { mixture, name = 'fluid', ...single } = keys;
  if (mixture === undefined) return resolveSingle({ name, ...single });
  if (single.density ?? single.sound ?? single.typical)
    throw new RangeError('a mixture has its densities and speeds of sound in "old" and "fresh"');
  return {
    kind: 'mixture',
    name,
    old: resolveSingle(mixture.old),
    fresh: resolveSingle(mixture.fresh),
    freshShare: mixture['fresh-share'],
    uFreshShare: mixture.uncertainty,
  };
}

function resolveSingle({ name, typical, density, sound }: SingleKeys): SingleFluidDescription {
  if (typical !== undefined) {
    if (density ?? sound) throw new RangeError('typical values stand alone: leave density and sound out, or "typical"');
    const { value } = TYPICAL_TRANSMISSION_OIL;
    return name === undefined || name === 'fluid' ? value : { ...value, name };
  }
  if (density === undefined) throw new RangeError('a fluid needs its density, or "typical"');
  return {
    kind: 'single',
    name: name ?? 'fluid',
    density: densityOf(density),
    sound: sound === undefined ? null : soundOf(sound),
  };
}

function densityOf(keys: z.output<typeof densitySchema>): SingleFluidDescription['density'] {
  onlyOne('density', keys);
  const oil = keys['lubricating-oil'];
  if (oil !== undefined)
    return {
      kind: 'lubricating-oil',
      at15KgPerM3: oil['at-15-C'],
      uKgPerM3: oil.uncertainty,
      uExpansionPerK: oil['expansion-uncertainty'],
    };
  if (keys.water !== undefined) return { kind: 'water', uKgPerM3: keys.water.uncertainty };
  const { points, uncertainty, source } = keys.table as NonNullable<typeof keys.table>;
  return { kind: 'table', points: points.map(([tC, kgPerM3]) => ({ tC, kgPerM3 })), uKgPerM3: uncertainty, source };
}

function soundOf(keys: z.output<typeof soundSchema>): NonNullable<SingleFluidDescription['sound']> {
  onlyOne('sound', keys);
  const { linear, calibrated, water, table } = keys;
  if (linear !== undefined)
    return { kind: 'linear', mPerS: linear.speed, uMPerS: linear.uncertainty, ...lineOf(linear) };
  if (calibrated !== undefined)
    return {
      kind: 'calibrated',
      uAtC: calibrated['at-uncertainty'],
      lengthMm: calibrated.length,
      uLengthMm: calibrated['length-uncertainty'],
      echoUs: calibrated.echo,
      uEchoUs: calibrated['echo-uncertainty'],
      ...lineOf(calibrated),
    };
  if (water !== undefined) return { kind: 'water', uMPerS: water.uncertainty };
  const { points, uncertainty, source } = table as NonNullable<typeof table>;
  return { kind: 'table', points: points.map(([tC, mPerS]) => ({ tC, mPerS })), uMPerS: uncertainty, source };
}

function lineOf(keys: z.output<typeof linearSound> | z.output<typeof calibratedSound>) {
  return {
    atC: keys.at,
    perK: keys['per-kelvin'],
    uPerK: keys['per-kelvin-uncertainty'],
    lowC: keys.valid.low,
    highC: keys.valid.high,
    source: keys.source,
  };
}

/** Throws a RangeError unless one of the keys is there. */
export function onlyOne(what: string, keys: Readonly<Record<string, unknown>>): void {
  const there = Object.keys(keys).filter((name) => keys[name] !== undefined);
  if (there.length !== 1)
    throw new RangeError(
      there.length === 0 ? `nothing stands in "${what}"` : `"${what}" is given twice: ${there.join(' and ')}`,
    );
}
