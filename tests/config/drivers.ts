/** Two small drivers of the tests' own, with options of many shapes. */
import { type DriverRegistry, defineDriver, z } from '../../src/kit/driver.ts';

const pattern = defineDriver({
  name: 'pattern',
  summary: 'Literal text with named number fields.',
  options: z.strictObject({ pattern: z.string().min(1) }),
  framing: () => ({ kind: 'lines', capBytes: 512 }),
  signals: (options) => [...options.pattern.matchAll(/\{([\w-]+)\}/g)].map((match) => match[1] ?? ''),
  init: () => null,
  decode: (_frame, state) => ({ state, items: [] }),
});

const columns = defineDriver({
  name: 'columns',
  summary: 'Numbers in columns.',
  options: z.strictObject({
    separator: z.enum(['comma', 'semicolon', 'tab']).prefault('comma'),
    columns: z.array(z.string().regex(/^[a-z]+$/, 'a column is named in small letters')).min(1),
    skip: z.int().min(0).max(9).optional(),
    checked: z.boolean().optional(),
    mode: z.union([z.literal('all'), z.strictObject({ only: z.number() })]).optional(),
    shape: z
      .union([
        z.strictObject({ round: z.number(), deep: z.string() }),
        z.strictObject({ wide: z.number(), high: z.number(), deep: z.number() }),
      ])
      .optional(),
    labels: z.record(z.string().regex(/^[a-z]+$/, 'a label in small letters'), z.number()).optional(),
    kind: z
      .discriminatedUnion('of', [
        z.strictObject({ of: z.literal('fixed'), width: z.number() }),
        z.strictObject({ of: z.literal('free') }),
      ])
      .optional(),
    tail: z
      .string()
      .superRefine((text, context) => {
        if (text.includes('!'))
          context.addIssue({
            code: 'custom',
            message: 'the tail holds a !',
            params: { expected: 'a tail without it' },
          });
      })
      .optional(),
  }),
  framing: () => ({ kind: 'lines', capBytes: 512 }),
  signals: (options) => options.columns,
  init: () => null,
  decode: (_frame, state) => ({ state, items: [] }),
});

const moody = defineDriver({
  name: 'moody',
  summary: 'Throws where it should not.',
  options: z.strictObject({}),
  framing: () => ({ kind: 'lines', capBytes: 512 }),
  signals: () => {
    throw new Error('no mood for signals');
  },
  init: () => null,
  decode: (_frame, state) => ({ state, items: [] }),
});

export const REGISTRY: DriverRegistry = { pattern, columns, moody };
