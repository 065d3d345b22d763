/** What is read, when it counts, and how it is brought to its reference: keys of `measure`, `circuit` and the machine. */
import { z } from 'zod';
import type { CompensationDescription, SlopeDescription } from '../core/compensation/description.ts';
import type { BenchCircuit } from '../core/description.ts';
import { key, quantity, span, text, understood } from './fields.ts';
import { matchSchema } from './match-schema.ts';
import { readQuantity, type Understood } from './quantities.ts';
import { wallSchema } from './vessel-schema.ts';

const chartSchema = z.strictObject({
  points: key(z.array(z.tuple([quantity('temperature'), quantity('length')])).min(2), {
    meaning: 'Temperatures, rising, each with the level that the same filling shows there.',
    form: 'pairs of a temperature and a level',
    example: '[[20 °C, 61 mm], [50 °C, 63.4 mm], [80 °C, 66.1 mm]]',
  }),
  uncertainty: key(quantity('slope', { from: '0 mm/K' }, '0.01 mm/K'), {
    meaning: 'The standard uncertainty of what the chart says of one kelvin.',
    form: 'a length per kelvin, not below 0',
    example: '0.01 mm/K',
  }),
});

const yes = (meaning: string, otherwise: string) =>
  key(z.literal(true).optional(), { meaning, form: 'true', example: 'true', otherwise });

const compensationSchema = z.strictObject({
  'vessel-and-fluid': yes(
    'By the conservation of mass in `vessel` and `circuit`, with the expansion of `fluid`: the way to be preferred.',
    'another way',
  ),
  chart: key(chartSchema.optional(), {
    meaning: 'By a chart of level against temperature.',
    form: 'the keys points and uncertainty',
    example: '{ points: [[20 °C, 61 mm], [80 °C, 66.1 mm]], uncertainty: 0.01 mm/K }',
    otherwise: 'another way',
  }),
  slope: key(quantity('slope').optional(), {
    meaning: 'How much the level rises for each kelvin at the same amount of fluid.',
    form: 'a length per kelvin',
    example: '0.25 mm/K',
    otherwise: 'another way',
  }),
  uncertainty: key(quantity('slope', { from: '0 mm/K' }).optional(), {
    meaning: 'The standard uncertainty of the slope.',
    form: 'a length per kelvin, not below 0',
    example: '0.03 mm/K',
    otherwise: 'required with a slope',
  }),
  learned: yes(
    'With a slope: learn it from each warm-up of this bench, and use the one stated until then. What was learned holds everything that moves the gauge with temperature; it is held against what `fluid` and `vessel` say.',
    'the slope stays as stated',
  ),
});

const probeLagSchema = z.strictObject({
  time: key(quantity('time', { from: '0 s', to: '5 min' }), {
    meaning:
      'The time after which the probe, put from cold into warm fluid, has made up 63 % of the difference. Stirred fluid makes it shorter.',
    form: 'a time up to 5 min',
    example: '8 s',
  }),
  uncertainty: key(quantity('time', { from: '0 s', to: '5 min' }), {
    meaning: 'The standard uncertainty of that time.',
    form: 'a time up to 5 min',
    example: '2 s',
  }),
});

const steadySchema = z.strictObject({
  tolerance: key(quantity('length', { above: '0 mm' }, '1.2 mm'), {
    meaning:
      'How far the level may still be from where it comes to rest. How long it has to be watched for that follows from the noise of the sensor.',
    form: 'a length above 0',
    example: '1.2 mm',
  }),
  confidence: key(quantity('share', { from: '80 %', to: '99.99 %' }, '99 %').prefault('98 %'), {
    meaning: 'How sure it must be that the level is within the tolerance.',
    form: 'a share from 80 % to 99.99 %',
    example: '99.5 %',
  }),
  waves: key(quantity('length', { above: '0 mm' }, '1.8 mm').optional(), {
    meaning: 'How high waves may go above and below the middle.',
    form: 'a length above 0',
    example: '1.5 mm',
    otherwise: 'one and a half times the tolerance',
  }),
  settling: key(quantity('time', { from: '1 s', to: '10 min' }).prefault('20 s'), {
    meaning:
      'The slowest way in which fluid comes to rest here after pouring: the time in which what is still to come falls to a third.',
    form: 'a time from 1 s to 10 min',
    example: '30 s',
  }),
  longest: key(quantity('time', { from: '5 s', to: '1 h' }).prefault('2 min'), {
    meaning: 'How far back the level is looked at most.',
    form: 'a time from 5 s to 1 h',
    example: '5 min',
  }),
});

