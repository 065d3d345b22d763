/**
 * Which question an answer belongs to, on a line where answers carry neither a number nor an address. Every question
 * whose answer may still come is kept by the shape of that answer; two of one shape never stand at the same time, so an
 * answer belongs to one of them or to none. Nothing is assumed about the order in which a slave answers.
 */
import { type Answer, dataBytes, type FunctionCode } from '../../src/kit/modbus-pdu.ts';
import { type Block, MOST_PADS, padded } from './plan.ts';

/** A question whose answer may still come. */
export interface Open {
  readonly fn: FunctionCode;
  readonly bytes: number;
  readonly askedUs: number;
}

/** What is known of a slave in this connection. Plain data. */
export interface Slave {
  readonly open: readonly Open[];
  /** Questions without an answer since the last one. */
  readonly misses: number;
  /** It is left alone until then. */
  readonly restUntilUs: number;
  /** Whether it may be asked for more than is wanted: it has not refused that. */
  readonly takesMore: boolean;
}

export const FRESH: Slave = { open: [], misses: 0, restUntilUs: 0, takesMore: true };

export function forgetOld(slave: Slave, tUs: number, lateUs: number): Slave {
  const open = slave.open.filter(({ askedUs }) => tUs <= askedUs + lateUs);
  return open.length === slave.open.length ? slave : { ...slave, open };
}

/** How many to ask for so that the answer is like no other that may still come; or when that will be possible. */
export function wayToAsk(
  block: Block,
  { open, takesMore }: Slave,
  lateUs: number,
): { readonly count: number } | { readonly notBeforeUs: number } {
  let notBeforeUs = Number.POSITIVE_INFINITY;
  for (let pad = 0; pad <= (takesMore ? MOST_PADS : 0); pad++) {
    const count = padded(block, pad);
    if (count === null) continue;
    const same = open.filter(({ fn, bytes }) => fn === block.fn && bytes === dataBytes(block.fn, count));
    if (same.length === 0) return { count };
    for (const { askedUs } of same) notBeforeUs = Math.min(notBeforeUs, askedUs + lateUs + 1);
  }
  return { notBeforeUs };
}

/** The one question that it answers, or null: it may belong to none, and an exception to several. */
export function answered({ open }: Slave, answer: Answer): Open | null {
  const fitting = open.filter(
    ({ fn, bytes }) => fn === answer.fn && (answer.kind === 'exception' || bytes === answer.data.length),
  );
  return fitting.length === 1 ? (fitting[0] as Open) : null;
}
