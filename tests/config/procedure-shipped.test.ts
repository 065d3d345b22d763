/** The procedures that come with the software: whole, cautious, and with figures of their own. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { KEY_DOCS } from '../../src/config/fields.ts';
import { loadProcedure } from '../../src/config/load-procedure.ts';
import { procedureDocs } from '../../src/config/procedure-docs.ts';
import { PROCEDURE_SECTIONS, STEP_KEYS } from '../../src/config/procedure-steps.ts';
import { loadProcedures, shippedProcedures } from '../../src/config/procedures.ts';
import type { ProcedureDescription, StepDescription } from '../../src/core/job/procedure.ts';
import { ROOT } from '../repo/house.ts';

const files = shippedProcedures();

function shipped(id: string): ProcedureDescription {
  const found = files.find(({ procedure }) => procedure.id === id);
  if (found === undefined) throw new Error(`${id} is not shipped`);
  return found.procedure;
}

/** Kinds of steps in their order, the gates and ways of those that have some. */
function outline({ steps }: ProcedureDescription): string[] {
  return steps.map((step) => {
    switch (step.kind) {
      case 'dose':
        return `${step.way}${step.plan === null ? '' : ' refill'}`;
      case 'read':
        return step.target ? 'target' : 'read';
      case 'wait':
        return `wait ${step.gates.join(' ') || 'ready'}`;
      default:
        return step.kind;
    }
  });
}

test('there are four, each under the name of its file', () => {
  expect(files.map(({ procedure }) => procedure.id)).toEqual([
    'gearbox-chart',
    'gearbox-matched',
    'gearbox-overflow',
    'hydraulic-reservoir',
  ]);
  for (const { file, procedure } of files) expect(file.endsWith(`${procedure.id}.yaml`)).toBe(true);
});

