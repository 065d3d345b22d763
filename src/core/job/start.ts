/** The beginning of a job: what it follows, and what is known of its kind of machine. */
import { ANY_MACHINE, priorOf } from '../dosing/machine-type.ts';
import type { Ledger } from '../ledger.ts';
import type { ActionBody, Refusal } from '../requests.ts';
import type { State } from '../state.ts';
import { arrive } from './advance.ts';
import type { ProcedureDescription } from './procedure.ts';

type Start = Extract<ActionBody, { type: 'start-job' }>;

export function refuseStart(state: State, body: Start): Refusal | null {
  if (body.procedure === undefined) return null;
  const procedure = named(state, body.procedure);
  if (procedure === undefined) return 'no-such-procedure';
  const lacks = procedure.fields.some(({ id, required }) => required && (body.fields?.[id] ?? '').trim() === '');
  if (lacks) return 'field-missing';
  const judges = procedure.steps.some(({ kind }) => kind === 'decide');
  return judges && state.bench.measure.match === null ? 'no-tolerance' : null;
}

export function startJob(
  state: State,
  { label, procedure: id, machineType, fields }: Start,
  job: number,
  ledger: Ledger,
): void {
  const procedure = id === undefined ? undefined : named(state, id);
  const known = machineType === undefined ? undefined : state.carried.machineTypes[machineType];
  const prior = state.bench.vessel === null ? priorOf(known?.mmPerLitre ?? ANY_MACHINE) : null;
  const follows =
    procedure === undefined
      ? null
      : { id: procedure.id, title: procedure.title, version: procedure.version, digest: procedure.digest };
  ledger.decide({
    kind: 'job',
    change: 'started',
    job: {
      ...{ id: job, label, readings: 0, referenceC: null },
      ...{ procedure: follows, machineType: machineType ?? null, fields: fields ?? {} },
    },
    ...(procedure === undefined ? {} : { begins: { procedure, prior } }),
  });
  arrive(state, ledger);
}

function named({ procedures }: State, id: string): ProcedureDescription | undefined {
  return procedures.find((procedure) => procedure.id === id);
}
