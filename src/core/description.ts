/**
 * What a bench is, resolved: the frozen result of reading bench.yaml. It is an input of the core (run start) and is
 * kept in the journal, so it holds plain data only.
 * Units inside: temperature °C, temperature difference K, length mm, time µs; a name carries its unit.
 */
import type { AlarmDescription } from './alarms/description.ts';
import type { CompensationDescription } from './compensation/description.ts';
import type { FluidDescription } from './fluids/description.ts';
import type { ContextName } from './laws/law.ts';
import type { LawDescription } from './laws/law-of.ts';
import type { CircuitDescription, VesselDescription } from './vessels/description.ts';

export interface BenchDescription {
  readonly name: string;
  readonly instruments: readonly InstrumentDescription[];
  readonly channels: readonly ChannelDescription[];
  readonly measure: MeasureDescription;
  /** What is in the vessel; null where nothing asks for it. */
  readonly fluid: FluidDescription | null;
  /** Turns the level into litres; null where no litres are wanted. */
  readonly vessel: VesselDescription | null;
  /** Fluid held outside the vessel; null where there is none, or none is told. */
  readonly circuit: BenchCircuit | null;
  /** Words for the states that the machine can be in while it is read, for a person to choose from. */
  readonly machineStates: readonly string[];
  /** Channels held against limits; absent: none. */
  readonly alarms?: readonly AlarmDescription[];
}

/** A circuit with where its temperature comes from and when it is expected to change its state. */
export interface BenchCircuit extends CircuitDescription {
  /** Null: it is taken to be as warm as the fluid measured, within the uncertainty. */
  readonly temperatureChannel: string | null;
  /** Standard uncertainty of its temperature, on top of that of the channel. */
  readonly uTemperatureK: number;
  /** Where its states open one after the other when the fluid warms, such as the thermostat of a cooler; null: never by itself. */
  readonly opens: { readonly lowC: number; readonly highC: number } | null;
}

/** A device that talks: where its bytes come from, and the driver that understands them. */
export interface InstrumentDescription {
  readonly id: string;
  readonly driver: string;
  /** The driver's own settings, as its schema returned them. */
  readonly options: unknown;
  readonly link: LinkDescription;
  /** The device's own name for its calibrations, where neither USB nor an answer tells one; absent where none is given. */
  readonly identity?: string;
  /** Expected time between two frames. Three of these without one, and its channels are stale. */
  readonly intervalUs: number;
}

/** Opaque to the core: which door the bytes come in at. */
export type LinkDescription =
  | {
      readonly kind: 'serial';
      readonly find: PortFind;
      readonly baud: number;
      /** Absent: none. */
      readonly parity?: 'even' | 'odd';
      /** Absent: 1. */
      readonly stopBits?: 2;
      /** What a device must answer to be the right one; null where it is not asked. */
      readonly identify: Identify | null;
    }
  | { readonly kind: 'tcp'; readonly host: string; readonly port: number }
  | {
      readonly kind: 'ble';
      readonly find: BleFind;
      /** The name of the radio, such as hci0; null for the first that is on. */
      readonly adapter: string | null;
      readonly take: BleTake;
    }
  /** What is piped into the process; ends once and for all. */
  | { readonly kind: 'stdin' }
  | { readonly kind: 'memory'; readonly name: string };

/** How the port of a device is found again after every plugging. */
export type PortFind =
  | { readonly by: 'path'; readonly path: string }
  /** What the device tells of itself over USB; null where it does not matter. Ids in four small hexadecimal digits. */
  | {
      readonly by: 'usb';
      readonly serialNumber: string | null;
      readonly vendorId: string | null;
      readonly productId: string | null;
    }
  /** Any port that the system lists, until one gives the right answer. */
  | { readonly by: 'answer' };

/** How a Bluetooth LE device is known: all that is given must fit. UUIDs by their short names, bytes in hexadecimal. */
export interface BleFind {
  /** "C0:FF:EE:00:00:01" */
  readonly address: string | null;
  readonly service: string | null;
  readonly serviceData: { readonly uuid: string; readonly begins: string } | null;
  readonly manufacturerData: { readonly company: number; readonly begins: string } | null;
}

/** What is taken from a Bluetooth LE device. A characteristic is named by its UUID, ".2" for the second that has it. */
export type BleTake =
  /** Values, each as a line of its name and its bytes: those that the device sends, and those that are read every so often. */
  | {
      readonly kind: 'values';
      readonly notify: readonly string[];
      readonly read: readonly string[];
      readonly everyUs: number;
    }
  /** Text as from a serial line: the characteristic that sends it, and the one that takes it. */
  | { readonly kind: 'text'; readonly from: string; readonly to: string | null }
  /** What it advertises, without a connection. */
  | { readonly kind: 'advertised' };

