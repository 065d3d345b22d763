/** A simulated Bluetooth device on a bus of its own, and a door to it. */
import { once } from 'node:events';
import { access } from 'node:fs/promises';
import { Message, sessionBus, Variant } from '@jellybrick/dbus-next';
import { BleDevice, sig } from '../../simulators/ble-device.ts';
import { FakeBluez } from '../../simulators/fake-bluez.ts';
import { type PrivateBus, startPrivateBus } from '../../simulators/private-bus.ts';
import type { BleFind, BleTake } from '../../src/core/description.ts';
import { BLE_LIMITS, type BleLimits, bleDoor } from '../../src/links/ble.ts';
import { bluez } from '../../src/links/bluez.ts';
import { realClock } from '../../src/links/clock.ts';
import type { Clock, Door } from '../../src/links/contract.ts';

export const ADDRESS = 'C0:FF:EE:00:00:01';
export const TEXT = { from: '8d5f0002-6b1c-4f6a-9a52-3d1c1e5b7a10', to: '8d5f0003-6b1c-4f6a-9a52-3d1c1e5b7a10' };
export const TEMPERATURE = sig('2a6e');
export const HUMIDITY = sig('2a6f');
export const BATTERY = sig('2a19');

/** A climate probe that also talks text. */
export function climateProbe(address = ADDRESS): BleDevice {
  return new BleDevice(address, { name: 'cellar probe', services: [sig('181a')] }, [
    {
      uuid: sig('181a'),
      values: [
        { uuid: TEMPERATURE, flags: ['read', 'notify'], value: Uint8Array.of(0x66, 0x08) },
        { uuid: HUMIDITY, flags: ['read', 'notify'], value: Uint8Array.of(0xa1, 0x13) },
      ],
    },
    { uuid: sig('180f'), values: [{ uuid: BATTERY, flags: ['read'], value: Uint8Array.of(87) }] },
    {
      uuid: '8d5f0001-6b1c-4f6a-9a52-3d1c1e5b7a10',
      values: [
        { uuid: TEXT.from, flags: ['notify'] },
        { uuid: TEXT.to, flags: ['write'] },
      ],
    },
  ]);
}

export const byAddress = (address = ADDRESS): BleFind => ({
  address,
  service: null,
  serviceData: null,
  manufacturerData: null,
});

export const notified = (...notify: string[]): BleTake => ({ kind: 'values', notify, read: [], everyUs: 1_000_000 });

export interface BleRig {
  readonly bus: PrivateBus;
  readonly service: FakeBluez;
  readonly device: BleDevice;
  door(take: BleTake, find?: BleFind, clock?: Clock, limits?: Partial<BleLimits>): Door;
  /** A call over the bus and back, and a look at the disk: as long as any one step of the link takes. */
  roundTrip(): Promise<void>;
  /** Connections to the bus, those of the rig and of the service not counted. */
  clients(): Promise<number>;
  /** Sends a value to the client that last called, as if it came from the service. */
  forge(uuid: string, value: Uint8Array): Promise<void>;
  dispose(): Promise<void>;
}

const BUS = 'org.freedesktop.DBus';

export async function bleRig(device = climateProbe()): Promise<BleRig> {
  const bus = await startPrivateBus();
  const service = new FakeBluez(bus.address);
  await service.start();
  service.place(device);
  const beside = sessionBus({ busAddress: bus.address });
  await once(beside, 'connect');
  const ping = { destination: 'org.bluez', path: '/', interface: 'org.freedesktop.DBus.Peer', member: 'Ping' };
  return {
    bus,
    service,
    device,
    door: (take, find = byAddress(), clock = realClock(), limits = {}) =>
      bleDoor({
        link: { kind: 'ble', find, adapter: null, take },
        clock,
        stack: bluez(bus.address),
        limits: { ...BLE_LIMITS, ...limits },
      }),
    async roundTrip() {
      await access(bus.socket);
      // while there is no service, the bus itself answers
      await beside.call(new Message(ping)).catch(() => {});
    },
    async clients() {
      const names = { path: '/org/freedesktop/DBus', interface: BUS, destination: BUS, member: 'ListNames' };
      const reply = await beside.call(new Message(names));
      const all = ((reply?.body[0] ?? []) as string[]).filter((name) => name.startsWith(':'));
      return all.length - (service.running ? 2 : 1);
    },
    async forge(uuid, value) {
      const { path, caller } = service.characteristic(uuid);
      const changed = { Value: new Variant('ay', Buffer.from(value)) };
      const signal = Message.newSignal(path, `${BUS}.Properties`, 'PropertiesChanged', 'sa{sv}as', [
        'org.bluez.GattCharacteristic1',
        changed,
        [],
      ]);
      signal.destination = caller;
      beside.send(signal);
    },
    async dispose() {
      beside.disconnect();
      service.stop();
      await bus.stop();
    },
  };
}
