/** A short matching job on an invented machine: every kind of step once, and a loop. */
import type { ProcedureDescription, StepDescription } from '../../src/core/job/procedure.ts';

type Kind = StepDescription['kind'];

function step<K extends Kind>(
  id: string,
  rest: Omit<
    Extract<StepDescription, { kind: K }>,
    'id' | 'title' | 'words' | 'cautions' | 'needs' | 'engine' | 'optional' | 'goesOn'
  > &
    Partial<StepDescription>,
): StepDescription {
  const common = { id, title: id, words: null, cautions: [], needs: [], engine: null, optional: false, goesOn: null };
  return { ...common, ...rest } as StepDescription;
}

export const PROCEDURE: ProcedureDescription = {
  id: 'pump-sump',
  title: 'Pump sump, filled as it was',
  version: '1',
  digest: 'test',
  purpose: 'Changes the oil of a lift pump and brings its level back.',
  cautions: ['Hot oil burns.'],
  result: 'level',
  fields: [{ id: 'machine', words: 'Machine', required: true }],
  measures: [
    { id: 'jug', words: 'jug', by: 'jug', unit: 'L', step: 0.05, uShare: 0.01, uEach: 0.015 },
    { id: 'scale', words: 'scale', by: 'scale', unit: 'kg', step: 0.01, uShare: 0.001, uEach: 0.005 },
  ],
  allowances: [{ what: 'dry filter', litres: 0.2, uLitres: 0.05 }],
  holds: [],
  steps: [
    step<'confirm'>('set-up', {
      kind: 'confirm',
      ticks: [
        { id: 'level', words: 'It stands level' },
        { id: 'couplant', words: 'Couplant is on' },
      ],
      note: true,
      photo: false,
    }),
    step<'enter'>('machine', {
      kind: 'enter',
      asks: [
        {
          name: 'held',
          words: 'All the oil, L',
          required: true,
          means: 'fluid-held',
          of: 'quantity',
          quantity: 'volume',
          low: 1,
          high: 20,
        },
        { name: 'required', words: 'Oil required', required: true, means: null, of: 'text', sameAs: null },
      ],
    }),
    step<'confirm'>('start', {
      kind: 'confirm',
      ticks: [{ id: 'runs', words: 'It runs' }],
      note: false,
      photo: false,
      engine: 'starts',
    }),
    step<'wait'>('warm-up', { kind: 'wait', gates: ['window'] }),
    step<'read'>('first', { kind: 'read', target: true }),
    step<'ask'>('worth', {
      kind: 'ask',
      answers: [
        { id: 'yes', words: 'Match it', goTo: null },
        { id: 'no', words: 'A leak is seen: read it again', goTo: 'first' },
      ],
    }),
    step<'confirm'>('stop', {
      kind: 'confirm',
      ticks: [{ id: 'off', words: 'It stands still' }],
      note: false,
      photo: false,
      engine: 'stops',
    }),
    step<'dose'>('drain', { kind: 'dose', way: 'out', plan: null, several: true, measures: ['jug', 'scale'] }),
    step<'enter'>('label', {
      kind: 'enter',
      asks: [
        { name: 'label', words: 'On the container', required: true, means: null, of: 'text', sameAs: 'required' },
        {
          name: 'fresh',
          words: 'Its temperature',
          required: false,
          means: 'fresh-temperature',
          of: 'quantity',
          quantity: 'temperature',
          low: -10,
          high: 60,
        },
      ],
    }),
    step<'dose'>('refill', { kind: 'dose', way: 'in', plan: 'refill', several: true, measures: ['jug'] }),
    step<'confirm'>('start-again', {
      kind: 'confirm',
      ticks: [{ id: 'runs', words: 'It runs' }],
      note: false,
      photo: false,
      engine: 'starts',
      needs: [{ kind: 'filled-share', share: 0.8 }],
    }),
    step<'wait'>('calm', { kind: 'wait', gates: [] }),
    step<'read'>('check', { kind: 'read', target: false }),
    step<'decide'>('judge', { kind: 'decide', otherwise: 'adjust', goesOn: 'zero' }),
    step<'dose'>('adjust', {
      kind: 'dose',
      way: 'advice',
      plan: null,
      several: false,
      measures: ['jug'],
      goesOn: 'calm',
    }),
    step<'zero'>('zero', { kind: 'zero', optional: true }),
    step<'confirm'>('leaks', { kind: 'confirm', ticks: [{ id: 'dry', words: 'All dry' }], note: true, photo: true }),
  ],
};
