/** What people ask for. Every action gets an outcome, refused ones too. */

import { carryOutAlarmAct, refuseAlarmAct } from './alarms/acts.ts';
import { tellAlarm } from './alarms/tell.ts';
import { onBlock, withZeroDrift, zeroAlarm, zeroCheck, zeroDriftLine } from './calibration/zero-check.ts';
import { targetOf } from './carried.ts';
import { takeTyped } from './channels.ts';
import { type ChannelDescription, TYPED } from './description.ts';
import type { InputOf, Job, Refusal, Role, TargetAsked } from './events.ts';
import { doJobAction, refuseJobAction, stepsLeft, tellEnd } from './job/actions.ts';
import { stillEngine } from './job/advance.ts';
import { refuseStart, startJob } from './job/start.ts';
import type { Ledger } from './ledger.ts';
import { machineOn } from './machine.ts';
import { verdict } from './match/verdict.ts';
import { canRead, changeMachine, readNow } from './readiness.ts';
import type { State } from './state.ts';

const MAY_ACT: Readonly<Record<Role, boolean>> = { viewer: false, technician: true, owner: true };

export function act(state: State, input: InputOf<'action'>, ledger: Ledger): void {
  const refusal = refuse(state, input);
  const { actionId, actor, role, body } = input;
  ledger.decide({
    kind: 'action',
    actionId,
    actor,
    role,
    body,
    accepted: refusal === null,
    refusal,
    revision: state.carried.revision + (refusal === null ? 1 : 0),
  });
  if (refusal === null) carryOut(state, input, ledger);
}

function refuse(state: State, { role, expectedRevision, body, tUs }: InputOf<'action'>): Refusal | null {
  if (!MAY_ACT[role]) return 'role';
  if (!state.recording) return 'not-recording';
  if (expectedRevision !== state.carried.revision) return 'stale-revision';
  switch (body.type) {
    case 'take-reading':
      if (stillEngine(state)) return 'engine-off';
      if (state.ready) return null;
      if (body.anyway === undefined) return 'not-ready';
      return body.anyway.trim() !== '' && canRead(state, tUs) ? null : 'not-ready';
    case 'start-job':
      return state.carried.job === null ? refuseStart(state, body) : 'job-open';
    case 'close-job':
      if (state.carried.job === null) return 'no-job';
      return stepsLeft(state) && (body.unfinished ?? '').trim() === '' ? 'steps-left' : null;
    case 'type-value':
      return refuseTyped(state, body.channel, body.value);
    case 'state-machine':
      return state.bench.machineStates.includes(body.state) ? null : 'no-such-state';
    case 'set-target':
      return state.carried.job === null ? 'no-job' : refuseTarget(state, body.target);
    case 'accept':
      if (state.carried.job === null) return 'no-job';
      return mayBeAccepted(state) ? null : 'nothing-to-accept';
    case 'check-zero':
      if (state.carried.job === null) return 'no-job';
      return blockNow(state, tUs) === null ? 'not-calm' : null;
    case 'acknowledge-alarm':
    case 'shelve-alarm':
    case 'unshelve-alarm':
      return refuseAlarmAct(state, body);
    case 'note':
      return null;
    case 'confirm':
    case 'enter':
    case 'record-amount':
    case 'answer':
    case 'skip-step':
    case 'go-back':
    case 'engine':
    case 'pause-job':
    case 'resume-job':
      return refuseJobAction(state, body);
  }
}

