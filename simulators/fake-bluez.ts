/**
 * A Bluetooth service as BlueZ documents its D-Bus API (org.bluez.Adapter, org.bluez.Device, org.bluez.GattService,
 * org.bluez.GattCharacteristic): one adapter, simulated devices, and faults on demand.
 */
import type { Advertised, Air, BleDevice } from './ble-device.ts';
import { bytesVariant, type Call, CallError, DbusObjects, type Interfaces } from './dbus-objects.ts';

const ADAPTER = 'org.bluez.Adapter1';
const DEVICE = 'org.bluez.Device1';
const SERVICE = 'org.bluez.GattService1';
const CHARACTERISTIC = 'org.bluez.GattCharacteristic1';
const HCI = '/org/bluez/hci0';

/** An error of BlueZ, such as ('InProgress', 'Operation already in progress'). */
const refused = (name: string, text: string): CallError => new CallError(`org.bluez.Error.${name}`, text);

export interface Refusal {
  readonly name: string;
  readonly text: string;
  /** How often; then it works again. */
  times: number;
}

export class FakeBluez implements Air {
  /** Calls that are never answered, by the name of the method. */
  readonly hangs = new Set<string>();
  readonly refusals = new Map<string, Refusal>();
  /** How often each method was called. */
  readonly calls: Record<string, number> = {};
  /** Operations on a device that ran while another one did. */
  overlaps = 0;
  /** It answers from a table that it keeps, although the device has another one, until the device is removed. */
  keepsTables = false;
  /** What is called when a client subscribes, in the same turn. */
  onSubscribed: (device: BleDevice, uuid: string) => void = () => {};
  readonly #address: string;
  readonly #devices = new Map<string, BleDevice>();
  readonly #kept = new Map<string, { readonly services: BleDevice['services']; readonly firstHandle: number }>();
  readonly #scanning = new Set<string>();
  readonly #subscribed = new Map<string, Set<string>>();
  #objects: DbusObjects | null = null;
  #powered = true;
  #plugged = true;
  #busy = 0;

  /** @param address of the bus */
  constructor(address: string) {
    this.#address = address;
  }

  async start(): Promise<void> {
    this.#objects = await DbusObjects.serve(
      this.#address,
      'org.bluez',
      (call) => this.#answer(call),
      (sender) => this.#left(sender),
    );
    this.#objects.add('/org/bluez', { 'org.bluez.AgentManager1': {} });
    if (this.#plugged) this.#objects.add(HCI, adapterOf(this.#powered));
  }

  /** As when the service is stopped or crashes: all connections are lost. */
  stop(): void {
    this.#objects?.close();
    this.#objects = null;
    this.#scanning.clear();
    this.#subscribed.clear();
  }

  get running(): boolean {
    return this.#objects !== null;
  }

