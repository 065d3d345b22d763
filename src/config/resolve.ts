/** A file without mistakes, as the bench description that everything else works with. */
import { isAbsolute, resolve } from 'node:path';
import {
  type BenchDescription,
  type ChannelDescription,
  INSIDE_UNITS,
  type InstrumentDescription,
  type LinkDescription,
  type PortFind,
  type QuantityKind,
  type SteadyDescription,
  TYPED,
} from '../core/description.ts';
import type { LawDescription } from '../core/laws/law-of.ts';
import { resolveAlarm } from './alarm-schema.ts';
import { resolveBle } from './ble-relations.ts';
import type { Alarm, Channel, Head, Instrument } from './draft.ts';
import { type FluidKeys, resolveFluid } from './fluid-schema.ts';
import { ANY_NUMBER, behindScale, classUncertainty, resolveLaw } from './law.ts';
import { signalUnitOf } from './law-relations.ts';
import { resolveMatch } from './match-schema.ts';
import { FIRST_READING, resolveCircuit, resolveCompensation } from './measure-schema.ts';
import { DEFAULT_RANGE, splitReference } from './relations.ts';
import { lawOfUnit, type Unit } from './units.ts';
import { resolveVessel, type VesselKeys } from './vessel-schema.ts';

export interface BenchSettings {
  /** Absolute path of the journal; null where the file names none. */
  readonly journal: string | null;
  readonly port: number | null;
  /** Absolute paths of the shop's own procedures. */
  readonly procedures: readonly string[];
}

export interface Complete {
  readonly head: Head;
  readonly instruments: readonly Instrument[];
  readonly channels: readonly Channel[];
  readonly alarms: readonly Alarm[];
  readonly fluid: FluidKeys | null;
  readonly vessel: VesselKeys | null;
}

/** `dir` is the folder of the bench file, where relative paths begin. */
export function resolveBench(
  { head, instruments, channels, alarms, fluid, vessel }: Complete,
  dir: string,
): BenchDescription {
  const { measure, circuit, machine } = head;
  const fixed = measure.reference !== FIRST_READING;
  return {
    name: head.bench,
    instruments: instruments.map((instrument) => instrumentOf(instrument, dir)),
    channels: channels.map((channel) => channelOf(channel, instruments, measure.temperature)),
    measure: {
      levelChannel: measure.level,
      temperatureChannel: measure.temperature,
      window: { lowC: measure.window.low, highC: measure.window.high, hysteresisK: measure.hysteresis },
      referenceC: fixed ? (measure.reference as number) : (measure.window.low + measure.window.high) / 2,
      referenceFrom: fixed ? 'bench' : FIRST_READING,
      compensation: resolveCompensation(measure.compensation),
      probeLag: { s: (measure['probe-lag']?.time ?? 0) / 1e6, uS: (measure['probe-lag']?.uncertainty ?? 0) / 1e6 },
      ...(measure['stem-error'] === undefined ? {} : { uStemK: measure['stem-error'] }),
      steady: steadyOf(measure.steady),
      match: measure.match === undefined ? null : resolveMatch(measure.match),
      ...(measure['zero-limit'] === undefined ? {} : { zeroLimitMm: measure['zero-limit'] }),
    },
    fluid: fluid && resolveFluid(fluid),
    vessel: vessel && resolveVessel(vessel),
    circuit: circuit === undefined ? null : resolveCircuit(circuit),
    machineStates: machine?.states ?? [],
    ...(alarms.length === 0 ? {} : { alarms: alarms.map(resolveAlarm) }),
  };
}

/** Waves of this many tolerances do not tip a mean over many of them. */
const WAVES_TOLERANCES = 1.5;

function steadyOf({ tolerance, confidence, waves, settling, longest }: Head['measure']['steady']): SteadyDescription {
  return {
    toleranceMm: tolerance,
    confidence,
    wavesMm: waves ?? WAVES_TOLERANCES * tolerance,
    settlingUs: settling,
    longestUs: longest,
  };
}

export function settingsOf({ head }: Complete, dir: string): BenchSettings {
  return {
    journal: head.journal === undefined ? null : resolve(dir, head.journal),
    port: head.page?.port ?? null,
    procedures: (head.procedures ?? []).map((file) => resolve(dir, file)),
  };
}

function instrumentOf({ id, driver, options, link, identity, every }: Instrument, dir: string): InstrumentDescription {
  const named = identity === undefined ? {} : { identity: identity.trim() };
  return { id, driver, options: options.value, link: linkOf(link, dir, every), ...named, intervalUs: every };
}