export interface Identify {
  /** What is asked: one character for each byte. */
  readonly send: string;
  /** The line that the right device answers: one character for each byte, blanks at its ends not counted. */
  readonly expect: string;
  readonly withinUs: number;
}

/** What channels measure, each with the unit (UCUM) that it is kept in. */
export const INSIDE_UNITS = {
  temperature: 'Cel',
  length: 'mm',
  pressure: 'kPa',
  voltage: 'V',
  humidity: '1',
  volume: 'L',
} as const;
export type QuantityKind = keyof typeof INSIDE_UNITS;

/** Where a law finds what it needs besides its signal. */
export type ContextSource =
  /** Stated once, with its standard uncertainty. */
  | { readonly kind: 'constant'; readonly value: number; readonly u: number }
  /** The latest good value of a channel, while it is fresh. */
  | { readonly kind: 'channel'; readonly channel: string }
  /** A property of the bench's fluid, at the temperature that a channel gives. */
  | { readonly kind: 'fluid'; readonly property: 'sound' | 'density'; readonly temperatureChannel: string };

export interface ChannelDescription {
  readonly id: string;
  readonly instrument: string;
  /** The driver's name for the signal. */
  readonly signal: string;
  readonly quantity: QuantityKind;
  readonly law: LawDescription;
  readonly context: Readonly<Partial<Record<ContextName, ContextSource>>>;
  /** Smallest step of the value, inside unit; 0 where unknown. */
  readonly resolution: number;
  /** Standard uncertainty of one value from the instrument itself, inside unit. */
  readonly standardUncertainty: number;
  /** Values outside are bad with reason `out-of-range`, inside unit. */
  readonly range: { readonly low: number; readonly high: number };
  /** Expected time between two values; for a typed value, a third of the time that it stays valid. */
  readonly intervalUs: number;
  /** Signals that some sensors send in place of a fault: suspect when jumped to. */
  readonly sentinels: readonly number[];
  /** For echo sensors: what betrays a false echo. */
  readonly echo: EchoDescription | null;
}

/** The `instrument` of a channel whose values are read by a person from another display. */
export const TYPED = 'typed';

export interface EchoDescription {
  /** Signal of the same instrument that tells the strength of the echo; null where the board does not say. */
  readonly strengthSignal: string | null;
  /** Below this strength a value is suspect; at 0 the echo is lost. */
  readonly leastStrength: number;
  /** At or below this signal the sensor hears itself ring. */
  readonly nearest: number;
}

/** What is to be read, and when it counts. */
export interface MeasureDescription {
  readonly levelChannel: string;
  readonly temperatureChannel: string;
  readonly window: {
    readonly lowC: number;
    readonly highC: number;
    /** How far inside the window the temperature must come before a shut gate opens again. */
    readonly hysteresisK: number;
  };
  /** The temperature for which the level is stated; with `first-reading` it holds until a job has its first reading. */
  readonly referenceC: number;
  /** `first-reading`: all readings of a job are brought to the temperature of its first one. */
  readonly referenceFrom: 'bench' | 'first-reading';
  readonly compensation: CompensationDescription;
  /** How the probe follows the fluid: time constant and its standard uncertainty; 0 where it is not known to lag. */
  readonly probeLag: { readonly s: number; readonly uS: number };
  /** Standard uncertainty of what the probe shows too little or too much by heat along its stem, K; absent: none. */
  readonly uStemK?: number;
  readonly steady: SteadyDescription;
  /** When a level counts as matched; null where nothing is to be matched. */
  readonly match: MatchDescription | null;
  /** How far the zero may move between two checks of a job; absent: three standard uncertainties of the level. */
  readonly zeroLimitMm?: number;
}

/** When a level counts as settled. */
export interface SteadyDescription {
  /** How far the level may be from where it comes to rest. */
  readonly toleranceMm: number;
  /** How sure that must be, as a probability. */
  readonly confidence: number;
  /** Waves may be this high; measured from the middle. */
  readonly wavesMm: number;
  /** Longest plausible time constant with which fluid comes to rest. */
  readonly settlingUs: number;
  /** How far back is looked at most. */
  readonly longestUs: number;
}

/** How two levels are held against each other (JCGM 106). */
export interface MatchDescription {
  /** The difference may be this large, up or down. */
  readonly toleranceMm: number;
  /** How sure a verdict must be, or by how much a difference must keep away from the tolerance. */
  readonly rule:
    | { readonly by: 'probability'; readonly probability: number }
    | { readonly by: 'guard'; readonly guardMm: number };
  /** Standard deviation of a level when the sensor is taken off and fitted again, from `refits` times; 0: it stays fitted. */
  readonly refitMm: number;
  readonly refits: number | null;
  /** Standard uncertainty of what the new fluid changes by being another one. */
  readonly newFluidMm: number;
  /** Every job begins with this target; null where it is taken from a reading. */
  readonly target: { readonly levelMm: number; readonly uMm: number } | null;
}
