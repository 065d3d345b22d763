/** The `law` of a channel, key by key: how the number of a board becomes a quantity. */
import { z } from 'zod';
import { RTD_BUILDS, RTD_CLASSES } from '../core/laws/rtd-tolerance.ts';
import { THERMOCOUPLE_TYPES } from '../core/laws/thermocouple-functions.ts';
import { key, measured, quantity, span, stated, word } from './fields.ts';
import { boardMillimetres, echoFromAbove, echoFromBelow, flowPulses, hydrostatic, mass } from './law-schema-level.ts';
import type { Kind } from './units.ts';

/** What a law of straight lines or points may give: a quantity of a channel, or the signal of the next law. */
const GIVES: readonly Kind[] = ['length', 'temperature', 'pressure', 'volume', 'share', 'resistance', 'voltage'];
/** What boards send. */
const SENDS: readonly Kind[] = ['voltage', 'resistance', 'current', 'count', 'pressure', 'flight', 'length'];

/** [[0 V, 0 mm], [10 V, 250 mm]] */
function points(signals: readonly Kind[], values: readonly Kind[], sample: readonly [string, string]) {
  return z.array(z.tuple([measured(signals, sample[0]), measured(values, sample[1])])).min(2);
}

const currentLoop = z.strictObject({
  'at-4-mA': key(measured(GIVES, '0 mm'), {
    meaning: 'What 4 mA stands for.',
    form: 'a quantity',
    example: '0 mm',
  }),
  'at-20-mA': key(measured(GIVES, '250 mm'), {
    meaning: 'What 20 mA stands for.',
    form: 'a quantity of the same kind',
    example: '250 mm',
  }),
});

const twoPoint = z.strictObject({
  points: key(points(SENDS, GIVES, ['10 V', '250 mm']), {
    meaning: 'Two signals, each with what it stands for; a straight line goes through them.',
    form: 'two pairs of a signal and a quantity',
    example: '[[0 V, 0 mm], [10 V, 250 mm]]',
  }),
  valid: key(z.tuple([measured(SENDS, '0 V'), measured(SENDS, '10.2 V')]).optional(), {
    meaning: 'The least and the greatest signal that count.',
    form: 'two signals',
    example: '[0 V, 10.2 V]',
    otherwise: 'from one point to the other',
  }),
});

const ratiometric = z.strictObject({
  points: key(points(['share'], GIVES, ['90 %', '250 mm']), {
    meaning: 'Two shares of the supply voltage, each with what it stands for.',
    form: 'two pairs of a share and a quantity',
    example: '[[10 %, 0 mm], [90 %, 250 mm]]',
  }),
  valid: key(span('share', '5 % to 95 %'), {
    meaning: 'The shares that count.',
    form: 'a span of shares',
    example: '5 % to 95 %',
  }),
  supply: key(stated('voltage', '5 V'), {
    meaning: 'The supply voltage of the sensor.',
    form: 'a voltage, or the name of a channel of voltage',
    example: '5 V',
  }),
  'supply-uncertainty': key(quantity('voltage', { from: '0 V' }, '0.02 V').prefault('0 V'), {
    meaning: 'The standard uncertainty of a stated supply voltage.',
    form: 'a voltage',
    example: '0.02 V',
  }),
  'supply-range': key(span('voltage', '4.5 V to 5.5 V'), {
    meaning: 'The supply voltages that the sensor is made for.',
    form: 'two voltages, the lower first',
    example: '4.5 V to 5.5 V',
  }),
});

const divider = z.strictObject({
  fixed: key(quantity('resistance', { above: '0 Ohm' }, '10 kOhm'), {
    meaning: 'The resistor in series with the sensor.',
    form: 'a resistance',
    example: '10 kOhm',
  }),
  'full-scale': key(quantity('count', { above: '0 counts' }, '4096 counts'), {
    meaning: 'The count that stands for the whole supply.',
    form: 'a count',
    example: '4096 counts',
  }),
  'sensor-to': key(word('ground', 'supply'), {
    meaning: 'The side on which the sensor lies.',
    form: 'ground or supply',
    example: 'ground',
  }),
  guard: key(quantity('count', { above: '0 counts' }, '20 counts').prefault('20 counts'), {
    meaning: 'Closer than this to either end, the sensor counts as open or bridged.',
    form: 'a count above 0',
    example: '20 counts',
  }),
});

