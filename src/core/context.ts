/** What a law needs besides its signal, as it stands now. */
import type { ChannelDescription, ContextSource } from './description.ts';
import { fluidOf } from './fluids/fluid.ts';
import type { Context, ContextName } from './laws/law.ts';
import { lawOf } from './laws/law-of.ts';
import { staleAfterUs } from './limits.ts';
import type { State } from './state.ts';
import { fluidConstant, instrumentError, statedConstant } from './uncertainty/line.ts';

/** A quantity that another one rests on. */
export interface Source {
  /** Null: it is the quantity itself. */
  readonly name: string | null;
  /** Standard uncertainty of the whole that comes from it; its sign is the direction in which the whole follows it. */
  readonly signedU: number;
  /** Whatever else rests on it has the same key (see BudgetLine). */
  readonly shared: string;
}

/** One context quantity with its uncertainty; a temperature that it follows is told apart. */
export interface Known {
  readonly value: number;
  /** What makes it unsure, besides the temperature that it follows and its own steps. */
  readonly sources: readonly Source[];
  /** Smallest step of what it is measured with; 0 where it is none. */
  readonly step: number;
  /** ∂value/∂temperature and the channel of that temperature; 0 and null where it follows none. */
  readonly perK: number;
  readonly temperatureChannel: string | null;
  /** False outside what its source covers. */
  readonly covered: boolean;
}

/** How a value leans on a context quantity. */
export interface Influence extends Known {
  readonly name: ContextName;
  /** ∂channel value/∂context value. */
  readonly partial: number;
}

export interface Surroundings {
  readonly values: Context;
  readonly known: Readonly<Partial<Record<ContextName, Known>>>;
}

const NOTHING: Surroundings = Object.freeze({ values: {}, known: {} });

/** The context of a channel's law at `tUs`; what cannot be had fresh is left out. Null: however old it is. */
export function surroundings(state: State, { id, context }: ChannelDescription, tUs: number | null): Surroundings {
  const names = Object.keys(context) as ContextName[];
  if (names.length === 0) return NOTHING;
  const values: Partial<Record<ContextName, number>> = {};
  const known: Partial<Record<ContextName, Known>> = {};
  for (const name of names) {
    const found = find(state, context[name] as ContextSource, statedConstant(name, id), tUs);
    if (found === null) continue;
    values[name] = found.value;
    known[name] = found;
  }
  return { values, known };
}

/** Enough for any law near a signal that it was just evaluated at. */
const STEPS = 5;

/** What a channel leans on at one of its values, such as a mean: the law is solved for the signal near the latest one. */
export function influencesAt(state: State, channel: ChannelDescription, value: number): readonly Influence[] {
  const around = surroundings(state, channel, null);
  const names = Object.keys(around.known) as ContextName[];
  if (names.length === 0) return [];
  const law = lawOf(channel.law);
  let signal = state.channels[channel.id]?.signal ?? 0;
  let result = law.at(signal, around.values);
  for (let i = 0; i < STEPS && result.derivative !== 0 && result.value !== value; i++) {
    signal -= (result.value - value) / result.derivative;
    result = law.at(signal, around.values);
  }
  return names.map((name) => ({
    ...(around.known[name] as Known),
    name,
    partial: result.partials[name] ?? 0,
  }));
}

/** Latest good value of a channel while it is fresh at `tUs`, or however old it is; null otherwise. */
function latest(state: State, id: string, tUs: number | null): number | null {
  const held = state.channels[id];
  const channel = state.bench.channels.find((one) => one.id === id);
  if (held === undefined || channel === undefined || held.goodUs === null) return null;
  return tUs !== null && tUs - held.goodUs > staleAfterUs(channel.intervalUs) ? null : held.good;
}

/** Follows no temperature, and is good for any value. */
const PLAIN = { perK: 0, temperatureChannel: null, covered: true } as const;

function find(state: State, source: ContextSource, constant: string, tUs: number | null): Known | null {
  switch (source.kind) {
    case 'constant':
      return { ...PLAIN, value: source.value, step: 0, sources: [{ name: null, signedU: source.u, shared: constant }] };
    case 'channel': {
      const value = latest(state, source.channel, tUs);
      const channel = state.bench.channels.find(({ id }) => id === source.channel);
      if (value === null || channel === undefined) return null;
      const { id, resolution: step, standardUncertainty } = channel;
      const own = { name: null, signedU: standardUncertainty, shared: instrumentError(id) };
      return { ...PLAIN, value, step, sources: [own] };
    }
    case 'fluid': {
      const tC = latest(state, source.temperatureChannel, tUs);
      if (tC === null || state.bench.fluid === null) return null;
      const fluid = fluidOf(state.bench.fluid);
      const property = source.property === 'sound' ? fluid.speedOfSound(tC) : fluid.density(tC);
      if (property === null) return null;
      const { value, derivative: perK, inRange: covered, constants } = property;
      const sources = constants
        .filter(({ u }) => u > 0)
        .map(({ name, perUnit, u }) => ({ name, signedU: perUnit * u, shared: fluidConstant(name) }));
      const { temperatureChannel } = source;
      return { value, sources, step: 0, perK, temperatureChannel, covered };
    }
  }
}
