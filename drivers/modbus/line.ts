/** The state of a line: which question stands, what is asked next, and what an answer settles. */
import type { FrameIn } from '../../src/kit/driver.ts';
import { durationUs } from '../../src/kit/duration.ts';
import { type Answer, dataBytes, exceptionReason } from '../../src/kit/modbus-pdu.ts';
import { rtuQuestion } from '../../src/kit/modbus-rtu.ts';
import { tcpQuestion } from '../../src/kit/modbus-tcp.ts';
import { FRESH, forgetOld, type Slave, wayToAsk } from './ledger.ts';
import type { Options } from './options.ts';
import { type Block, blocksOf } from './plan.ts';
import { valuesOf } from './values.ts';

/** The question that stands; one at a time on a line. */
interface Standing {
  readonly block: number;
  readonly count: number;
  readonly askedUs: number;
  /** It has been heard back. */
  readonly echoed: boolean;
}

/** Plain data. */
export interface State {
  readonly onTcp: boolean;
  readonly times: Times;
  readonly blocks: readonly Block[];
  /** When each block is next wanted. */
  readonly dueUs: readonly number[];
  readonly slaves: Readonly<Record<number, Slave>>;
  readonly standing: Standing | null;
  /** Nothing is asked before; null before the first poll of a connection. */
  readonly readyUs: number | null;
  /** Number of the question that stands, on TCP. */
  readonly transaction: number;
}

interface Times {
  readonly withinUs: number;
  readonly lateUs: number;
  readonly gapUs: number;
}

/** How late an answer may come where the settings do not say: common practice, no source. */
const LEAST_LATE_US = 2_000_000;
const LATE_LIMITS = 5;

/** A slave that does not answer is left alone for so many time limits, more with each: others on the line need the time. */
const RESTS = [0, 0, 2, 4, 8, 12] as const;

/** Of a fresh connection. */
export function fresh(settings: Options): State {
  const blocks = blocksOf(settings);
  return {
    onTcp: settings.frames === 'tcp',
    times: timesOf(settings),
    blocks,
    dueUs: blocks.map(() => 0),
    slaves: Object.fromEntries(blocks.map(({ slave }) => [slave, FRESH])),
    standing: null,
    readyUs: null,
    transaction: 0,
  };
}

/** A line may still bring answers to what was asked in an earlier connection: it is left alone until none can come. */
export function opened(state: State, tUs: number): State {
  const readyUs = state.onTcp ? tUs : tUs + state.times.lateUs;
  return { ...state, readyUs, dueUs: state.dueUs.map(() => readyUs), transaction: Math.floor(tUs / 1000) % 65_536 };
}

export function miss(state: State, { block }: Standing, tUs: number): State {
  const { withinUs, gapUs } = state.times;
  const [number, slave] = slaveOf(state, block);
  const misses = slave.misses + 1;
  const restUntilUs = tUs + withinUs * (RESTS[Math.min(misses, RESTS.length - 1)] as number);
  return {
    ...state,
    standing: null,
    readyUs: tUs + gapUs,
    slaves: { ...state.slaves, [number]: { ...slave, misses, restUntilUs } },
  };
}

/** Asks for the block that has waited longest among those that may be asked for now. */
export function ask(tUs: number, state: State, intervalUs: number) {
  const { onTcp, times } = state;
  const { lateUs, withinUs } = times;
  const readyUs = state.readyUs ?? tUs;
  const wait = (wakeAtUs: number) => ({ state, send: [], wakeAtUs });
  if (tUs < readyUs) return wait(readyUs);
  let next: { readonly block: number; readonly count: number } | null = null;
  let soonestUs = Number.POSITIVE_INFINITY;
  for (const [index, block] of state.blocks.entries()) {
    const slave = forgetOld(slaveOf(state, index)[1], tUs, lateUs);
    const way = onTcp ? { count: block.count } : wayToAsk(block, slave, lateUs);
    const dueUs = state.dueUs[index] as number;
    const possibleUs = Math.max(dueUs, slave.restUntilUs, 'count' in way ? 0 : way.notBeforeUs);
    soonestUs = Math.min(soonestUs, possibleUs);
    if (possibleUs > tUs || !('count' in way)) continue;
    if (next === null || dueUs < (state.dueUs[next.block] as number)) next = { block: index, count: way.count };
  }
  if (next === null) return wait(soonestUs);
  const { block: index, count } = next;
  const block = state.blocks[index] as Block;
  const [number, slave] = slaveOf(state, index);
  const { open } = forgetOld(slave, tUs, lateUs);
  const bytes = dataBytes(block.fn, count);
  const asked: State = {
    ...state,
    standing: { block: index, count, askedUs: tUs, echoed: false },
    dueUs: state.dueUs.with(index, Math.max((state.dueUs[index] as number) + intervalUs, tUs)),
    slaves: {
      ...state.slaves,
      [number]: { ...slave, open: onTcp ? [] : [...open, { fn: block.fn, bytes, askedUs: tUs }] },
    },
    transaction: (state.transaction + 1) % 65_536,
  };
  const question = { slave: block.slave, fn: block.fn, address: block.address, count };
  const send = onTcp ? tcpQuestion(question, asked.transaction) : rtuQuestion(question);
  return { state: asked, send: [send], wakeAtUs: tUs + withinUs };
}

/** The answer to the question that stands: its values, unless the time is over. */
export function settle(frame: FrameIn, state: State, standing: Standing, answer: Answer) {
  const { withinUs, gapUs } = state.times;
  if (frame.tUs > standing.askedUs + withinUs) return unasked(state);
  const wakeAtUs = frame.tUs + gapUs;
  if (answer.kind === 'exception') {
    const reason = exceptionReason(answer.code);
    // a gateway answers for a slave that does not, after a time limit of its own
    const dead = reason === 'gateway-target' || reason === 'gateway-path';
    const after = dead ? miss(state, standing, frame.tUs) : heard(state, standing, wakeAtUs);
    return { state: after, items: [{ kind: 'discarded', reason }] as const, wakeAtUs };
  }
  const items = valuesOf(state.blocks[standing.block] as Block, answer.data);
  return { state: heard(state, standing, wakeAtUs), items, wakeAtUs };
}

function heard(state: State, { block }: Standing, readyUs: number): State {
  const [number, slave] = slaveOf(state, block);
  const slaves = { ...state.slaves, [number]: { ...slave, misses: 0, restUntilUs: 0 } };
  return { ...state, slaves, standing: null, readyUs };
}

/** @param readyUs when the line is free again, where it is waited for */
export function unasked(state: State, readyUs?: number) {
  const items = [{ kind: 'discarded', reason: 'unasked' }] as const;
  if (readyUs === undefined || state.standing !== null || state.readyUs === null) return { state, items };
  const wakeAtUs = Math.max(readyUs, state.readyUs);
  return { state: { ...state, readyUs: wakeAtUs }, items, wakeAtUs };
}

function slaveOf({ blocks, slaves }: State, index: number): readonly [number, Slave] {
  const { slave } = blocks[index] as Block;
  return [slave, slaves[slave] ?? FRESH];
}

export function timesOf({ within, late, gap }: Options): Times {
  const withinUs = durationUs(within) ?? 0;
  const lateUs = late === undefined ? Math.max(LEAST_LATE_US, LATE_LIMITS * withinUs) : (durationUs(late) ?? 0);
  return { withinUs, lateUs, gapUs: durationUs(gap) ?? 0 };
}