  place(device: BleDevice): void {
    this.#devices.set(pathOf(device), device);
    device.placeIn(this);
    if (this.#scanning.size > 0) device.advertise();
  }

  /** It is known from earlier, without being heard now. */
  remember(device: BleDevice): void {
    this.#objects?.add(pathOf(device), deviceOf(device));
  }

  connected(device: BleDevice): boolean {
    return this.#objects?.value(pathOf(device), DEVICE, 'Connected') === true;
  }

  /** How many subscriptions of clients stand. */
  get subscriptions(): number {
    return [...this.#subscribed.values()].reduce((sum, { size }) => sum + size, 0);
  }

  /** Where a characteristic stands, and which client last subscribed to it. */
  characteristic(uuid: string): { readonly path: string; readonly caller: string } {
    for (const [path, senders] of this.#subscribed)
      if (this.#objects?.value(path, CHARACTERISTIC, 'UUID') === uuid)
        return { path, caller: [...senders].at(-1) as string };
    throw new Error(`nobody has subscribed to ${uuid}`);
  }

  get scanning(): number {
    return this.#scanning.size;
  }

  unplugAdapter(): void {
    this.#plugged = false;
    this.#subscribed.clear();
    this.#scanning.clear();
    this.#objects?.remove(HCI);
  }

  plugAdapter(): void {
    this.#plugged = true;
    this.#objects?.add(HCI, adapterOf(this.#powered));
  }

  power(on: boolean): void {
    this.#powered = on;
    if (!on) for (const device of this.#devices.values()) this.lost(device);
    this.#objects?.set(HCI, ADAPTER, { Powered: on });
  }

  /** The device announces another table in the middle of a connection. */
  changeTable(device: BleDevice): void {
    this.#removeTable(device);
    this.#kept.delete(pathOf(device));
    this.#addTable(device);
  }

  advertised(device: BleDevice): void {
    if (this.#scanning.size === 0 || !this.#powered || this.connected(device)) return;
    const path = pathOf(device);
    if (this.#objects?.has(path) === false) {
      this.#objects.add(path, deviceOf(device));
      return;
    }
    const { ServiceData, ManufacturerData } = dataOf(device.advertised);
    this.#objects?.set(path, DEVICE, {
      RSSI: device.rssi,
      ...(device.advertised.serviceData === undefined ? {} : { ServiceData: ServiceData[1] }),
      ...(device.advertised.manufacturerData === undefined ? {} : { ManufacturerData: ManufacturerData[1] }),
    });
  }

  sent(device: BleDevice, uuid: string, value: Uint8Array): void {
    for (const path of this.#subscribed.keys())
      if (path.startsWith(`${pathOf(device)}/`) && this.#objects?.value(path, CHARACTERISTIC, 'UUID') === uuid)
        this.#objects.set(path, CHARACTERISTIC, { Value: Buffer.from(value) });
  }

  lost(device: BleDevice): void {
    const path = pathOf(device);
    for (const one of [...this.#subscribed.keys()]) if (one.startsWith(`${path}/`)) this.#subscribed.delete(one);
    if (!this.connected(device)) return;
    this.#objects?.set(path, DEVICE, { ServicesResolved: false, Connected: false });
    this.#removeTable(device);
  }

  async #answer(call: Call): Promise<readonly [string, unknown[]] | undefined> {
    const { of, name, path } = call;
    this.calls[name] = (this.calls[name] ?? 0) + 1;
    if (this.hangs.has(name)) return new Promise(() => {});
    const refusal = this.refusals.get(name);
    if (refusal !== undefined && refusal.times > 0) {
      refusal.times -= 1;
      throw refused(refusal.name, refusal.text);
    }
    if (of === ADAPTER) return this.#ofAdapter(call);
    const device = [...this.#devices].find(([one]) => path === one || path.startsWith(`${one}/`))?.[1];
    if (device === undefined) throw refused('DoesNotExist', 'Does Not Exist');
    if (of === DEVICE) return this.#ofDevice(call, device);
    this.#busy += 1;
    if (this.#busy > 1) this.overlaps += 1;
    try {
      await nextTurn();
      return this.#ofCharacteristic(call, device);
    } finally {
      this.#busy -= 1;
    }
  }

  #ofAdapter({ name, sender, body }: Call): undefined {
    if (!this.#powered) throw refused('NotReady', 'Resource Not Ready');
    if (name === 'StartDiscovery') {
      if (this.#scanning.has(sender)) throw refused('InProgress', 'Operation already in progress');
      this.#scanning.add(sender);
      this.#objects?.set(HCI, ADAPTER, { Discovering: true });
      for (const device of this.#devices.values()) device.advertise();
    } else if (name === 'StopDiscovery') {
      if (!this.#scanning.delete(sender)) throw refused('Failed', 'No discovery started');
      if (this.#scanning.size === 0) this.#objects?.set(HCI, ADAPTER, { Discovering: false });
    } else if (name === 'RemoveDevice') {
      const [path] = body as [string];
      const device = this.#devices.get(path);
      if (device === undefined || this.#objects?.has(path) !== true) throw refused('DoesNotExist', 'Does Not Exist');
      this.lost(device);
      this.#kept.delete(path);
      this.#objects.remove(path);
    }
    return undefined;
  }

  async #ofDevice({ name, path }: Call, device: BleDevice): Promise<undefined> {
    if (name === 'Disconnect') {
      this.lost(device);
      return;
    }
    if (name !== 'Connect') throw refused('NotSupported', 'Operation is not supported');
    if (!device.on) throw refused('Failed', 'le-connection-abort-by-local');
    await nextTurn();
    this.#objects?.set(path, DEVICE, { Connected: true });
    await nextTurn();
    if (!this.connected(device)) throw refused('Failed', 'le-connection-abort-by-local');
    this.#addTable(device);
    this.#objects?.set(path, DEVICE, { ServicesResolved: true });
  }

  #ofCharacteristic({ name, path, sender, body }: Call, device: BleDevice): readonly [string, unknown[]] | undefined {
    if (!this.connected(device)) throw refused('Failed', 'Not connected');
    const uuid = this.#objects?.value(path, CHARACTERISTIC, 'UUID') as string;
    const offered = device.services.flatMap(({ values }) => values).find((one) => one.uuid === uuid);
    // a handle of a table that is no longer that of the device
    if (offered === undefined) throw refused('Failed', 'Operation failed with ATT error: 0x01');
    if (name === 'ReadValue') {
      if (!offered.flags.includes('read')) throw refused('NotPermitted', 'Read not permitted');
      const value = Buffer.from(offered.value ?? []);
      // what is read becomes the value of the property too, and everybody is told
      this.#objects?.set(path, CHARACTERISTIC, { Value: value });
      return ['ay', [value]];
    }
    if (name === 'WriteValue') {
      const bytes = Uint8Array.from(body[0] as Uint8Array);
      device.written.push(bytes);
      device.onWritten(bytes);
    } else if (name === 'StartNotify') {
      if (!offered.flags.some((flag) => flag === 'notify' || flag === 'indicate'))
        throw refused('NotSupported', 'Operation is not supported');
      const senders = this.#subscribed.get(path) ?? new Set();
      if (senders.has(sender)) throw refused('InProgress', 'Operation already in progress');
      this.#subscribed.set(path, senders.add(sender));
      this.onSubscribed(device, uuid);
    } else if (name === 'StopNotify') {
      this.#unsubscribe(path, sender);
    }
    return undefined;
  }

  /** What a client had begun ends with it. */
  #left(sender: string): void {
    this.#scanning.delete(sender);
    for (const path of [...this.#subscribed.keys()]) this.#unsubscribe(path, sender);
  }

  #unsubscribe(path: string, sender: string): void {
    const senders = this.#subscribed.get(path);
    senders?.delete(sender);
    if (senders?.size === 0) this.#subscribed.delete(path);
  }

  #addTable(device: BleDevice): void {
    const path = pathOf(device);
    const { services, firstHandle } = (this.keepsTables ? this.#kept.get(path) : undefined) ?? device;
    this.#kept.set(path, { services, firstHandle });
    let handle = firstHandle;
    for (const { uuid, values } of services) {
      const service = `${path}/service${hex4(handle++)}`;
      this.#objects?.add(service, { [SERVICE]: { UUID: ['s', uuid], Primary: ['b', true], Device: ['o', path] } });
      for (const value of values) {
        this.#objects?.add(`${service}/char${hex4(handle)}`, {
          [CHARACTERISTIC]: {
            UUID: ['s', value.uuid],
            Service: ['o', service],
            Value: ['ay', Buffer.alloc(0)],
            Flags: ['as', [...value.flags]],
            MTU: ['q', 247],
          },
        });
        handle += 3; // the value's own handle and its configuration
      }
    }
  }

  #removeTable(device: BleDevice): void {
    const path = pathOf(device);
    for (const one of this.#objects?.paths ?? [])
      if (one.startsWith(`${path}/service`) && !one.includes('/char')) this.#objects?.remove(one);
  }
}

function pathOf({ address }: BleDevice): string {
  return `${HCI}/dev_${address.replaceAll(':', '_')}`;
}

function adapterOf(powered: boolean): Interfaces {
  return {
    [ADAPTER]: {
      Address: ['s', '00:00:5E:00:53:00'],
      Name: ['s', 'simulated'],
      Powered: ['b', powered],
      Discovering: ['b', false],
    },
  };
}

function deviceOf(device: BleDevice): Interfaces {
  const { name, services = [] } = device.advertised;
  return {
    [DEVICE]: {
      Address: ['s', device.address],
      AddressType: ['s', 'random'],
      Adapter: ['o', HCI],
      ...(name === undefined ? {} : { Name: ['s', name] as [string, unknown] }),
      Paired: ['b', device.paired],
      Connected: ['b', false],
      ServicesResolved: ['b', false],
      RSSI: ['n', device.rssi],
      UUIDs: ['as', [...services]],
      ...dataOf(device.advertised),
    },
  };
}

function dataOf({ serviceData = {}, manufacturerData = {} }: Advertised) {
  const asBytes = (data: Readonly<Record<string, Uint8Array>>): Record<string, unknown> =>
    Object.fromEntries(Object.entries(data).map(([key, bytes]) => [key, bytesVariant(bytes)]));
  return {
    ServiceData: ['a{sv}', asBytes(serviceData)] as [string, unknown],
    ManufacturerData: ['a{qv}', asBytes(manufacturerData as Record<string, Uint8Array>)] as [string, unknown],
  };
}

const hex4 = (handle: number): string => handle.toString(16).padStart(4, '0');

function nextTurn(): Promise<void> {
  return new Promise((resolve) => setImmediate(resolve));
}
