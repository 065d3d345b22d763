/** What a law needs besides its signal, as it stands now. */
import type { ChannelDescription, ContextSource } from './description.ts';
import { fluidAt } from './fluid-temperature.ts';
import { fluidOf } from './fluids/fluid.ts';
import type { Context, ContextName } from './laws/law.ts';
import { lawOf } from './laws/law-of.ts';
import { staleAfterUs } from './limits.ts';
import type { State } from './state.ts';

/** One context quantity with its uncertainty; a temperature that it follows is told apart. */
export interface Known {
  readonly value: number;
  /** Standard uncertainty, without that of the temperature that it follows. */
  readonly u: number;
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
export function surroundings(state: State, { context }: ChannelDescription, tUs: number | null): Surroundings {
  const names = Object.keys(context) as ContextName[];
  if (names.length === 0) return NOTHING;
  const values: Partial<Record<ContextName, number>> = {};
  const known: Partial<Record<ContextName, Known>> = {};
  for (const name of names) {
    const found = find(state, context[name] as ContextSource, tUs);
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

/** The fluid at the measurement's own probe is as far ahead of it as its lag makes it. */
function fluidTemperature(state: State, id: string, tUs: number | null): number | null {
  const probe = latest(state, id, tUs);
  const { now } = state.fluid;
  if (probe === null || id !== state.bench.measure.temperatureChannel || now === null) return probe;
  return fluidAt(state.fluid, tUs ?? now.tUs);
}

function find(state: State, source: ContextSource, tUs: number | null): Known | null {
  switch (source.kind) {
    case 'constant':
      return { value: source.value, u: source.u, perK: 0, temperatureChannel: null, covered: true };
    case 'channel': {
      const value = latest(state, source.channel, tUs);
      const channel = state.bench.channels.find(({ id }) => id === source.channel);
      if (value === null || channel === undefined) return null;
      const { resolution, standardUncertainty: u } = channel;
      // One step wide: step²/12 (GUM F.2.2.1).
      const both = Math.sqrt(u * u + (resolution * resolution) / 12);
      return { value, u: both, perK: 0, temperatureChannel: null, covered: true };
    }
    case 'fluid': {
      const tC = fluidTemperature(state, source.temperatureChannel, tUs);
      if (tC === null || state.bench.fluid === null) return null;
      const fluid = fluidOf(state.bench.fluid);
      const property = source.property === 'sound' ? fluid.speedOfSound(tC) : fluid.density(tC);
      if (property === null) return null;
      const { value, u, derivative: perK, inRange: covered } = property;
      return { value, u, perK, temperatureChannel: source.temperatureChannel, covered };
    }
  }
}
