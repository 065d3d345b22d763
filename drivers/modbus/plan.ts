/** Which questions are to be asked, worked out once for a connection. Plain data. */
import { dataBytes, FUNCTIONS, type FunctionCode, mostOf, readsBits, type Shape } from '../../src/kit/modbus-pdu.ts';
import { type Field, type Options, registersOf, tableOf } from './options.ts';

/** Neighbours of one table of one slave, read by one question. */
export interface Block {
  readonly slave: number;
  readonly fn: FunctionCode;
  readonly address: number;
  readonly count: number;
  readonly signals: readonly Place[];
}

export interface Place {
  readonly name: string;
  /** From the beginning of the block. */
  readonly offset: number;
  readonly field: Field;
}

/** A question may ask for some more than is wanted, so that its answer differs from an earlier one's. */
export const MOST_PADS = 3;

export function blocksOf({ signals }: Options): Block[] {
  const places = Object.entries(signals).map(([name, field]) => {
    const table = tableOf(field);
    const address = field[table] as number;
    return { name, field, slave: field.slave, fn: FUNCTIONS[table], address, end: address + registersOf(field, table) };
  });
  places.sort((a, b) => a.slave - b.slave || a.fn - b.fn || a.address - b.address || a.end - b.end);
  const blocks: Block[] = [];
  for (const { name, field, slave, fn, address, end } of places) {
    const last = blocks.at(-1);
    const joins =
      last?.slave === slave &&
      last.fn === fn &&
      address <= last.address + last.count &&
      end - last.address <= mostOf(fn);
    if (last === undefined || !joins) {
      blocks.push({ slave, fn, address, count: end - address, signals: [{ name, offset: 0, field }] });
      continue;
    }
    const count = Math.max(last.count, end - last.address);
    const place = { name, offset: address - last.address, field };
    blocks[blocks.length - 1] = { ...last, count, signals: [...last.signals, place] };
  }
  return blocks;
}

/** How many are asked for with so much padding; null where that is too many. */
export function padded({ fn, address, count }: Block, pad: number): number | null {
  const more = count + pad * (readsBits(fn) ? 8 : 1);
  return more <= mostOf(fn) && address + more <= 65_536 ? more : null;
}

export function shapesOf(blocks: readonly Block[]): Shape[] {
  return blocks.flatMap((block) =>
    Array.from({ length: MOST_PADS + 1 }, (_, pad) => padded(block, pad)).flatMap((count) =>
      count === null ? [] : [{ slave: block.slave, fn: block.fn, bytes: dataBytes(block.fn, count) }],
    ),
  );
}
