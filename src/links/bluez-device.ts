/** A connected device of BlueZ: its characteristics, and what they send. */
import { uuidName } from '../kit/uuid.ts';
import type { BleDevice, Characteristic } from './ble-stack.ts';
import { type BluezBus, text } from './bluez-bus.ts';
import { faultOf } from './bluez-errors.ts';
import type { BluezTree, Properties } from './bluez-tree.ts';
import { LinkFault } from './contract.ts';

export const DEVICE = 'org.bluez.Device1';
const CHARACTERISTIC = 'org.bluez.GattCharacteristic1';
const SERVICE = 'org.bluez.GattService1';

/** Bluetooth Core Specification, Vol 3, Part F, 3.2.8: the least of what passes at once, and what of it is not value. */
const LEAST_MTU = 23;
const WRITE_HEADER = 3;

/** @param onLost called at most once, when the connection ends or its table changes */
export function bluezDevice(
  bus: BluezBus,
  tree: BluezTree,
  path: string,
  onLost: (fault: LinkFault) => void,
): BleDevice & { forget(): void } {
  const handlers = new Map<string, (value: Uint8Array) => void>();
  const lose = (detail: string): void => {
    forget();
    onLost(new LinkFault('link-lost', detail));
  };
  const stopWatching = tree.watch(({ kind, path: at, of, properties }) => {
    if (at === path && of === DEVICE) {
      if (kind === 'removed') lose('the device was removed from the list of the system');
      else if (properties.Connected === false) lose('the device disconnected');
      else if (properties.ServicesResolved === false) lose('the device is reading its table anew');
    } else if (at.startsWith(`${path}/`) && kind !== 'changed' && (of === SERVICE || of === CHARACTERISTIC)) {
      lose('the table of the device has changed');
    } else if (of === CHARACTERISTIC && kind === 'changed' && properties.Value instanceof Uint8Array) {
      handlers.get(at)?.(properties.Value);
    }
  });
  const forget = (): void => {
    handlers.clear();
    stopWatching();
  };
  const call = async (at: string, of: string, name: string, signature = '', body: unknown[] = []): Promise<unknown> => {
    try {
      const [answer] = await bus.call(at, { of, name }, signature, body);
      return answer;
    } catch (error) {
      throw faultOf(error, name);
    }
  };

  return {
    characteristics: tree
      .all(CHARACTERISTIC)
      .filter((one) => one.path.startsWith(`${path}/`))
      .sort((a, b) => (a.path < b.path ? -1 : 1)) // paths end in the handle, in four hexadecimal digits
      .map((one) => characteristicOf(one.path, one.properties)),
    async subscribe({ id }, onValue) {
      handlers.set(id, onValue); // before: the first value may come with the answer
      try {
        await call(id, CHARACTERISTIC, 'StartNotify');
      } catch (error) {
        handlers.delete(id);
        throw error;
      }
    },
    async read({ id }) {
      const value = await call(id, CHARACTERISTIC, 'ReadValue', 'a{sv}', [{}]);
      if (value instanceof Uint8Array) return value;
      throw new LinkFault('io-error', 'ReadValue: the answer holds no bytes');
    },
    async write({ id, writable }, bytes) {
      const type = writable === 'unacknowledged' ? 'command' : 'request';
      await call(id, CHARACTERISTIC, 'WriteValue', 'aya{sv}', [Buffer.from(bytes), { type: text(type) }]);
    },
    async disconnect() {
      forget();
      await call(path, DEVICE, 'Disconnect');
    },
    forget,
  };
}

function characteristicOf(path: string, { UUID, Flags, MTU }: Properties): Characteristic {
  const flags = Array.isArray(Flags) ? (Flags as string[]) : [];
  const acknowledged = flags.includes('write') ? 'acknowledged' : null;
  return {
    id: path,
    uuid: uuidName(String(UUID)) ?? String(UUID),
    sends: flags.includes('notify') || flags.includes('indicate'),
    readable: flags.includes('read'),
    writable: flags.includes('write-without-response') ? 'unacknowledged' : acknowledged,
    mostBytes: (typeof MTU === 'number' ? Math.max(MTU, LEAST_MTU) : LEAST_MTU) - WRITE_HEADER,
  };
}
