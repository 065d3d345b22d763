/** Cables of pseudo-terminals, sockets and a radio behind a real message bus. */
import { type BleDevice, sig } from '../../../simulators/ble-device.ts';
import type { FakeBluez } from '../../../simulators/fake-bluez.ts';
import type { Port } from '../../../simulators/port.ts';
import type { Cable } from './devices.ts';

/** A board whose output nobody takes loses it. */
const MOST_UNREAD_BYTES = 2048;

/** What is plugged and pulled happens in the order in which it is asked for. */
export function portCable(port: Port): Cable & { settled(): Promise<void> } {
  let last: Promise<void> = Promise.resolve();
  const then = (work: () => Promise<void>): void => {
    last = last.then(work);
  };
  const pull = (): Promise<void> => port.unplug();
  const plug = async (): Promise<void> => {
    if (!port.plugged) await port.plug();
  };
  return {
    plug: () => then(plug),
    unplug: () => then(pull),
    drop() {
      then(pull);
      then(plug);
    },
    send(bytes) {
      if (port.plugged && port.unread() < MOST_UNREAD_BYTES) port.write(bytes).catch(() => {}); // lost with the cable
    },
    onData: (listener) => port.onData(listener),
    settled: () => last,
  };
}

/** The connection breaks, and every second time the Bluetooth service restarts. */
export function airCable(service: FakeBluez, device: BleDevice): Cable {
  let breaks = 0;
  return {
    plug: () => device.appear(),
    unplug: () => device.vanish(),
    drop() {
      breaks += 1;
      if (breaks % 2 === 1) return device.drop();
      service.stop();
      void service.start();
    },
    send(bytes) {
      const [, name, hex] = /^(\S+) ([0-9a-f]+)\n$/.exec(Buffer.from(bytes).toString('latin1')) ?? [];
      if (name === undefined || hex === undefined) return;
      device.send(name.length === 4 ? sig(name) : name, Buffer.from(hex, 'hex'));
    },
    onData() {},
  };
}
