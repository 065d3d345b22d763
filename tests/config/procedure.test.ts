/** A procedure file becomes plain data: quantities in the units inside, times in µs. */
import { createHash } from 'node:crypto';
import { expect, test } from 'vitest';
import { isProcedure } from '../../src/config/load-procedure.ts';
import { PROCEDURE, procedureOf } from './procedure-text.ts';

const procedure = procedureOf(PROCEDURE);
const steps = new Map(procedure.steps.map((step) => [step.id, step]));

test('the head of the file, its fields, measures and allowances', () => {
  expect({ ...procedure, steps: [], holds: [] }).toEqual({
    id: 'bay-test',
    title: 'A small job',
    version: '2',
    digest: createHash('sha256').update(PROCEDURE).digest('hex'),
    purpose: 'For tests.',
    cautions: ['Gloves'],
    result: 'level',
    fields: [{ id: 'plate', words: 'Plate', required: true }],
    measures: [
      { id: 'jug', words: 'Jug', by: 'jug', unit: 'L', step: 0.05, uShare: 0.02, uEach: 0.01 },
      {
        id: 'scale',
        words: 'Scale',
        by: 'scale',
        unit: 'kg',
        step: 0.012,
        uShare: 0.01,
        uEach: expect.closeTo(0.003464, 6),
      },
    ],
    allowances: [{ what: 'Filter', litres: 0.2, uLitres: 0.03 }],
    steps: [],
    holds: [],
  });
});

test('holds are in the units inside, and watch a quantity', () => {
  expect(procedure.holds).toEqual([
    {
      id: 'pressure',
      channel: 'filling',
      quantity: 'pressure',
      side: 'below',
      limit: 150,
      deadband: 20,
      onDelayUs: 2_000_000,
      words: 'Stop the pump.',
      during: ['fill'],
    },
    {
      id: 'deep',
      channel: 'level',
      quantity: 'length',
      side: 'above',
      limit: 20,
      deadband: 0,
      onDelayUs: 0,
      words: 'Stop the engine: too low.',
      during: ['start', 'settle'],
    },
  ]);
});

test('a tick list: words over two lines are one text, two equal ticks are two', () => {
  expect(steps.get('ready-to-go')).toEqual({
    id: 'ready-to-go',
    title: 'Get ready',
    words: 'Two lines of words.',
    cautions: ['Hot fluid'],
    needs: [],
    engine: null,
    optional: false,
    goesOn: null,
    kind: 'confirm',
    ticks: [
      { id: 'level-ground', words: 'Level ground' },
      { id: 'brake-on', words: 'Brake on' },
      { id: 'brake-on-3', words: 'Brake on' },
    ],
    note: true,
    photo: false,
  });
});

test('what is entered: text, text that must agree, a quantity, a choice', () => {
  expect(steps.get('spec')).toMatchObject({
    kind: 'enter',
    asks: [
      { name: 'wanted', words: 'Wanted fluid', required: true, means: null, of: 'text', sameAs: null },
      { name: 'label', words: 'Fluid on the label', required: true, means: null, of: 'text', sameAs: 'wanted' },
      { name: 'pour', means: 'fresh-temperature', of: 'quantity', quantity: 'temperature', low: 10, high: 40 },
      { name: 'look', required: false, of: 'choice', choices: ['clear', 'dark'] },
    ],
  });
});

test('the other kinds of steps', () => {
  expect([...steps.values()].slice(2)).toMatchObject([
    {
      id: 'first',
      kind: 'read',
      target: true,
      goesOn: null,
      needs: [
        { kind: 'gate', gate: 'window' },
        { kind: 'gate', gate: 'calm' },
        { kind: 'entered', name: 'label' },
      ],
    },
    {
      id: 'drain',
      kind: 'dose',
      way: 'out',
      plan: null,
      several: true,
      measures: ['scale', 'jug'],
      needs: [],
      goesOn: null,
    },
    {
      id: 'fill',
      kind: 'dose',
      way: 'in',
      plan: 'refill',
      several: false,
      measures: ['jug'],
      needs: [{ kind: 'filled-share', share: 0.8 }],
      goesOn: null,
    },
    {
      id: 'start',
      kind: 'confirm',
      ticks: [{ id: 'runs', words: 'Runs' }],
      note: false,
      photo: false,
      needs: [{ kind: 'filled', litres: 2.5 }],
      goesOn: null,
    },
    { id: 'settle', kind: 'wait', gates: [], needs: [], goesOn: null },
    { id: 'again', kind: 'read', target: false, needs: [], goesOn: null },
    { id: 'verdict', kind: 'decide', otherwise: 'adjust', needs: [], goesOn: 'zero' },
    {
      id: 'adjust',
      kind: 'dose',
      way: 'advice',
      plan: null,
      several: false,
      measures: ['jug'],
      needs: [],
      goesOn: 'settle',
    },
    { id: 'zero', kind: 'zero', needs: [], goesOn: null },
    {
      id: 'dry',
      kind: 'ask',
      answers: [
        { id: 'dry', words: 'All dry', goTo: null },
        { id: 'wet', words: 'A drip', goTo: 'ready-to-go' },
      ],
      needs: [],
      goesOn: null,
    },
  ]);
  expect([...steps.values()].filter(({ engine }) => engine !== null).map(({ id, engine }) => [id, engine])).toEqual([
    ['drain', 'stops'],
    ['start', 'starts'],
  ]);
  expect(steps.get('zero')?.optional).toBe(true);
});

test('it is frozen all through', () => {
  expect(Object.isFrozen(procedure.steps[0])).toBe(true);
  expect(Object.isFrozen(procedure.measures)).toBe(true);
});

test('a version is a whole number or a text', () => {
  expect(procedureOf(PROCEDURE.replace('version: 2', 'version: "1.10"')).version).toBe('1.10');
});

test('waiting for one gate, and for several', () => {
  const gates = (written: string): unknown =>
    procedureOf(PROCEDURE.replace('wait-for: ready', `wait-for: ${written}`)).steps[6];
  expect(gates('window')).toMatchObject({ gates: ['window'] });
  expect(gates('[calm, settled]')).toMatchObject({ gates: ['calm', 'settled'] });
});

test('a procedure is told from a bench by its keys', () => {
  expect(isProcedure('# words: more\n\nprocedure: x\n')).toBe(true);
  expect(isProcedure('\u{feff}procedure: x\n')).toBe(true);
  expect(isProcedure('proceduer: x\nsteps:\n')).toBe(true);
  expect(isProcedure('bench: x\nprocedures: [a.yaml]\n')).toBe(false);
  expect(isProcedure('bench: x\nsteps: []\n')).toBe(false);
  expect(isProcedure('')).toBe(false);
});