function carryOut(state: State, input: InputOf<'action'>, ledger: Ledger): void {
  const { body, actor } = input;
  const { job, lastJobId, lastVerdict } = state.carried;
  const target = state.bench.measure.match?.target ?? null;
  switch (body.type) {
    case 'take-reading':
      readNow(state, body.anyway !== undefined, input.tUs, ledger);
      return;
    case 'start-job':
      startJob(state, body, lastJobId + 1, ledger);
      if (target !== null) ledger.decide({ kind: 'target', target: { from: 'level', ...target } });
      return;
    case 'set-target':
      ledger.decide({ kind: 'target', target: body.target });
      return;
    case 'accept':
      if (lastVerdict !== null)
        ledger.decide({ kind: 'verdict', verdict: { ...lastVerdict, accepted: { actor, reason: body.reason } } });
      return;
    case 'close-job': {
      tellEnd(state, ledger);
      const suspect = state.carried.zero?.checks.find((check) => check.suspect.length > 0);
      ledger.decide({ kind: 'job', change: 'closed', job: job as Job, reason: body.unfinished ?? null });
      if (suspect !== undefined)
        tellAlarm(state, { ...zeroAlarm(suspect), state: 'returned', why: 'the job is closed' }, ledger);
      return;
    }
    case 'type-value': {
      const channel = typedChannel(state, body.channel);
      if (channel !== undefined) takeTyped(state, channel, body.value, input, ledger);
      return;
    }
    case 'state-machine':
      changeMachine(state, { ...machineOn(state.bench, state.carried.machine), stated: body.state }, 'stated', ledger);
      return;
    case 'check-zero': {
      const { levelChannel } = state.bench.measure;
      const found = blockNow(state, input.tUs);
      if (found === null) return;
      const limits = { ...state.bench.measure, statedU: state.statedU[levelChannel] ?? 0 };
      const check = zeroCheck(found, body.expectedMm, levelChannel, limits, state.carried);
      ledger.decide({ kind: 'zero-check', check });
      if (check.suspect.length > 0) tellAlarm(state, zeroAlarm(check), ledger);
      judgeAgain(state, ledger);
      return;
    }
    case 'acknowledge-alarm':
    case 'shelve-alarm':
    case 'unshelve-alarm':
      carryOutAlarmAct(state, body, actor, input.tUs, ledger);
      return;
    case 'note':
      // The words are kept in the action itself.
      return;
    case 'confirm':
    case 'enter':
    case 'record-amount':
    case 'answer':
    case 'skip-step':
    case 'go-back':
    case 'engine':
    case 'pause-job':
    case 'resume-job':
      doJobAction(state, body, actor, ledger);
      return;
  }
}

/** What the zero has moved was not known when target and level were held against each other. */
function judgeAgain({ carried, bench }: State, ledger: Ledger): void {
  const { target, lastVerdict, jobReadings } = carried;
  const drift = zeroDriftLine(carried);
  const last = jobReadings.at(-1);
  const { match } = bench.measure;
  if (drift === null || target === null || match === null || last === undefined || lastVerdict?.reading !== last.id)
    return;
  const then = target.from === 'level' ? target : { ...target, reading: withZeroDrift(target.reading, drift) };
  const again = verdict(then, withZeroDrift(last, drift), match);
  ledger.decide({ kind: 'verdict', verdict: { ...again, accepted: lastVerdict.accepted } });
}

function refuseTarget({ bench, carried }: State, target: TargetAsked): Refusal | null {
  if (bench.measure.match === null) return 'no-tolerance';
  if (target.from === 'reading') return targetOf(target, carried.jobReadings) === null ? 'no-such-reading' : null;
  const range = bench.channels.find(({ id }) => id === bench.measure.levelChannel)?.range;
  const { levelMm, uMm } = target;
  const sane = range !== undefined && levelMm >= range.low && levelMm <= range.high && uMm >= 0 && Number.isFinite(uMm);
  return sane ? null : 'out-of-range';
}

/** What is clear one way or the other needs no acceptance, and what is clearly off gets none. */
function mayBeAccepted({ carried }: State): boolean {
  return carried.lastVerdict?.result === 'undecided' && carried.lastVerdict.accepted === null;
}

function blockNow({ bench, zeroWindow }: State, tUs: number) {
  const channel = bench.channels.find(({ id }) => id === bench.measure.levelChannel);
  return channel === undefined ? null : onBlock(zeroWindow, channel, bench.measure.steady.toleranceMm, tUs);
}

function refuseTyped(state: State, id: string, value: number): Refusal | null {
  const channel = typedChannel(state, id);
  if (channel === undefined) return 'not-typed';
  return value >= channel.range.low && value <= channel.range.high ? null : 'out-of-range';
}

function typedChannel(state: State, id: string): ChannelDescription | undefined {
  return state.bench.channels.find((channel) => channel.id === id && channel.instrument === TYPED);
}
