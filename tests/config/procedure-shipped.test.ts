/** The procedures that come with the software: whole, cautious, and of our own figures. */
import { describe, expect, test } from 'vitest';
import { shippedProcedures } from '../../src/config/procedures.ts';

const files = shippedProcedures();

test('they load without mistakes, each under the name of its file', () => {
  for (const { file, procedure } of files) expect(file.endsWith(`/${procedure.id}.yaml`)).toBe(true);
});

describe.each(files.map(({ procedure }) => [procedure.id, procedure] as const))('%s', (_, procedure) => {
  test('reminds of the service information of the maker, first of all', () => {
    expect(procedure.cautions[0]).toMatch(/maker's current service information/);
  });

  test('warns at each step that starts an engine, drains, fills or opens', () => {
    const bare = procedure.steps.filter(
      (step) => (step.kind === 'dose' || step.engine === 'starts') && step.cautions.length === 0,
    );
    expect(bare.map(({ id }) => id)).toEqual([]);
  });
});
