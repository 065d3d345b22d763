/**
 * What the Bluetooth LE link (ble.ts) asks of the Bluetooth software of a platform. Linux has BlueZ (bluez.ts); another
 * platform needs this much and no more. Calls reject with a LinkFault. None needs a time limit of its own: the link
 * gives up on each, and closes the radio then.
 */
import type { LinkFault } from './contract.ts';

export interface BleStack {
  /**
   * Takes the radio of this name, or the first that is on. `onLost` is called at most once, not before it has answered;
   * `signal` gives up.
   */
  open(adapter: string | null, onLost: (fault: LinkFault) => void, signal: AbortSignal): Promise<BleRadio>;
}

export interface BleRadio {
  /** For messages, such as "hci0". */
  readonly name: string;
  /** Tells of each device that is known, and of each advertisement from now on. */
  scan(onHeard: (heard: Heard) => void): Promise<void>;
  stopScan(): Promise<void>;
  /** Connects, and reads which characteristics there are. `onLost` as above, for this device. */
  connect(address: string, onLost: (fault: LinkFault) => void): Promise<BleDevice>;
  /** Forgets what is kept of the device, so that it is read anew; false where that would undo a pairing. */
  forget(address: string): Promise<boolean>;
  /** Ends everything that was begun: also a call that never answers. Never throws, may be called twice. */
  close(): void;
}

/** A device, as its advertisements have told so far. UUIDs by their short names. */
export interface Heard {
  readonly address: string;
  readonly name: string | null;
  /** dBm; null where it was not heard lately. */
  readonly rssiDbm: number | null;
  readonly services: readonly string[];
  readonly serviceData: Readonly<Record<string, Uint8Array>>;
  /** By the number of the company. */
  readonly manufacturerData: Readonly<Record<number, Uint8Array>>;
  /** What has come just now; null for what is only remembered from earlier. */
  readonly arrived: Pick<Heard, 'serviceData' | 'manufacturerData'> | null;
}

export interface BleDevice {
  /** In the order of the device. */
  readonly characteristics: readonly Characteristic[];
  /** Every value that is sent from now on, once. The value is the callee's to keep. */
  subscribe(characteristic: Characteristic, onValue: (value: Uint8Array) => void): Promise<void>;
  read(characteristic: Characteristic): Promise<Uint8Array>;
  write(characteristic: Characteristic, bytes: Uint8Array): Promise<void>;
  disconnect(): Promise<void>;
}

export interface Characteristic {
  /** Names it within this connection only. */
  readonly id: string;
  readonly uuid: string;
  readonly sends: boolean;
  readonly readable: boolean;
  readonly writable: 'acknowledged' | 'unacknowledged' | null;
  /** Most bytes of one write. */
  readonly mostBytes: number;
}
