/** Settings of the driver. */
import { z } from '../../src/kit/driver.ts';
import { durationUs } from '../../src/kit/duration.ts';
import { duration, signalMap } from '../../src/kit/line-options.ts';
import { FUNCTIONS, type Table } from '../../src/kit/modbus-pdu.ts';

/** How many registers each type takes. */
export const REGISTERS = { u16: 1, i16: 1, u32: 2, i32: 2, f32: 2 } as const;
type FieldType = keyof typeof REGISTERS;

const TABLES = Object.keys(FUNCTIONS) as [Table, ...Table[]];
const order = z.enum(['big', 'little']);
const address = (what: string) => z.int().min(0).max(65_535).optional().describe(what);

const field = z
  .strictObject({
    slave: z.int().min(0).max(255).describe('The number of the slave on the line, or of the unit behind a gateway'),
    coil: address('A coil (function code 1), counted from 0: 1 or 0'),
    'discrete-input': address('A discrete input (function code 2), counted from 0: 1 or 0'),
    'holding-register': address('The first holding register (function code 3), counted from 0: 40001 is 0'),
    'input-register': address('The first input register (function code 4), counted from 0: 30001 is 0'),
    type: z
      .enum(Object.keys(REGISTERS) as [FieldType, ...FieldType[]])
      .default('u16')
      .describe("u for whole numbers from 0, i for signed ones (two's complement), f32 for IEEE 754; with the bits"),
    words: order.default('big').describe('Which of two registers comes first: the most significant (big) or the least'),
    bytes: order.default('big').describe('Which byte of a register comes first; the specification says big'),
    bit: z.int().min(0).max(15).optional().describe('One bit of the register, 0 for the least significant: 1 or 0'),
    scale: z
      .number()
      .refine((scale) => scale !== 0, 'a scale of 0 leaves nothing of the value')
      .default(1)
      .describe('What the number is multiplied by'),
  })
  .superRefine((one, context) => {
    const fault = (message: string, expected: string, path: string[] = []) =>
      context.addIssue({ code: 'custom', path, message, params: { expected } });
    const named = TABLES.filter((table) => one[table] !== undefined);
    if (named.length !== 1) fault('it stands in no table, or in several', `one of ${TABLES.join(', ')}`);
    const [table] = named;
    if (one.bit !== undefined && (REGISTERS[one.type] !== 1 || table === 'coil' || table === 'discrete-input'))
      fault('a bit is of one register of 16 bits', 'no bit here, or a register without another type', ['bit']);
    if ((table === 'coil' || table === 'discrete-input') && one.type !== 'u16')
      fault(`a ${table} is 1 or 0 and has no type`, 'no type here', ['type']);
    if (table !== undefined && (one[table] as number) + registersOf(one, table) > 65_536)
      fault('its last register lies beyond 65535', 'a lower address', [table]);
  });
export type Field = z.output<typeof field>;

export const options = z
  .strictObject({
    frames: z
      .enum(['rtu', 'tcp'])
      .default('rtu')
      .describe('rtu for a serial line, or a gateway that passes its bytes on; tcp for Modbus TCP'),
    signals: signalMap(field).describe('Where each signal stands'),
    within: duration('10 ms', '10 s')
      .default('300 ms')
      .describe('How long an answer may take; a later one is thrown away'),
    late: duration('10 ms', '10 min')
      .optional()
      .describe(
        'Longer than this after its question no answer comes at all; without it 2 s, or five times within. With rtu, no question is asked before an answer to an earlier one could be taken for its own',
      ),
    gap: duration('0 s', '1 s')
      .default('5 ms')
      .describe('From an answer to the next question; at least 3.5 characters: 5 ms from 9600 baud on, 33 ms at 1200'),
  })
  .superRefine(({ frames, signals, within, late }, context) => {
    if (late !== undefined && (durationUs(late) ?? 0) < (durationUs(within) ?? 0)) {
      const params = { expected: `at least the ${within} of within` };
      context.addIssue({ code: 'custom', path: ['late'], message: `${late} is shorter than within`, params });
    }
    for (const [signal, { slave }] of Object.entries(signals)) {
      if (frames === 'tcp' || (slave >= 1 && slave <= 247)) continue;
      const params = { expected: 'a number from 1 to 247' };
      context.addIssue({ code: 'custom', path: ['signals', signal, 'slave'], message: `${slave} is no slave`, params });
    }
  });
export type Options = z.output<typeof options>;

export function tableOf(one: Field): Table {
  return TABLES.find((table) => one[table] !== undefined) as Table;
}

/** How many coils, inputs or registers it takes. */
export function registersOf({ type }: Pick<Field, 'type'>, table: Table): number {
  return table === 'coil' || table === 'discrete-input' ? 1 : REGISTERS[type];
}
