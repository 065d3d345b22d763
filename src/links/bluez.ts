/** BlueZ, the Bluetooth software of Linux, over the D-Bus API that it documents (org.bluez.Adapter, Device, Gatt…). */
import { uuidName } from '../kit/uuid.ts';
import type { BleDevice, BleRadio, BleStack, Heard } from './ble-stack.ts';
import { type BluezBus, flag, openBluezBus, text } from './bluez-bus.ts';
import { bluezDevice, DEVICE } from './bluez-device.ts';
import { faultOf, isBluezError } from './bluez-errors.ts';
import { BluezTree, type Properties } from './bluez-tree.ts';
import { LinkFault } from './contract.ts';

const ADAPTER = 'org.bluez.Adapter1';

/** @param address of the system bus; where it is not given, as the environment says */
export function bluez(address?: string): BleStack {
  return {
    async open(adapter, onLost, signal) {
      const tree = new BluezTree();
      let lost = (fault: LinkFault): void => void fault;
      const bus = await openBluezBus(
        address ?? process.env.DBUS_SYSTEM_BUS_ADDRESS,
        { onSignal: (one) => tree.take(one), onGone: (fault) => lost(fault) },
        signal,
      );
      try {
        await tree.read(bus);
        const path = adapterPath(tree, adapter);
        const radio = new BluezRadio(bus, tree, path, onLost);
        lost = (fault) => radio.lose(fault);
        return radio;
      } catch (error) {
        bus.end();
        throw faultOf(error, 'the Bluetooth service');
      }
    },
  };
}

function adapterPath(tree: BluezTree, wanted: string | null): string {
  const adapters = tree.all(ADAPTER).map(({ path, properties }) => ({ path, on: properties.Powered === true }));
  const names = adapters.map(({ path }) => lastPart(path)).join(', ');
  const found = adapters.filter(({ path }) => wanted === null || lastPart(path) === wanted);
  const one = found.find(({ on }) => on) ?? found[0];
  if (one === undefined) {
    const there = names === '' ? 'no Bluetooth adapter: plug one in' : `no adapter ${wanted}, but ${names}`;
    throw new LinkFault('no-bluetooth', there);
  }
  if (!one.on) throw new LinkFault('radio-off', `${lastPart(one.path)} is switched off: \`bluetoothctl power on\``);
  return one.path;
}

class BluezRadio implements BleRadio {
  readonly name: string;
  readonly #bus: BluezBus;
  readonly #tree: BluezTree;
  readonly #path: string;
  readonly #onLost: (fault: LinkFault) => void;
  readonly #stopWatching: () => void;
  #stopHearing = (): void => {};
  #device: { readonly path: string; forget(): void } | null = null;
  #over = false;

