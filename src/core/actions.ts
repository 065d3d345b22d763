/** What people ask for. Every action gets an outcome, refused ones too. */
import { takeTyped } from './channels.ts';
import { type ChannelDescription, TYPED } from './description.ts';
import type { ActionBody, InputOf, Job, Refusal, Role, Stamp } from './events.ts';
import type { Ledger } from './ledger.ts';
import { canRead, readNow } from './readiness.ts';
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
  if (refusal === null) carryOut(state, body, input, ledger);
}

function refuse(state: State, { role, expectedRevision, body, tUs }: InputOf<'action'>): Refusal | null {
  if (!MAY_ACT[role]) return 'role';
  if (!state.recording) return 'not-recording';
  if (expectedRevision !== state.carried.revision) return 'stale-revision';
  switch (body.type) {
    case 'take-reading':
      if (state.ready) return null;
      if (body.anyway === undefined) return 'not-ready';
      return body.anyway.trim() !== '' && canRead(state, tUs) ? null : 'not-ready';
    case 'start-job':
      return state.carried.job === null ? null : 'job-open';
    case 'close-job':
      return state.carried.job === null ? 'no-job' : null;
    case 'type-value':
      return refuseTyped(state, body.channel, body.value);
    case 'note':
      return null;
  }
}

function carryOut(state: State, body: ActionBody, stamp: Stamp, ledger: Ledger): void {
  const { job, lastJobId } = state.carried;
  switch (body.type) {
    case 'take-reading':
      readNow(state, body.anyway !== undefined, stamp.tUs, ledger);
      return;
    case 'start-job':
      ledger.decide({ kind: 'job', change: 'started', job: { id: lastJobId + 1, label: body.label, readings: 0 } });
      return;
    case 'close-job':
      ledger.decide({ kind: 'job', change: 'closed', job: job as Job });
      return;
    case 'type-value': {
      const channel = typedChannel(state, body.channel);
      if (channel !== undefined) takeTyped(state, channel, body.value, stamp, ledger);
      return;
    }
    case 'note':
      // The words are kept in the action itself.
      return;
  }
}

function refuseTyped(state: State, id: string, value: number): Refusal | null {
  const channel = typedChannel(state, id);
  if (channel === undefined) return 'not-typed';
  return value >= channel.range.low && value <= channel.range.high ? null : 'out-of-range';
}

function typedChannel(state: State, id: string): ChannelDescription | undefined {
  return state.bench.channels.find((channel) => channel.id === id && channel.instrument === TYPED);
}