const table = z.strictObject({
  points: key(points(SENDS, GIVES, ['180 Ohm', '200 mm']), {
    meaning: 'Signals, rising, each with what it stands for: a sender measured point by point.',
    form: 'pairs of a signal and a quantity',
    example: '[[10 Ohm, 0 mm], [72 Ohm, 90 mm], [180 Ohm, 200 mm]]',
  }),
});

const platinumRtd = z.strictObject({
  r0: key(quantity('resistance', { above: '0 Ohm' }, '100 Ohm'), {
    meaning: 'The resistance at 0 °C: 100 Ohm for a Pt100, 1000 Ohm for a Pt1000.',
    form: 'a resistance',
    example: '100 Ohm',
  }),
  class: key(word(...RTD_CLASSES).optional(), {
    meaning:
      'The tolerance class of IEC 60751. With it the `uncertainty` of the channel may be left out: it is then what the class allows at the far end of the range, over √3.',
    form: 'AA, A, B or C',
    example: 'B',
    otherwise: 'the channel states its uncertainty',
  }),
  build: key(word(...RTD_BUILDS).prefault('film'), {
    meaning: 'How the resistor is made, which decides where its class holds.',
    form: 'wire-wound or film',
    example: 'film',
  }),
});

const ntc = z.strictObject({
  valid: key(span('temperature', '0 °C to 125 °C'), {
    meaning: 'The temperatures that the curve is good for.',
    form: 'two temperatures, the lower first',
    example: '0 °C to 125 °C',
  }),
  points: key(
    z
      .array(z.tuple([quantity('temperature'), quantity('resistance')]))
      .length(3)
      .optional(),
    {
      meaning: 'Three temperatures of the maker’s table with their resistances.',
      form: 'three pairs of a temperature and a resistance',
      example: '[[0 °C, 32650 Ohm], [50 °C, 3603 Ohm], [100 °C, 680 Ohm]]',
      otherwise: 'needs `coefficients`, or `beta`',
    },
  ),
  coefficients: key(z.array(z.number()).length(3).optional(), {
    meaning: 'The coefficients a, b, c of Steinhart and Hart, for ohms and kelvins.',
    form: 'three numbers',
    example: '[0.001129241, 0.0002341077, 0.00000008775468]',
    otherwise: 'needs `points`, or `beta`',
  }),
  beta: key(quantity('difference', { above: '0 K' }, '3950 K').optional(), {
    meaning: 'The B-value, together with `r0` and `at`.',
    form: 'a temperature difference',
    example: '3950 K',
    otherwise: 'needs `points`, or `coefficients`',
  }),
  r0: key(quantity('resistance', { above: '0 Ohm' }, '10 kOhm').optional(), {
    meaning: 'With `beta`: the resistance at `at`.',
    form: 'a resistance',
    example: '10 kOhm',
    otherwise: 'required with `beta`',
  }),
  at: key(quantity('temperature').prefault('25 °C'), {
    meaning: 'With `beta`: the temperature of `r0`.',
    form: 'a temperature',
    example: '25 °C',
  }),
});

const thermocouple = z.strictObject({
  type: key(word(...THERMOCOUPLE_TYPES), {
    meaning: 'The type of the thermocouple.',
    form: 'B, E, J, K, N, R, S or T',
    example: 'K',
  }),
  'cold-junction': key(stated('temperature', '25 °C'), {
    meaning: 'The temperature of its terminals.',
    form: 'a temperature, or the name of a channel of temperature',
    example: 'terminals',
  }),
  'cold-junction-uncertainty': key(quantity('difference', { from: '0 K' }, '2 K').prefault('2 K'), {
    meaning: 'The standard uncertainty of a stated temperature of the terminals.',
    form: 'a temperature difference',
    example: '2 K',
  }),
});

