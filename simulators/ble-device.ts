/** A Bluetooth LE device that is simulated: what it advertises, what it offers, and what it has been sent. */

export interface OfferedValue {
  /** A UUID in full. */
  readonly uuid: string;
  /** As BlueZ names them: read, notify, indicate, write, write-without-response. */
  readonly flags: readonly string[];
  /** What is read from it. */
  value?: Uint8Array;
}

export interface OfferedService {
  readonly uuid: string;
  readonly values: readonly OfferedValue[];
}

export interface Advertised {
  readonly name?: string;
  readonly services?: readonly string[];
  readonly serviceData?: Readonly<Record<string, Uint8Array>>;
  readonly manufacturerData?: Readonly<Record<number, Uint8Array>>;
}

/** What the radio world around a device does with what it sends. */
export interface Air {
  advertised(device: BleDevice): void;
  sent(device: BleDevice, uuid: string, value: Uint8Array): void;
  lost(device: BleDevice): void;
}

/** Bluetooth Core Specification, Vol 3, Part B, 2.5.1. */
export const sig = (short: string): string => `0000${short}-0000-1000-8000-00805f9b34fb`;

export class BleDevice {
  readonly address: string;
  advertised: Advertised;
  services: readonly OfferedService[];
  /** dBm, at the adapter. */
  rssi = -60;
  /** The handle of its first service; another one after a change of its program. */
  firstHandle = 0x0010;
  /** Switched on and in range. */
  on = true;
  paired = false;
  readonly written: Uint8Array[] = [];
  /** Called with what is written to it. */
  onWritten: (bytes: Uint8Array) => void = () => {};
  #air: Air | null = null;

  constructor(address: string, advertised: Advertised, services: readonly OfferedService[] = []) {
    this.address = address;
    this.advertised = advertised;
    this.services = services;
  }

  /** Given by whoever hears it. */
  placeIn(air: Air | null): void {
    this.#air = air;
  }

  /** One advertisement; the data change with it where they are given. */
  advertise(changed: Partial<Advertised> = {}): void {
    this.advertised = { ...this.advertised, ...changed };
    if (this.on) this.#air?.advertised(this);
  }

  /** One notification; lost where nobody has subscribed. */
  send(uuid: string, value: Uint8Array): void {
    if (this.on) this.#air?.sent(this, uuid, value);
  }

  /** Out of range, or its battery is empty. */
  vanish(): void {
    this.on = false;
    this.#air?.lost(this);
  }

  appear(): void {
    this.on = true;
    this.advertise();
  }

  /** The connection breaks, the device stays. */
  drop(): void {
    this.#air?.lost(this);
  }
}