describe.each(files.map(({ procedure, text }) => [procedure.id, procedure, text] as const))(
  '%s',
  (_, procedure, text) => {
    const hurts = (step: StepDescription): boolean =>
      step.kind === 'dose' || step.engine !== null || (step.kind === 'wait' && step.gates.length === 0);

    test('reminds of the service information of the maker, first of all and as its first step', () => {
      expect(procedure.cautions[0]).toMatch(/maker's current service information/);
      const [first] = procedure.steps;
      expect(first?.kind === 'confirm' && first.ticks[0]?.words).toMatch(/current service information of the maker/);
    });

    test('names hot fluid, running engine, exhaust, raised machine where they are', () => {
      expect(procedure.steps.filter((step) => hurts(step) && step.cautions.length === 0).map(({ id }) => id)).toEqual(
        [],
      );
      const said = [...procedure.cautions, ...procedure.steps.flatMap(({ cautions }) => cautions)].join('\n');
      for (const hazard of [/hot/i, /engine/i, /exhaust/i, /raised/i, /gloves/, /eye protection/])
        expect(said).toMatch(hazard);
      for (const step of procedure.steps.filter(({ engine }) => engine === 'starts')) {
        expect(step.cautions.join('\n')).toMatch(/exhaust/i);
      }
    });

    test('asks for the fluid that the label must agree with, and for waste and receipt', () => {
      const asks = procedure.steps.flatMap((step) => (step.kind === 'enter' ? step.asks : []));
      expect(asks.find(({ name }) => name === 'label-fluid')).toMatchObject({
        sameAs: 'required-fluid',
        required: true,
      });
      expect(asks.map(({ name }) => name)).toEqual(expect.arrayContaining(['batch', 'waste-container', 'receipt']));
      expect(asks.find(({ means }) => means === 'fresh-temperature')).toBeDefined();
    });

    test('marks the figures that are to be replaced', () => {
      for (const { side, channel } of procedure.holds) {
        const line = new RegExp(`channel: ${channel}.*\\n +${side}: .*# YOUR FIGURE`);
        expect(text, channel).toMatch(line);
      }
      const lines = text.split('\n');
      const bare = lines.filter((line) => /[ {]amount:|filled:/.test(line) && !line.includes('YOUR FIGURE'));
      expect(bare).toEqual([]);
    });
  },
);

test('matched: all of the job in its order', () => {
  const procedure = shipped('gearbox-matched');
  expect(outline(procedure)).toEqual([
    ...['confirm', 'confirm', 'zero', 'confirm', 'confirm', 'wait ready', 'target', 'enter', 'ask', 'enter'],
    ...[
      'confirm',
      'confirm',
      'out',
      'enter',
      'confirm',
      'confirm',
      'enter',
      'in refill',
      'confirm',
      'confirm',
      'confirm',
    ],
    ...['wait window', 'ask', 'wait ready', 'read', 'decide', 'advice', 'confirm', 'zero', 'confirm', 'enter'],
  ]);
  const step = (id: string) => procedure.steps.find((one) => one.id === id);
  expect(step('start')).toMatchObject({ engine: 'starts', needs: [{ kind: 'filled-share' }] });
  expect(step('worth')).toMatchObject({
    answers: [
      { goTo: 'engine-off' },
      { id: 'leak', goTo: null },
      { id: 'chart', goTo: null },
      { id: 'unknown', goTo: null },
    ],
  });
  expect(procedure.steps[9]).toMatchObject({
    kind: 'enter',
    asks: [{ means: 'target-level' }, { means: 'target-uncertainty' }, {}],
  });
  expect(procedure.holds).toMatchObject([
    { side: 'below', quantity: 'pressure', during: ['fill', 'adjust'] },
    { side: 'above', quantity: 'length', channel: 'level', words: expect.stringMatching(/^Stop the engine: /) },
  ]);
});

test('chart: the target is entered before anything is read, and the fluid need not be changed', () => {
  const kinds = outline(shipped('gearbox-chart'));
  const { steps } = shipped('gearbox-chart');
  expect(steps.find((step) => step.kind === 'enter')).toMatchObject({
    asks: [{ means: 'target-level', required: true }, {}, {}],
  });
  expect(kinds).not.toContain('target');
  expect(steps.find(({ id }) => id === 'change')).toMatchObject({ answers: [{ goTo: 'sensor-on' }, { goTo: null }] });
});

test('overflow: the window alone is waited for, and no millimetres are asked, read or held', () => {
  const procedure = shipped('gearbox-overflow');
  expect(procedure.result).toBe('overflow');
  const kinds = outline(procedure);
  expect(kinds.filter((kind) => kind.startsWith('wait'))).toEqual(['wait window']);
  for (const kind of ['read', 'target', 'zero', 'decide', 'advice']) expect(kinds).not.toContain(kind);
  expect(JSON.stringify(procedure)).not.toMatch(/"length"/);
  const step = (id: string) => procedure.steps.find((one) => one.id === id);
  expect(step('what-comes')).toMatchObject({
    kind: 'ask',
    answers: [
      { id: 'stream', goTo: 'drips' },
      { id: 'drops', goTo: 'at-lip' },
      { id: 'nothing', goTo: null },
      { id: 'too-late', goTo: 'too-warm' },
    ],
  });
  expect(procedure.steps[procedure.steps.findIndex(({ id }) => id === 'what-comes') + 1]).toMatchObject({
    kind: 'dose',
    way: 'in',
    goesOn: 'window',
  });
  expect(step('drips')).toMatchObject({ needs: [{ kind: 'gate', gate: 'window' }] });
  expect(step('at-lip')).toMatchObject({ asks: [{ means: 'overflow-temperature' }, { means: 'overflow-caught' }] });
});

test('hydraulic: nothing is opened or poured before the engine stands and the pressure is relieved', () => {
  const { steps } = shipped('hydraulic-reservoir');
  const dose = steps.findIndex(({ kind }) => kind === 'dose');
  expect(steps[dose - 1]).toMatchObject({ id: 'halt', engine: 'stops' });
  expect(steps[dose + 1]).toMatchObject({ engine: 'starts', goesOn: 'warm-up' });
  expect(steps.find((step) => step.kind === 'decide')).toMatchObject({ otherwise: 'halt' });
});

test('the example of a shop has every key and every kind of step, and a name of its own', () => {
  const file = join(ROOT, 'docs/examples/north-bay-gearbox.yaml');
  const text = readFileSync(file, 'utf8');
  expect(loadProcedure(text)).toMatchObject({ ok: true, procedure: { id: 'north-bay-gearbox' } });
  for (const { schema } of PROCEDURE_SECTIONS) {
    for (const name of Object.keys(schema.shape)) expect(text, name).toMatch(new RegExp(`(^|[\\s{,])${name}:`));
  }
  for (const name of STEP_KEYS) expect(text).toContain(`    ${name}:`);
  expect(loadProcedures('bench.yaml', { procedures: [file] }).map(({ id }) => id)).toEqual([
    'north-bay-gearbox',
    ...files.map(({ procedure }) => procedure.id),
  ]);
});

test('each key has its documentation and its row', () => {
  const docs = procedureDocs();
  for (const { title, schema } of PROCEDURE_SECTIONS) {
    const section = docs.split(`## ${title}\n`)[1]?.split('\n## ')[0] ?? '';
    for (const [name, field] of Object.entries(schema.shape)) {
      expect(KEY_DOCS.get(field), name).toBeDefined();
      expect(section, title).toContain(`| \`${name}\` |`);
    }
  }
});