  constructor(bus: BluezBus, tree: BluezTree, path: string, onLost: (fault: LinkFault) => void) {
    this.#bus = bus;
    this.#tree = tree;
    this.#path = path;
    this.#onLost = onLost;
    this.name = lastPart(path);
    this.#stopWatching = tree.watch(({ kind, path: at, of, properties }) => {
      if (at !== path || of !== ADAPTER) return;
      if (kind === 'removed') this.lose(new LinkFault('no-bluetooth', `the adapter ${this.name} was unplugged`));
      else if (properties.Powered === false) this.lose(new LinkFault('radio-off', `${this.name} was switched off`));
    });
  }

  lose(fault: LinkFault): void {
    if (this.#over) return;
    this.#device = null; // nobody left to take leave of
    this.close();
    this.#onLost(fault);
  }

  async scan(onHeard: (heard: Heard) => void): Promise<void> {
    this.#stopHearing();
    const tell = (path: string, arrived: Properties | null): void => {
      const known = this.#tree.properties(path, DEVICE);
      if (known !== null && path.startsWith(`${this.#path}/`)) onHeard(heardOf(known, arrived));
    };
    for (const { path } of this.#tree.all(DEVICE)) tell(path, null);
    this.#stopHearing = this.#tree.watch(({ kind, path, of, properties }) => {
      if (of === DEVICE && kind !== 'removed' && ARRIVALS.some((name) => name in properties)) tell(path, properties);
    });
    const le = { Transport: text('le') };
    const filter = (settings: object): Promise<void> =>
      this.#call(this.#path, ADAPTER, 'SetDiscoveryFilter', 'a{sv}', [settings]);
    // an older BlueZ does not know that data are wanted again that have not changed
    await filter({ ...le, DuplicateData: flag(true) }).catch((error: unknown) =>
      error instanceof LinkFault && error.reason === 'io-error' ? filter(le) : Promise.reject(error),
    );
    try {
      await this.#call(this.#path, ADAPTER, 'StartDiscovery');
    } catch (error) {
      if (!(error instanceof LinkFault && error.reason === 'busy')) throw error;
    }
  }

  async stopScan(): Promise<void> {
    this.#stopHearing();
    await this.#call(this.#path, ADAPTER, 'StopDiscovery');
  }

  async connect(address: string, onLost: (fault: LinkFault) => void): Promise<BleDevice> {
    const path = this.#find(address);
    this.#device = { path, forget: () => {} };
    const resolved = this.#resolved(path);
    resolved.settled.catch(() => {}); // it may fail before anybody waits
    try {
      await this.#bus.call(path, { of: DEVICE, name: 'Connect' }).catch(async (error: unknown) => {
        if (isBluezError(error, 'AlreadyConnected')) return;
        // an attempt that somebody began and never ended
        if (isBluezError(error, 'InProgress')) await this.#clear(path);
        throw faultOf(error, 'Connect');
      });
      await resolved.settled;
    } finally {
      resolved.stop();
    }
    const { forget, ...device } = bluezDevice(this.#bus, this.#tree, path, onLost);
    this.#device = { path, forget };
    return {
      ...device,
      disconnect: async () => {
        await device.disconnect();
        this.#device = null;
      },
    };
  }

  async forget(address: string): Promise<boolean> {
    const path = this.#find(address);
    const { Paired, Bonded, Trusted } = this.#tree.properties(path, DEVICE) ?? {};
    if (Paired === true || Bonded === true || Trusted === true) return false;
    this.#device?.forget();
    this.#device = null;
    await this.#call(this.#path, ADAPTER, 'RemoveDevice', 'o', [path]);
    return true;
  }

  close(): void {
    if (this.#over) return;
    this.#over = true;
    this.#stopHearing();
    this.#stopWatching();
    if (this.#device !== null) {
      this.#device.forget();
      // also ends an attempt to connect; whether it is answered, nobody waits for
      this.#bus.call(this.#device.path, { of: DEVICE, name: 'Disconnect' }).catch(() => {});
    }
    this.#bus.end();
  }

  /** Settles when the device is connected and its table is read. */
  #resolved(path: string): { readonly settled: Promise<void>; stop(): void } {
    let stop = (): void => {};
    const settled = new Promise<void>((resolve, reject) => {
      const look = (): void => {
        const { Connected, ServicesResolved } = this.#tree.properties(path, DEVICE) ?? {};
        if (Connected === true && ServicesResolved === true) resolve();
      };
      stop = this.#tree.watch(({ kind, path: at, of, properties }) => {
        if (at !== path || of !== DEVICE) return;
        if (kind === 'removed' || properties.Connected === false)
          reject(new LinkFault('link-lost', 'the device disconnected while its table was read'));
        else look();
      });
      look();
    });
    return { settled, stop };
  }

  /** What is left of an attempt that was never ended; a pairing is kept. */
  async #clear(path: string): Promise<void> {
    const { Address } = this.#tree.properties(path, DEVICE) ?? {};
    await this.#bus.call(path, { of: DEVICE, name: 'Disconnect' }).catch(() => {});
    if (typeof Address === 'string') await this.forget(Address).catch(() => {});
  }

  #find(address: string): string {
    const found = this.#tree
      .all(DEVICE)
      .find(({ path, properties }) => path.startsWith(`${this.#path}/`) && properties.Address === address);
    if (found === undefined) throw new LinkFault('not-in-range', `${address} is not known to ${this.name}`);
    return found.path;
  }

  async #call(path: string, of: string, name: string, signature = '', body: unknown[] = []): Promise<void> {
    try {
      await this.#bus.call(path, { of, name }, signature, body);
    } catch (error) {
      throw faultOf(error, name);
    }
  }
}

/** What comes with an advertisement. */
const ARRIVALS = ['RSSI', 'ServiceData', 'ManufacturerData', 'UUIDs', 'TxPower'];

function heardOf(known: Properties, arrived: Properties | null): Heard {
  const { Address, Name, RSSI, UUIDs } = known;
  return {
    address: String(Address).toUpperCase(),
    name: typeof Name === 'string' ? Name : null,
    rssiDbm: typeof RSSI === 'number' ? RSSI : null,
    services: Array.isArray(UUIDs) ? UUIDs.map((uuid) => uuidName(String(uuid)) ?? String(uuid)) : [],
    ...dataOf(known),
    arrived: arrived === null ? null : dataOf(arrived),
  };
}

function dataOf({ ServiceData, ManufacturerData }: Properties): NonNullable<Heard['arrived']> {
  const bytesOf = (data: unknown, name: (key: string) => string): Record<string, Uint8Array> =>
    Object.fromEntries(
      Object.entries(data ?? {}).flatMap(([key, bytes]) =>
        bytes instanceof Uint8Array ? [[name(key), bytes] as const] : [],
      ),
    );
  return {
    serviceData: bytesOf(ServiceData, (key) => uuidName(key) ?? key),
    manufacturerData: bytesOf(ManufacturerData, (key) => key),
  };
}

function lastPart(path: string): string {
  return path.slice(path.lastIndexOf('/') + 1);
}
