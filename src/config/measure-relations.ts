/** What must go together in the ways of compensation, the circuit and the machine. */
import { monotoneCubic } from '../core/monotone-cubic.ts';
import type { BenchDraft } from './draft.ts';
import { type Finding, finding, nearest, oneOf, quote } from './mistake.ts';
import { ID_FORM, isId, properId } from './schema.ts';

/** Ways of compensation; a bench takes one of them. */
const WAYS = ['vessel-and-fluid', 'chart', 'slope'] as const;

export function ofCompensation({ head, fluid, vessel }: BenchDraft): Finding[] {
  const keys = head.measure?.compensation;
  if (keys === undefined) return [];
  const path = ['measure', 'compensation'];
  const [way, ...others] = WAYS.filter((name) => name in keys);
  if (way === undefined) {
    const expected = 'vessel-and-fluid, chart, or slope with uncertainty';
    return [finding(path, 'nothing says how the level is compensated', expected, { at: 'key' })];
  }
  if (others.length > 0) {
    const words = `the level is compensated either by ${way} or by ${others.join(' or ')}, never by both`;
    return [finding([...path, others[0] as string], words, 'one of them', { at: 'key' })];
  }
  const found: Finding[] = [];
  if (way === 'slope' && !('uncertainty' in keys)) {
    const expected = 'the standard uncertainty of the slope, such as uncertainty: 0.03 mm/K';
    found.push(
      finding([...path, 'uncertainty'], 'missing key "uncertainty"', expected, { at: 'key', nature: 'absent' }),
    );
  }
  if (way !== 'slope')
    for (const name of ['uncertainty', 'learned'] as const)
      if (name in keys)
        found.push(finding([...path, name], `${quote(name)} stands beside a slope only`, 'slope', { at: 'key' }));
  if (way === 'vessel-and-fluid')
    for (const [name, there] of [
      ['fluid', fluid],
      ['vessel', vessel],
    ] as const)
      if (there === null)
        found.push(finding([...path, way], `the bench has no ${name}`, `a section ${quote(name)}`, { at: 'key' }));
  const points = keys.chart?.points;
  if (points !== undefined) {
    try {
      monotoneCubic(
        points.map(([tC]) => tC),
        points.map(([, mm]) => mm),
      );
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      found.push(
        finding(
          [...path, 'chart', 'points'],
          'the temperatures do not rise from each point to the next',
          'rising temperatures',
        ),
      );
    }
  }
  return found;
}

export function ofCircuit({ head, channels, vessel }: BenchDraft): Finding[] {
  const { circuit } = head;
  if (circuit === undefined) return [];
  const found: Finding[] = [];
  const states = circuit.states === undefined ? null : Object.keys(circuit.states);
  if (states !== null && states.length === 0)
    found.push(finding(['circuit', 'states'], 'nothing stands here', 'at least one state', { nature: 'empty' }));
  for (const id of states ?? [])
    if (!isId(id))
      found.push(
        finding(['circuit', 'states', id], `${quote(id)} cannot be the name of a state`, ID_FORM, {
          at: 'key',
          nearest: properId(id),
        }),
      );
  if (vessel === null)
    found.push(finding(['circuit'], 'a circuit says nothing without a vessel', 'a section "vessel"', { at: 'key' }));
  const { temperature } = circuit;
  if (temperature !== undefined && channels.length > 0) {
    const fitting = channels.flatMap(({ id, quantity }) =>
      quantity === 'temperature' && id !== undefined ? [id] : [],
    );
    if (!fitting.includes(temperature))
      found.push(
        finding(
          ['circuit', 'temperature'],
          `no channel of temperature is called ${quote(temperature)}`,
          `a channel of temperature, ${oneOf(fitting)}`,
          {
            nearest: nearest(temperature, fitting),
          },
        ),
      );
  }
  if (circuit.opens !== undefined && states?.length === 1)
    found.push(finding(['circuit', 'opens'], 'there is no second state to open', 'two states or more', { at: 'key' }));
  return found;
}
