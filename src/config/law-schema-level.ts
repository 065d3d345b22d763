/** Keys of the laws of levels and amounts: echoes, hydrostatic head, flow meters, scales. */
import { z } from 'zod';
import { decimal, key, quantity, stated, understood } from './fields.ts';
import { readQuantity, type Understood } from './quantities.ts';

const positive = (value: number): boolean => value > 0;

/** A quantity, or the word `fluid`. */
function fluidOr(kind: 'speed' | 'density', sample: string): z.ZodType<number | 'fluid'> {
  return understood(
    `"fluid", or a ${kind === 'speed' ? 'speed' : 'density'} such as "${sample}"`,
    (text): Understood<number | 'fluid'> =>
      text === 'fluid' ? { ok: true, value: 'fluid' } : readQuantity(text, kind),
  );
}

const temperatureOfFluid = () =>
  key(z.string().optional(), {
    meaning: 'The channel of the temperature at which the property of the fluid is taken.',
    form: 'the name of a channel of temperature',
    example: 'temperature',
    otherwise: 'the temperature channel of the measurement',
  });

export const boardMillimetres = z.strictObject({
  assumed: key(quantity('speed', { above: '0 m/s' }, '1480 m/s'), {
    meaning: 'The speed of sound that the board computes its lengths with. The law of an echo stands beside this one.',
    form: 'a speed of sound',
    example: '1480 m/s',
  }),
  offset: key(quantity('length', {}, '0 mm').prefault('0 mm'), {
    meaning: 'What the board shows for an echo that takes no time.',
    form: 'a length',
    example: '0 mm',
  }),
});

const deadTime = () =>
  key(quantity('flight', { from: '0 µs' }, '2 µs').prefault('0 µs'), {
    meaning: 'The part of the time that belongs to the instrument: electronics, and the wall that the pulse passes.',
    form: 'a time',
    example: '2 µs',
  });

export const echoFromBelow = z.strictObject({
  face: key(quantity('length', {}, '3 mm').prefault('0 mm'), {
    meaning: 'The height of the face of the transducer above the zero of the level.',
    form: 'a length',
    example: '3 mm',
  }),
  'dead-time': deadTime(),
  sound: key(fluidOr('speed', '1440 m/s').prefault('fluid'), {
    meaning: 'The speed of sound: that of the fluid at its temperature, or one stated.',
    form: '"fluid" or a speed of sound',
    example: 'fluid',
  }),
  'sound-uncertainty': key(quantity('speed', { from: '0 m/s' }, '25 m/s').prefault('25 m/s'), {
    meaning: 'The standard uncertainty of a stated speed of sound.',
    form: 'a speed of sound',
    example: '25 m/s',
  }),
  temperature: temperatureOfFluid(),
});

export const echoFromAbove = z.strictObject({
  mount: key(quantity('length', {}, '300 mm'), {
    meaning: 'The height of the face of the transducer above the zero of the level.',
    form: 'a length',
    example: '300 mm',
  }),
  'dead-time': deadTime(),
  air: key(stated('temperature', '23 °C'), {
    meaning: 'The temperature of the air along the way.',
    form: 'a temperature, or the name of a channel of temperature',
    example: 'air',
  }),
  'air-uncertainty': key(quantity('difference', { from: '0 K' }, '2 K').prefault('2 K'), {
    meaning: 'The standard uncertainty of a stated temperature of the air.',
    form: 'a temperature difference',
    example: '2 K',
  }),
  humidity: key(stated('humidity', '50 %').optional(), {
    meaning: 'The relative humidity of the air.',
    form: 'a relative humidity, or the name of a channel of it',
    example: '50 %',
    otherwise: 'the rule for dry air',
  }),
  'humidity-uncertainty': key(quantity('humidity', { from: '0 %' }, '10 %').prefault('10 %'), {
    meaning: 'The standard uncertainty of a stated humidity.',
    form: 'a relative humidity',
    example: '10 %',
  }),
  pressure: key(stated('pressure', '101.3 kPa').optional(), {
    meaning: 'With `humidity`: the pressure of the air, not reduced to sea level.',
    form: 'a pressure, or the name of a channel of pressure',
    example: '98.2 kPa',
    otherwise: 'that of the standard atmosphere at `altitude`',
  }),
  altitude: key(quantity('length', {}, '250 m').prefault('0 m'), {
    meaning: 'With `humidity` and without `pressure`: the height above the sea.',
    form: 'a length',
    example: '250 m',
  }),
});

const airDensity = () =>
  key(quantity('density', { from: '0 kg/m3' }, '1.2 kg/m3').prefault('1.2 kg/m3'), {
    meaning: 'The density of the air; 0 kg/m3 where it plays no part.',
    form: 'a density',
    example: '1.2 kg/m3',
  });

const densityKeys = {
  density: key(fluidOr('density', '870 kg/m3').prefault('fluid'), {
    meaning: 'The density: that of the fluid at its temperature, or one stated.',
    form: '"fluid" or a density',
    example: 'fluid',
  }),
  'density-uncertainty': key(quantity('density', { from: '0 kg/m3' }, '5 kg/m3').prefault('5 kg/m3'), {
    meaning: 'The standard uncertainty of a stated density.',
    form: 'a density',
    example: '5 kg/m3',
  }),
  temperature: temperatureOfFluid(),
  'air-density': airDensity(),
};

export const hydrostatic = z.strictObject({
  sensor: key(quantity('length', {}, '0 mm').prefault('0 mm'), {
    meaning: 'The height of the diaphragm above the zero of the level.',
    form: 'a length',
    example: '-5 mm',
  }),
  ...densityKeys,
  gravity: key(quantity('acceleration', {}, '9.81 m/s2').optional(), {
    meaning: 'The acceleration of free fall at this place.',
    form: 'an acceleration',
    example: '9.8106 m/s2',
    otherwise: 'from `latitude` and `altitude`; without them the mean of the globe with its spread',
  }),
  latitude: key(quantity('angle', { from: '-90 deg', to: '90 deg' }, '52.5 deg').optional(), {
    meaning: 'The latitude of this place.',
    form: 'an angle from -90 deg to 90 deg',
    example: '52.5 deg',
    otherwise: 'not used',
  }),
  altitude: key(quantity('length', {}, '250 m').prefault('0 m'), {
    meaning: 'With `latitude`: the height above the sea.',
    form: 'a length',
    example: '250 m',
  }),
});

export const flowPulses = z.strictObject({
  'per-litre': key(decimal('a number above 0 such as 450', positive), {
    meaning: 'Pulses that the meter gives for a litre.',
    form: 'a number above 0',
    example: '450',
  }),
});

export const mass = z.strictObject({ ...densityKeys });