export const FIRST_READING = 'first-reading';

const reference = understood(
  `a temperature such as "50 °C", or ${FIRST_READING}`,
  (written): Understood<number | typeof FIRST_READING> =>
    written === FIRST_READING ? { ok: true, value: FIRST_READING } : readQuantity(written, 'temperature'),
);

export const measureSchema = z.strictObject({
  level: key(z.string(), {
    meaning: 'The channel that is read.',
    form: 'the name of a channel of length',
    example: 'level',
  }),
  temperature: key(z.string(), {
    meaning: 'The channel of the temperature of the fluid.',
    form: 'the name of a channel of temperature',
    example: 'temperature',
  }),
  window: key(span('temperature', '46 °C to 54 °C'), {
    meaning: 'The temperatures of the fluid at which a reading counts.',
    form: 'two temperatures, the lower first',
    example: '46 °C to 54 °C',
  }),
  hysteresis: key(quantity('difference', { from: '0 K' }).prefault('0.3 K'), {
    meaning:
      'How far inside the window the temperature must come before a reading may be taken again once it was outside.',
    form: 'a temperature difference',
    example: '0.5 K',
  }),
  reference: key(reference.prefault(FIRST_READING), {
    meaning:
      'The temperature for which the level is stated. `first-reading`: the readings of a job are brought to the temperature of its first one, so that hardly anything has to be corrected; outside a job, to the middle of the window.',
    form: `a temperature, or ${FIRST_READING}`,
    example: '50 °C',
  }),
  compensation: key(compensationSchema, {
    meaning: 'Brings the level to the reference temperature, one of three ways.',
    form: 'vessel-and-fluid, or chart, or the keys slope and uncertainty',
    example: '{ slope: 0.25 mm/K, uncertainty: 0.03 mm/K }',
  }),
  'probe-lag': key(probeLagSchema.optional(), {
    meaning: 'How slowly the probe follows the fluid; its temperature is worked out ahead of the probe by that.',
    form: 'the keys time and uncertainty',
    example: '{ time: 8 s, uncertainty: 2 s }',
    otherwise: 'the probe is taken to follow at once',
  }),
  'stem-error': key(quantity('difference', { above: '0 K' }, '0.4 K').optional(), {
    meaning:
      'The standard uncertainty of what the probe is off because heat runs along its stem: for a probe that dips in by less than ten of its diameters. One warm-up cannot tell it from the lag, so it is stated.',
    form: 'a temperature difference above 0',
    example: '0.4 K',
    otherwise: 'the probe is taken to be as warm as the fluid around it',
  }),
  steady: key(steadySchema, {
    meaning: 'When the level counts as settled.',
    form: 'the key tolerance, and if need be confidence, waves, settling, longest',
    example: '{ tolerance: 1.2 mm }',
  }),
  'zero-limit': key(quantity('length', { above: '0 mm' }, '0.3 mm').optional(), {
    meaning:
      'How far the zero of the level sensor may move between two checks on a block within a job; past it the readings between are suspect.',
    form: 'a length above 0',
    example: '0.3 mm',
    otherwise: 'three standard uncertainties of the level',
  }),
  match: key(matchSchema.optional(), {
    meaning: 'How far a level may lie from its target, and how sure a verdict about it must be.',
    form: 'the keys of a match',
    example: '{ tolerance: 1 mm, refit: 0.15 mm }',
    otherwise: 'there are no targets and no verdicts',
  }),
});

const circuitStateSchema = z.strictObject({
  volume: key(quantity('volume', { from: '0 L' }, '2.1 L'), {
    meaning: 'What the circuit holds in this state.',
    form: 'a volume',
    example: '2.1 L',
  }),
  uncertainty: key(quantity('volume', { from: '0 L' }, '0.1 L'), {
    meaning: 'Its standard uncertainty.',
    form: 'a volume',
    example: '0.1 L',
  }),
});