function linkOf(link: Instrument['link'], dir: string, everyUs: number): LinkDescription {
  if (link.tcp !== undefined) return { kind: 'tcp', host: link.tcp.host, port: link.tcp.port };
  if (link.stdin !== undefined) return { kind: 'stdin' };
  if (link.ble !== undefined) return resolveBle(link.ble, everyUs);
  const { baud, parity, 'stop-bits': stopBits, identify } = link;
  if (baud === undefined) throw new TypeError('a serial link without a speed passed the checks');
  return {
    kind: 'serial',
    find: findOf(link, dir),
    baud,
    ...(parity === 'even' || parity === 'odd' ? { parity } : {}),
    ...(stopBits === 2 ? { stopBits } : {}),
    identify:
      identify === undefined
        ? null
        : { send: identify.send, expect: identify.expect.trim(), withinUs: identify.within },
  };
}

function findOf({ serial, usb }: Instrument['link'], dir: string): PortFind {
  if (serial !== undefined) return { by: 'path', path: portPath(serial, dir) };
  if (usb === undefined) return { by: 'answer' };
  return {
    by: 'usb',
    serialNumber: usb['serial-number'] ?? null,
    vendorId: usb.vendor ?? null,
    productId: usb.product ?? null,
  };
}

/** COM3 and \\.\COM10 are names of the system, no paths in a folder. */
function portPath(serial: string, dir: string): string {
  const named = isAbsolute(serial) || /^(?:\\\\[.?]\\|COM\d+$)/i.test(serial);
  return named ? serial : resolve(dir, serial);
}

/** A typed value counts for three intervals, as any other. */
const TYPED_INTERVALS = 3;

/** What sensors are known to send in place of a fault, where no law stands between. */
const SENTINELS: Readonly<Partial<Record<QuantityKind, readonly number[]>>> = {
  temperature: [85, -127, -0.0625, 999.9, 32_768, -32_768, 65_535],
  length: [999.9, 65_535, 32_768, -32_768],
};

function channelOf(
  channel: Channel,
  instruments: readonly Instrument[],
  temperatureChannel: string,
): ChannelDescription {
  const { id, quantity, resolution, echo, lawKeys, unit, scale } = channel;
  const { low, high } = channel.range ?? DEFAULT_RANGE[quantity];
  const range = { low, high };
  const known = { id, quantity, resolution, range } as const;
  if (channel.typed === true)
    return {
      ...known,
      instrument: TYPED,
      signal: '',
      // The page asks for it in the unit inside.
      law: straight(1, 0, INSIDE_UNITS[quantity], quantity),
      context: {},
      standardUncertainty: channel.uncertainty ?? Number.NaN,
      intervalUs: Math.round((channel.valid ?? Number.NaN) / TYPED_INTERVALS),
      sentinels: [],
      echo: null,
    };
  const [instrument, signal] = splitReference(channel.from ?? '');
  const law = lawKeys === null ? null : resolveLaw(lawKeys.keys, { range, temperatureChannel });
  const classed = lawKeys === null ? null : classUncertainty(lawKeys.keys, range);
  return {
    ...known,
    instrument,
    signal,
    law:
      law === null
        ? lineOf(scale, unit, quantity)
        : behindScale(law.description, signalUnitOf(law.description), scale, unit),
    context: law === null ? {} : law.context,
    standardUncertainty: channel.uncertainty ?? classed ?? Number.NaN,
    intervalUs: channel.every ?? instruments.find((one) => one.id === instrument)?.every ?? Number.NaN,
    sentinels: channel.sentinels ?? (law === null ? (SENTINELS[quantity] ?? []) : []),
    echo:
      echo === undefined
        ? null
        : {
            strengthSignal: echo.strength === undefined ? null : splitReference(echo.strength)[1],
            leastStrength: echo.least,
            nearest: echo.nearest,
          },
  };
}

/** The scale gives the number in its unit, the unit turns it into the unit inside; both are straight lines. */
function lineOf(scale: { gain: number; offset: number }, unit: Unit, quantity: QuantityKind): LawDescription {
  const { gain, zero } = lawOfUnit(unit);
  return straight(scale.gain * gain, (scale.offset - zero) * gain, unit.code, quantity);
}

function straight(gain: number, offset: number, signalUnit: string, quantity: QuantityKind): LawDescription {
  return { kind: 'linear', gain, offset, signalUnit, unit: INSIDE_UNITS[quantity], validSignal: ANY_NUMBER };
}
