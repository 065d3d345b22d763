/** A file without mistakes, as the bench description that everything else works with. */
import { isAbsolute, resolve } from 'node:path';
import type {
  BenchDescription,
  ChannelDescription,
  InstrumentDescription,
  LawDescription,
  LinkDescription,
} from '../core/description.ts';
import type { Channel, Head, Instrument } from './draft.ts';
import { DEFAULT_RANGE, splitReference } from './relations.ts';
import { lawOfUnit, type Unit } from './units.ts';

export interface BenchSettings {
  /** Absolute path of the journal; null where the file names none. */
  readonly journal: string | null;
  readonly port: number | null;
}

export interface Complete {
  readonly head: Head;
  readonly instruments: readonly Instrument[];
  readonly channels: readonly Channel[];
}

/** `dir` is the folder of the bench file, where relative paths begin. */
export function resolveBench({ head, instruments, channels }: Complete, dir: string): BenchDescription {
  const { measure } = head;
  return {
    name: head.bench,
    instruments: instruments.map((instrument) => instrumentOf(instrument, dir)),
    channels: channels.map((channel) => channelOf(channel, instruments)),
    measure: {
      levelChannel: measure.level,
      temperatureChannel: measure.temperature,
      window: { lowC: measure.window.low, highC: measure.window.high, hysteresisK: measure.hysteresis },
      referenceC: measure.reference,
      compensation: { kind: 'slope', mmPerK: measure.compensation.slope, uMmPerK: measure.compensation.uncertainty },
      steady: { overUs: measure.steady.over, spreadMm: measure.steady.spread, driftMmPerMin: measure.steady.drift },
    },
  };
}

export function settingsOf({ head }: Complete, dir: string): BenchSettings {
  return { journal: head.journal === undefined ? null : resolve(dir, head.journal), port: head.page?.port ?? null };
}

function instrumentOf({ id, driver, options, link, every }: Instrument, dir: string): InstrumentDescription {
  return { id, driver, options: options.value, link: linkOf(link, dir), intervalUs: every };
}

function linkOf({ serial, baud, tcp }: Instrument['link'], dir: string): LinkDescription {
  if (tcp !== undefined) return { kind: 'tcp', host: tcp.host, port: tcp.port };
  if (serial === undefined || baud === undefined) throw new TypeError('a link without a port passed the checks');
  return { kind: 'serial', path: portPath(serial, dir), baud };
}

/** COM3 and \\.\COM10 are names of the system, no paths in a folder. */
function portPath(serial: string, dir: string): string {
  const named = isAbsolute(serial) || /^(?:\\\\[.?]\\|COM\d+$)/i.test(serial);
  return named ? serial : resolve(dir, serial);
}

function channelOf(channel: Channel, instruments: readonly Instrument[]): ChannelDescription {
  const [instrument, signal] = splitReference(channel.from);
  const { low, high } = channel.range ?? DEFAULT_RANGE[channel.quantity];
  return {
    id: channel.id,
    instrument,
    signal,
    quantity: channel.quantity,
    law: lawOf(channel.scale, channel.unit),
    resolution: channel.resolution,
    standardUncertainty: channel.uncertainty,
    range: { low, high },
    intervalUs: channel.every ?? instruments.find((one) => one.id === instrument)?.every ?? Number.NaN,
    sentinels: [],
    echo: null,
  };
}

/** The scale gives the number in its unit, the unit turns it into °C or mm; both are straight lines. */
function lawOf(scale: { gain: number; offset: number }, unit: Unit): LawDescription {
  const { gain, zero } = lawOfUnit(unit);
  return { kind: 'linear', gain: scale.gain * gain, offset: (scale.offset - zero) * gain };
}
