/** A board that prints over Bluetooth LE: text in notifications, cut into pieces as the radio takes them. */
import { BleDevice } from './ble-device.ts';
import { FakeBluez } from './fake-bluez.ts';
import type { BleAddress, Port } from './port.ts';
import { startPrivateBus } from './private-bus.ts';

/** Bluetooth Core Specification, Vol 3, Part F, 3.2.8: an MTU of 23 bytes, three of which are not value. */
const PIECE_BYTES = 20;

const SERVICE = '8d5f0001-6b1c-4f6a-9a52-3d1c1e5b7a10';
const FROM_BOARD = '8d5f0002-6b1c-4f6a-9a52-3d1c1e5b7a10';

export class BlePort implements Port<BleAddress> {
  readonly address: BleAddress;
  readonly #device: BleDevice;

  constructor(service: FakeBluez, address: string, name: string) {
    this.address = { kind: 'ble', address, from: FROM_BOARD };
    this.#device = new BleDevice(address, { name, services: [SERVICE] }, [
      { uuid: SERVICE, values: [{ uuid: FROM_BOARD, flags: ['notify'] }] },
    ]);
    this.#device.on = false;
    service.place(this.#device);
  }

  get plugged(): boolean {
    return this.#device.on;
  }

  async plug(): Promise<void> {
    this.#device.appear();
  }

  async unplug(): Promise<void> {
    this.#device.vanish();
  }

  async write(bytes: Uint8Array): Promise<void> {
    if (!this.plugged) throw new Error('ble port: out of range');
    for (let at = 0; at < bytes.length; at += PIECE_BYTES)
      this.#device.send(FROM_BOARD, bytes.subarray(at, at + PIECE_BYTES));
  }

  /** What nobody takes is lost in the air. */
  unread(): number {
    return 0;
  }

  /** The board takes no text. */
  onData(): void {}

  /** A board with a radio is not reset by whoever connects. */
  onOpen(): void {}
}

export interface BleAir {
  /** Of the bus that the Bluetooth service is on, as in DBUS_SYSTEM_BUS_ADDRESS. */
  readonly bus: string;
  portFor(name: string): BlePort;
  stop(): Promise<void>;
}

/** A Bluetooth service on a bus of its own; needs dbus-daemon. */
export async function startBleAir(): Promise<BleAir> {
  const bus = await startPrivateBus();
  const service = new FakeBluez(bus.address);
  let boards = 0;
  const stop = async (): Promise<void> => {
    service.stop();
    await bus.stop();
  };
  try {
    await service.start();
  } catch (error) {
    await stop();
    throw error;
  }
  return {
    bus: bus.address,
    // addresses kept for documentation: RFC 7042, 2.1.2
    portFor: (name) => new BlePort(service, `00:00:5E:00:53:${(0x30 + boards++).toString(16)}`, `pot ${name}`),
    stop,
  };
}