export const circuitSchema = z.strictObject({
  states: key(z.record(z.string(), circuitStateSchema), {
    meaning: 'The states that it can be in, in the order in which they open.',
    form: 'names of states, each with volume and uncertainty',
    example:
      '{ cooler-shut: { volume: 1.4 L, uncertainty: 0.1 L }, cooler-open: { volume: 2.1 L, uncertainty: 0.1 L } }',
  }),
  temperature: key(z.string().optional(), {
    meaning: 'The channel of the temperature of what it holds.',
    form: 'the name of a channel of temperature',
    example: 'cooler',
    otherwise: 'as warm as the fluid measured, within the uncertainty',
  }),
  'temperature-uncertainty': key(quantity('difference', { from: '0 K' }, '5 K'), {
    meaning: 'The standard uncertainty of that temperature for all that it holds.',
    form: 'a temperature difference',
    example: '5 K',
  }),
  opens: key(span('temperature', '72 °C to 80 °C').optional(), {
    meaning:
      'Where its states open when the fluid warms, such as the thermostat of a cooler. A calm level that falls there by what the next state takes changes the state.',
    form: 'two temperatures, the lower first',
    example: '72 °C to 80 °C',
    otherwise: 'never by itself',
  }),
  wall: key(wallSchema.optional(), {
    meaning: 'How its walls grow with temperature.',
    form: 'the keys expansion, uncertainty and at',
    example: '{ expansion: 0.000012 /K, uncertainty: 0.000001 /K, at: 20 °C }',
    otherwise: 'the walls keep their size',
  }),
});

export const machineSchema = z.strictObject({
  states: key(z.array(text(80)).min(1), {
    meaning:
      'Words for the states in which the machine is read; a person chooses one. Readings of different states are not compared.',
    form: 'a list of texts',
    example: '[idling in park, idling in neutral]',
  }),
});

export const MEASURE_SECTIONS = [
  { title: 'The measurement', at: 'measure', schema: measureSchema },
  { title: 'Compensation', at: 'measure.compensation', schema: compensationSchema },
  { title: 'By a chart', at: 'measure.compensation.chart', schema: chartSchema },
  { title: 'Lag of the probe', at: 'measure.probe-lag', schema: probeLagSchema },
  { title: 'Settled', at: 'measure.steady', schema: steadySchema },
  { title: 'The machine', at: 'machine', schema: machineSchema },
  { title: 'The circuit', at: 'circuit', schema: circuitSchema },
  { title: 'A state of it', at: 'circuit.states.<name>', schema: circuitStateSchema },
] as const;

export type MeasureKeys = z.output<typeof measureSchema>;
export type CircuitKeys = z.output<typeof circuitSchema>;

export function resolveCompensation(keys: MeasureKeys['compensation']): CompensationDescription {
  if (keys['vessel-and-fluid'] === true) return { kind: 'vessel-and-fluid' };
  if (keys.chart !== undefined)
    return {
      kind: 'chart',
      points: keys.chart.points.map(([tC, mm]) => ({ tC, mm })),
      uMmPerK: keys.chart.uncertainty,
    };
  const slope: SlopeDescription = {
    kind: 'slope',
    mmPerK: keys.slope ?? Number.NaN,
    uMmPerK: keys.uncertainty ?? Number.NaN,
  };
  return keys.learned === true ? { kind: 'learned', until: slope } : slope;
}

export function resolveCircuit(keys: CircuitKeys): BenchCircuit {
  const { wall, opens } = keys;
  return {
    states: Object.entries(keys.states).map(([id, { volume, uncertainty }]) => ({
      id,
      litres: volume,
      uLitres: uncertainty,
    })),
    wall: wall === undefined ? null : { linearPerK: wall.expansion, uLinearPerK: wall.uncertainty, atC: wall.at },
    temperatureChannel: keys.temperature ?? null,
    uTemperatureK: keys['temperature-uncertainty'],
    opens: opens === undefined ? null : { lowC: opens.low, highC: opens.high },
  };
}