/** The order is that of the signal: what makes a resistance, a pressure or a length of it stands before what takes it. */
export const lawSchema = z.strictObject({
  'current-loop': key(currentLoop.optional(), {
    meaning: 'A transmitter on a loop of 4 to 20 mA, with the failure currents of NAMUR NE 43.',
    form: 'the keys at-4-mA and at-20-mA',
    example: '{ at-4-mA: 0 mm, at-20-mA: 250 mm }',
    otherwise: 'not applied',
  }),
  'two-point': key(twoPoint.optional(), {
    meaning: 'A straight scale through two points, such as 0 to 10 V.',
    form: 'the keys points and valid',
    example: '{ points: [[0 V, 0 mm], [10 V, 250 mm]] }',
    otherwise: 'not applied',
  }),
  ratiometric: key(ratiometric.optional(), {
    meaning: 'A voltage that is a share of the supply.',
    form: 'the keys points, valid, supply and supply-range',
    example:
      '{ points: [[10 %, 0 mm], [90 %, 250 mm]], valid: 5 % to 95 %, supply: 5 V, supply-range: 4.5 V to 5.5 V }',
    otherwise: 'not applied',
  }),
  divider: key(divider.optional(), {
    meaning: 'Counts of a converter, from a resistive sensor in series with a fixed resistor, as a resistance.',
    form: 'the keys fixed, full-scale, sensor-to and guard',
    example: '{ fixed: 10 kOhm, full-scale: 4096 counts, sensor-to: ground }',
    otherwise: 'not applied',
  }),
  'board-millimetres': key(boardMillimetres.optional(), {
    meaning: 'Lengths that an echo board computed with a speed of sound of its own, made times again.',
    form: 'the keys assumed and offset, with the law of an echo beside it',
    example: '{ assumed: 1480 m/s }',
    otherwise: 'not applied',
  }),
  table: key(table.optional(), {
    meaning: 'A sender by its points; a smooth curve that never overshoots goes through them.',
    form: 'the key points',
    example: '{ points: [[10 Ohm, 0 mm], [72 Ohm, 90 mm], [180 Ohm, 200 mm]] }',
    otherwise: 'not applied',
  }),
  'platinum-rtd': key(platinumRtd.optional(), {
    meaning: 'A platinum resistance thermometer of IEC 60751.',
    form: 'the keys r0, class and build',
    example: '{ r0: 100 Ohm, class: B }',
    otherwise: 'not applied',
  }),
  ntc: key(ntc.optional(), {
    meaning: 'A thermistor whose resistance falls with temperature.',
    form: 'the key valid with points, coefficients or beta',
    example: '{ valid: 0 °C to 125 °C, beta: 3950 K, r0: 10 kOhm }',
    otherwise: 'not applied',
  }),
  thermocouple: key(thermocouple.optional(), {
    meaning: 'A thermocouple on ITS-90.',
    form: 'the keys type and cold-junction',
    example: '{ type: K, cold-junction: 25 °C }',
    otherwise: 'not applied',
  }),
  'echo-from-below': key(echoFromBelow.optional(), {
    meaning: 'The time of an echo through the fluid, from the bottom to the surface and back.',
    form: 'the keys face, dead-time, sound and temperature',
    example: '{ face: 3 mm, dead-time: 2 µs, sound: fluid }',
    otherwise: 'not applied',
  }),
  'echo-from-above': key(echoFromAbove.optional(), {
    meaning: 'The time of an echo through the air, down to the surface and back.',
    form: 'the keys mount, dead-time, air, humidity and pressure',
    example: '{ mount: 300 mm, air: 23 °C }',
    otherwise: 'not applied',
  }),
  hydrostatic: key(hydrostatic.optional(), {
    meaning: 'The pressure of the fluid above a sensor.',
    form: 'the keys sensor, density and gravity',
    example: '{ sensor: 0 mm, density: fluid, latitude: 52.5 deg }',
    otherwise: 'not applied',
  }),
  'flow-pulses': key(flowPulses.optional(), {
    meaning: 'Pulses of a flow meter, as litres.',
    form: 'the key per-litre',
    example: '{ per-litre: 450 }',
    otherwise: 'not applied',
  }),
  mass: key(mass.optional(), {
    meaning: 'A mass on a scale, as litres of the fluid.',
    form: 'the keys density and air-density',
    example: '{ density: fluid }',
    otherwise: 'not applied',
  }),
});

export type LawKeys = z.output<typeof lawSchema>;
export type LawName = keyof LawKeys;

/** Sections of the reference. */
export const LAW_SECTIONS = (Object.keys(lawSchema.shape) as LawName[]).map((name) => ({
  title: `Law: ${name}`,
  at: `channels.<name>.law.${name}`,
  schema: (lawSchema.shape[name] as unknown as { unwrap(): z.ZodObject }).unwrap(),
}));
