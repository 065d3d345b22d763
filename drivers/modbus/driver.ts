import { defineDriver, type FrameIn } from '../../src/kit/driver.ts';
import { durationUs } from '../../src/kit/duration.ts';
import { type Answer, dataBytes, exceptionReason } from '../../src/kit/modbus-pdu.ts';
import { isRtuQuestion, RTU_CAP_BYTES, rtuAnswer, rtuQuestion } from '../../src/kit/modbus-rtu.ts';
import { TCP_CAP_BYTES, tcpAnswer, tcpQuestion } from '../../src/kit/modbus-tcp.ts';
import { answered, FRESH, forgetOld, type Slave, wayToAsk } from './ledger.ts';
import { type Options, options } from './options.ts';
import { type Block, blocksOf, shapesOf } from './plan.ts';
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
interface State {
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

/** A slave that does not answer is left alone for so many time limits, more with each: others on the line need the time. */
const RESTS = [0, 0, 2, 4, 8, 12] as const;

export const modbus = defineDriver<Options, State>({
  name: 'modbus',
  summary: 'Registers, coils and inputs of Modbus slaves, on a serial line (RTU) or over TCP',
  options,
  signals: ({ signals }) => Object.keys(signals),
  checked: ({ frames }) => frames === 'rtu',
  framing: (settings) => {
    const shapes = shapesOf(blocksOf(settings));
    return settings.frames === 'tcp'
      ? { kind: 'modbus-tcp', capBytes: TCP_CAP_BYTES, shapes }
      : { kind: 'modbus-rtu', capBytes: RTU_CAP_BYTES, shapes };
  },
  init(settings) {
    const blocks = blocksOf(settings);
    const slaves = Object.fromEntries(blocks.map(({ slave }) => [slave, FRESH]));
    return { blocks, dueUs: blocks.map(() => 0), slaves, standing: null, readyUs: null, transaction: 0 };
  },
  decode(frame, state, settings) {
    if (settings.frames === 'rtu' && isRtuQuestion(frame.bytes)) {
      const own = ownQuestion(state);
      if (own !== null && same(own, frame.bytes) && state.standing?.echoed === false) {
        const standing = { ...state.standing, echoed: true };
        return { state: { ...state, standing }, items: [{ kind: 'discarded', reason: 'echo' }] };
      }
    }
    const answer = settings.frames === 'tcp' ? tcpAnswer(frame.bytes) : rtuAnswer(frame.bytes);
    if (answer === null) return { state, items: [{ kind: 'discarded', reason: 'unasked' }] };
    return settings.frames === 'tcp'
      ? takeTcp(frame, state, answer, settings)
      : takeRtu(frame, state, answer, settings);
  },
  poll(tUs, before, settings, intervalUs) {
    const times = timesOf(settings);
    const state = before.readyUs === null ? opened(before, tUs, settings.frames === 'tcp' ? 0 : times.lateUs) : before;
    const { standing } = state;
    if (standing === null) return ask(tUs, state, settings, intervalUs);
    const limitUs = standing.askedUs + times.withinUs;
    if (tUs < limitUs) return { state, send: [], wakeAtUs: limitUs };
    const { state: missed, ...polled } = ask(tUs, miss(state, standing, tUs, times), settings, intervalUs);
    return { ...polled, state: missed, items: [{ kind: 'discarded', reason: 'no-answer' }] };
  },
});

/** A line may still bring answers to what was asked in an earlier connection: it is left alone until none can come. */
function opened(state: State, tUs: number, quietUs: number): State {
  const readyUs = tUs + quietUs;
  return { ...state, readyUs, dueUs: state.dueUs.map(() => readyUs), transaction: Math.floor(tUs / 1000) % 65_536 };
}

function miss(state: State, { block }: Standing, tUs: number, { withinUs, gapUs }: Times): State {
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
function ask(tUs: number, state: State, settings: Options, intervalUs: number) {
  const { lateUs, withinUs } = timesOf(settings);
  const onTcp = settings.frames === 'tcp';
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

/** On a line, an answer counts if it can belong to the question that stands and to no other. */
function takeRtu(frame: FrameIn, state: State, answer: Answer, settings: Options) {
  const { standing } = state;
  const slave = state.slaves[answer.slave];
  if (slave === undefined) return unasked(state);
  const found = answered(forgetOld(slave, frame.tUs, timesOf(settings).lateUs), answer);
  const isOwn = found !== null && isStanding(state, answer.slave, found.askedUs);
  const refusesMore =
    answer.kind === 'exception' && (answer.code === 2 || answer.code === 3) && asksForMore(state, answer);
  const known: Slave = {
    ...slave,
    open: slave.open.filter((one) => one !== found),
    takesMore: slave.takesMore && !refusesMore,
  };
  const after = { ...state, slaves: { ...state.slaves, [answer.slave]: known } };
  if (!isOwn || standing === null) return unasked(after, frame.tUs + timesOf(settings).gapUs);
  return settle(frame, after, standing, answer, settings);
}

/** Over TCP, an answer brings back the number of its question. */
function takeTcp(frame: FrameIn, state: State, answer: Answer & { transaction?: number }, settings: Options) {
  const { standing } = state;
  if (standing === null || answer.transaction !== state.transaction) return unasked(state);
  const block = state.blocks[standing.block] as Block;
  const fits =
    answer.slave === block.slave &&
    answer.fn === block.fn &&
    (answer.kind === 'exception' || answer.data.length === dataBytes(block.fn, standing.count));
  return fits ? settle(frame, state, standing, answer, settings) : unasked(state);
}

/** The answer to the question that stands: its values, unless the time is over. */
function settle(frame: FrameIn, state: State, standing: Standing, answer: Answer, settings: Options) {
  const { withinUs, gapUs } = timesOf(settings);
  if (frame.tUs > standing.askedUs + withinUs) return unasked(state);
  const wakeAtUs = frame.tUs + gapUs;
  if (answer.kind === 'exception') {
    const reason = exceptionReason(answer.code);
    // a gateway answers for a slave that does not, after a time limit of its own
    const dead = reason === 'gateway-target' || reason === 'gateway-path';
    const after = dead ? miss(state, standing, frame.tUs, timesOf(settings)) : heard(state, standing, wakeAtUs);
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
function unasked(state: State, readyUs?: number) {
  const items = [{ kind: 'discarded', reason: 'unasked' }] as const;
  if (readyUs === undefined || state.standing !== null || state.readyUs === null) return { state, items };
  const wakeAtUs = Math.max(readyUs, state.readyUs);
  return { state: { ...state, readyUs: wakeAtUs }, items, wakeAtUs };
}

function slaveOf({ blocks, slaves }: State, index: number): readonly [number, Slave] {
  const { slave } = blocks[index] as Block;
  return [slave, slaves[slave] ?? FRESH];
}

function isStanding({ standing, blocks }: State, slave: number, askedUs: number): boolean {
  return standing?.askedUs === askedUs && blocks[standing.block]?.slave === slave;
}

function asksForMore({ standing, blocks }: State, { slave, fn }: Answer): boolean {
  const block = standing === null ? undefined : blocks[standing.block];
  return block?.slave === slave && block.fn === fn && standing !== null && standing.count > block.count;
}

function ownQuestion({ standing, blocks }: State): Uint8Array | null {
  if (standing === null) return null;
  const { slave, fn, address } = blocks[standing.block] as Block;
  return rtuQuestion({ slave, fn, address, count: standing.count });
}

function same(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && a.every((byte, at) => byte === b[at]);
}

function timesOf({ within, late, gap }: Options): Times {
  return { withinUs: durationUs(within) ?? 0, lateUs: durationUs(late) ?? 0, gapUs: durationUs(gap) ?? 0 };
}
