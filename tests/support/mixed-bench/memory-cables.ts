/** Cables in memory and a radio in memory, for virtual time. */
import { sig } from '../../../simulators/ble-device.ts';
import type { BleStack, Characteristic } from '../../../src/links/ble-stack.ts';
import { type Door, LinkFault } from '../../../src/links/contract.ts';
import { memoryTwin } from '../../../src/links/memory.ts';
import type { Cable } from './devices.ts';

/** A cable to a twin; what is written to it goes to the instrument and is not kept. */
export function memoryCable(id: string): { readonly cable: Cable; readonly door: Door } {
  const twin = memoryTwin(id);
  let hear = (_bytes: Uint8Array): void => {};
  return {
    cable: {
      plug: () => twin.plug(),
      unplug: () => twin.unplug(),
      drop: () => twin.drop('remote-closed', 'closed by the other side'),
      send: (bytes) => twin.send(bytes),
      onData(listener) {
        hear = listener;
      },
    },
    door: {
      name: twin.door.name,
      async open(handlers, signal) {
        let over = false;
        const connection = await twin.door.open(
          {
            onBytes: (chunk) => handlers.onBytes(chunk),
            onEnd(reason, detail) {
              over = true;
              handlers.onEnd(reason, detail);
            },
          },
          signal,
        );
        return {
          async write(bytes) {
            if (over) throw new LinkFault('unplugged', `${twin.door.name}: connection ended`);
            hear(Uint8Array.from(bytes));
          },
          close: () => connection.close(),
        };
      },
    },
  };
}

/** A device in the air: lines of a name and bytes become notifications. */
export function memoryAir(address: string): { readonly cable: Cable; readonly stack: BleStack } {
  let on = true;
  let lost: ((fault: LinkFault) => void) | null = null;
  let heard = (): void => {};
  const subscribers = new Map<string, (value: Uint8Array) => void>();
  const uuids = ['2a6e', '2a6f', '2a6d', '2a1c', '6f1c0001-3d52-4c1e-9a6e-0b7d5c2f8a11'];
  const characteristics = uuids.map(
    (uuid): Characteristic => ({ id: sig(uuid), uuid, sends: true, readable: false, writable: null, mostBytes: 20 }),
  );
  const end = (detail: string): void => {
    subscribers.clear();
    const tell = lost;
    lost = null;
    tell?.(new LinkFault('link-lost', detail));
  };
  return {
    cable: {
      plug() {
        on = true;
        heard();
      },
      unplug() {
        on = false;
        end('out of range');
      },
      drop: () => end('the connection broke'),
      send(bytes) {
        if (!on) return;
        const [, name, hex] = /^(\S+) ([0-9a-f]+)\n$/.exec(Buffer.from(bytes).toString('latin1')) ?? [];
        if (name !== undefined && hex !== undefined) subscribers.get(name)?.(Buffer.from(hex, 'hex'));
      },
      onData() {},
    },
    stack: {
      open: async () => ({
        name: 'memory',
        async scan(onHeard) {
          heard = () => {
            const arrived = { serviceData: {}, manufacturerData: {} };
            if (on) onHeard({ address, name: null, rssiDbm: -60, services: [], ...arrived, arrived });
          };
          heard();
        },
        async stopScan() {
          heard = () => {};
        },
        async connect(_, onLost) {
          if (!on) throw new LinkFault('not-in-range', 'gone again');
          lost = onLost;
          return {
            characteristics,
            async subscribe({ uuid }, onValue) {
              subscribers.set(uuid, onValue);
            },
            read: () => Promise.reject(new LinkFault('forbidden', 'nothing to read')),
            write: () => Promise.reject(new LinkFault('forbidden', 'nothing to write')),
            async disconnect() {
              subscribers.clear();
              lost = null;
            },
          };
        },
        forget: async () => false,
        close() {
          heard = () => {};
          subscribers.clear();
          lost = null;
        },
      }),
    },
  };
}
