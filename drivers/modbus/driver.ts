import { defineDriver, type FrameIn } from '../../src/kit/driver.ts';
import { type Answer, dataBytes } from '../../src/kit/modbus-pdu.ts';
import { isRtuQuestion, RTU_CAP_BYTES, rtuAnswer, rtuQuestion } from '../../src/kit/modbus-rtu.ts';
import { TCP_CAP_BYTES, tcpAnswer } from '../../src/kit/modbus-tcp.ts';
import { answered, forgetOld, type Slave } from './ledger.ts';
import { ask, fresh, miss, opened, type State, settle, timesOf, unasked } from './line.ts';
import { type Options, options } from './options.ts';
import { type Block, blocksOf, shapesOf } from './plan.ts';

export const modbus = defineDriver<Options, State>({
  name: 'modbus',
  summary: 'Registers, coils and inputs of Modbus slaves, on a serial line (RTU) or over TCP',
  options,
  signals: ({ signals }) => Object.keys(signals),
  checked: ({ frames }) => frames === 'rtu',
  framing: (settings) => {
    const shapes = shapesOf(blocksOf(settings));
    return settings.frames === 'tcp'
      ? { kind: 'modbus-tcp', capBytes: TCP_CAP_BYTES, shapes, quietUs: 0 }
      : { kind: 'modbus-rtu', capBytes: RTU_CAP_BYTES, shapes, quietUs: timesOf(settings).lateUs };
  },
  init: fresh,
  decode(frame, state) {
    if (!state.onTcp && isEcho(frame, state)) {
      const standing = state.standing === null ? null : { ...state.standing, echoed: true };
      return { state: { ...state, standing }, items: [{ kind: 'discarded', reason: 'echo' }] };
    }
    return state.onTcp ? takeTcp(frame, state) : takeRtu(frame, state);
  },
  poll(tUs, before, _, intervalUs) {
    const state = before.readyUs === null ? opened(before, tUs) : before;
    const { standing } = state;
    if (standing === null) return ask(tUs, state, intervalUs);
    const limitUs = standing.askedUs + state.times.withinUs;
    if (tUs < limitUs) return { state, send: [], wakeAtUs: limitUs };
    const asked = ask(tUs, miss(state, standing, tUs), intervalUs);
    return { ...asked, items: [{ kind: 'discarded', reason: 'no-answer' }] };
  },
});

/** Whether it is the question that stands, heard back for the first time. */
function isEcho({ bytes }: FrameIn, { standing, blocks }: State): boolean {
  if (standing === null || standing.echoed || !isRtuQuestion(bytes)) return false;
  const { slave, fn, address } = blocks[standing.block] as Block;
  const own = rtuQuestion({ slave, fn, address, count: standing.count });
  return own.every((byte, at) => byte === bytes[at]);
}

/** On a line, an answer counts if it can belong to the question that stands and to no other. */
function takeRtu(frame: FrameIn, state: State) {
  const { standing, times } = state;
  const answer = rtuAnswer(frame.bytes);
  const slave = answer === null ? undefined : state.slaves[answer.slave];
  if (answer === null || slave === undefined) return unasked(state);
  const found = answered(forgetOld(slave, frame.tUs, times.lateUs), answer);
  const isOwn = found !== null && isStanding(state, answer.slave, found.askedUs);
  const refusesMore =
    answer.kind === 'exception' && (answer.code === 2 || answer.code === 3) && asksForMore(state, answer);
  const known: Slave = {
    ...slave,
    open: slave.open.filter((one) => one !== found),
    takesMore: slave.takesMore && !refusesMore,
  };
  const after = { ...state, slaves: { ...state.slaves, [answer.slave]: known } };
  if (!isOwn || standing === null) return unasked(after, frame.tUs + times.gapUs);
  return settle(frame, after, standing, answer);
}

/** Over TCP, an answer brings back the number of its question. */
function takeTcp(frame: FrameIn, state: State) {
  const { standing } = state;
  const answer = tcpAnswer(frame.bytes);
  if (standing === null || answer?.transaction !== state.transaction) return unasked(state);
  const block = state.blocks[standing.block] as Block;
  const fits =
    answer.slave === block.slave &&
    answer.fn === block.fn &&
    (answer.kind === 'exception' || answer.data.length === dataBytes(block.fn, standing.count));
  return fits ? settle(frame, state, standing, answer) : unasked(state);
}

function isStanding({ standing, blocks }: State, slave: number, askedUs: number): boolean {
  return standing?.askedUs === askedUs && blocks[standing.block]?.slave === slave;
}

function asksForMore({ standing, blocks }: State, { slave, fn }: Answer): boolean {
  const block = standing === null ? undefined : blocks[standing.block];
  return block?.slave === slave && block.fn === fn && standing !== null && standing.count > block.count;
}
