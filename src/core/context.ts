/** What a law needs besides its signal, as it stands now. */
import { calibratedSound } from './calibration/calibrated-sound.ts';
import { type CalibrationComponent, calibrationComponents } from './calibration/components.ts';
import { echoLawOf } from './calibration/echo-law.ts';
import { corrected, inForce, uncorrected } from './calibration/in-force.ts';
import type { ChannelDescription, ContextSource } from './description.ts';
import { fluidAt } from './fluid-temperature.ts';
import { fluidOf } from './fluids/fluid.ts';
import type { Context, ContextName, LawResult } from './laws/law.ts';
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
    const found = find(state, id, name, context[name] as ContextSource, tUs);
    if (found === null) continue;
    values[name] = found.value;
    known[name] = found;
  }
  return { values, known };
}

/** Enough for any law near a signal that it was just evaluated at. */
const STEPS = 5;

/** What a channel leans on at one of its values, such as a mean. */
export function influencesAt(state: State, channel: ChannelDescription, value: number): readonly Influence[] {
  const around = surroundings(state, channel, null);
  const names = Object.keys(around.known) as ContextName[];
  if (names.length === 0) return [];
  const { result, slope } = solved(state, channel, value, around.values);
  return names.map((name) => ({
    ...(around.known[name] as Known),
    name,
    partial: slope * (result.partials[name] ?? 0),
  }));
}

/** What the calibration of a channel adds to the uncertainty of one of its values. */
export function calibrationAt(state: State, channel: ChannelDescription, value: number): CalibrationComponent[] {
  const { calibrations, statedU, overdue } = state;
  if (!calibrations.some((one) => one.channel === channel.id)) return [];
  const { values } = surroundings(state, channel, null);
  const { result, signal, slope } = solved(state, channel, value, values);
  const time = echoLawOf(channel.law)?.time ?? null;
  const usPerSignal = time === null ? 1 : lawOf(time).at(signal, values).derivative;
  return calibrationComponents(
    calibrations,
    channel.id,
    {
      uncorrected: uncorrected(inForce(calibrations, channel.id).correction, value),
      slope,
      echo: {
        perMPerS: result.partials.soundMPerS ?? 0,
        perUs: usPerSignal === 0 ? 0 : result.derivative / usPerSignal,
      },
      statedU: statedU[channel.id] ?? 0,
    },
    overdue,
  );
}

/** A channel that another one's law leans on, with what its calibration adds to its uncertainty. */
export interface Behind {
  readonly channel: ChannelDescription;
  /** ∂value/∂the value of this channel. */
  readonly perUnit: number;
  readonly calibration: readonly CalibrationComponent[];
}

/** The calibrations behind a channel's law; the temperature of `counted` has its own already where a fluid follows it. */
export function calibrationsBehind(
  state: State,
  { context }: ChannelDescription,
  influences: readonly Influence[],
  counted: string,
): Behind[] {
  return influences.flatMap(({ name, partial, perK, temperatureChannel }) => {
    const source = context[name];
    const direct = source?.kind === 'channel';
    const id = direct ? source.channel : temperatureChannel;
    const channel = state.bench.channels.find((one) => one.id === id);
    if (channel === undefined || (!direct && id === counted)) return [];
    const value = latest(state, channel.id, null);
    const perUnit = direct ? partial : partial * perK;
    return value === null ? [] : [{ channel, perUnit, calibration: calibrationAt(state, channel, value) }];
  });
}

interface Solved {
  readonly result: LawResult;
  readonly signal: number;
  /** ∂value/∂law value: what the correction of a calibration makes of it. */
  readonly slope: number;
}

/** The law where it gives `value`, correction included: solved for the signal near the latest one. */
function solved(state: State, channel: ChannelDescription, value: number, values: Context): Solved {
  const { correction } = inForce(state.calibrations, channel.id);
  const wanted = uncorrected(correction, value);
  const law = lawOf(channel.law);
  let signal = state.channels[channel.id]?.signal ?? 0;
  let result = law.at(signal, values);
  for (let i = 0; i < STEPS && result.derivative !== 0 && result.value !== wanted; i++) {
    signal -= (result.value - wanted) / result.derivative;
    result = law.at(signal, values);
  }
  return { result, signal, slope: corrected(correction, wanted).slope };
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

/** The fluid at the measurement's own probe is as far ahead of it as its lag makes it. */
function fluidTemperature(state: State, id: string, tUs: number | null): number | null {
  const probe = latest(state, id, tUs);
  const { now } = state.fluid;
  if (probe === null || id !== state.bench.measure.temperatureChannel || now === null) return probe;
  return fluidAt(state.fluid, tUs ?? now.tUs);
}

function find(state: State, of: string, name: ContextName, source: ContextSource, tUs: number | null): Known | null {
  switch (source.kind) {
    case 'constant':
      return {
        ...PLAIN,
        value: source.value,
        step: 0,
        sources: [{ name: null, signedU: source.u, shared: statedConstant(name, of) }],
      };
    case 'channel': {
      const value = latest(state, source.channel, tUs);
      const channel = state.bench.channels.find(({ id }) => id === source.channel);
      if (value === null || channel === undefined) return null;
      const { id, resolution: step, standardUncertainty } = channel;
      const own = { name: null, signedU: standardUncertainty, shared: instrumentError(id) };
      return { ...PLAIN, value, step, sources: [own] };
    }
    case 'fluid': {
      const tC = fluidTemperature(state, source.temperatureChannel, tUs);
      if (tC === null || state.bench.fluid === null) return null;
      const fluid = fluidOf(state.bench.fluid);
      const { echo } = inForce(state.calibrations, of);
      const sound = () => (echo === null ? fluid.speedOfSound(tC) : calibratedSound(fluid, tC, echo.result));
      const property = source.property === 'sound' ? sound() : fluid.density(tC);
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
