/** The simulated Bluetooth service does what BlueZ documents, and its bus ends with whoever started it. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, rmSync } from 'node:fs';
import { connect } from 'node:net';
import { dirname, join } from 'node:path';
import { Message, type MessageBus, sessionBus } from '@jellybrick/dbus-next';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type BleRig, bleRig, TEMPERATURE } from '../links/ble-rig.ts';
import { ROOT } from '../repo/house.ts';
import { describeWithDbus } from './needs-dbus.ts';

const HCI = '/org/bluez/hci0';
const DEVICE = `${HCI}/dev_C0_FF_EE_00_00_01`;
const VALUE = `${DEVICE}/service0010/char0011`;

describeWithDbus('the simulated BlueZ', () => {
  let rig: BleRig;
  let client: MessageBus;
  beforeEach(async () => {
    rig = await bleRig();
    client = sessionBus({ busAddress: rig.bus.address });
    await once(client, 'connect');
  });
  afterEach(async () => {
    client.disconnect();
    await rig.dispose();
  });
  const call = async (path: string, of: string, member: string, signature = '', body: unknown[] = []) => {
    const message = new Message({
      destination: 'org.bluez',
      path,
      interface: `org.bluez.${of}`,
      member,
      signature,
      body,
    });
    return client.call(message).then(
      (reply) => reply?.body,
      (error: unknown) => (error as { type: string }).type,
    );
  };

  test('an adapter: discovery for each client once, nothing while it is off', async () => {
    expect(await call(HCI, 'Adapter1', 'StartDiscovery')).toEqual([]);
    expect(await call(HCI, 'Adapter1', 'StartDiscovery')).toBe('org.bluez.Error.InProgress');
    expect(await call(HCI, 'Adapter1', 'StopDiscovery')).toEqual([]);
    expect(await call(HCI, 'Adapter1', 'StopDiscovery')).toBe('org.bluez.Error.Failed');
    rig.service.power(false);
    expect(await call(HCI, 'Adapter1', 'StartDiscovery')).toBe('org.bluez.Error.NotReady');
  });

  test('a device: connected, its table read, its values; what it does not allow is refused', async () => {
    expect(await call(DEVICE, 'Device1', 'Connect')).toBe('org.freedesktop.DBus.Error.UnknownObject');
    await call(HCI, 'Adapter1', 'StartDiscovery');
    expect(await call(DEVICE, 'Device1', 'Connect')).toEqual([]);
    expect(await call(VALUE, 'GattCharacteristic1', 'ReadValue', 'a{sv}', [{}])).toEqual([Buffer.from([0x66, 0x08])]);
    const level = `${DEVICE}/service0017/char0018`;
    expect(await call(level, 'GattCharacteristic1', 'ReadValue', 'a{sv}', [{}])).toEqual([Buffer.from([87])]);
    expect(await call(level, 'GattCharacteristic1', 'StartNotify')).toBe('org.bluez.Error.NotSupported');
    expect(await call(DEVICE, 'Device1', 'Disconnect')).toEqual([]);
    expect(await call(VALUE, 'GattCharacteristic1', 'StartNotify')).toBe('org.freedesktop.DBus.Error.UnknownObject');
  });

  test('what a client has begun ends when it leaves', async () => {
    await call(HCI, 'Adapter1', 'StartDiscovery');
    await call(DEVICE, 'Device1', 'Connect');
    await call(VALUE, 'GattCharacteristic1', 'StartNotify');
    expect([rig.service.scanning, rig.service.subscriptions]).toEqual([1, 1]);
    expect(rig.service.characteristic(TEMPERATURE).path).toBe(VALUE);
    client.disconnect();
    while (rig.service.scanning + rig.service.subscriptions > 0) await rig.roundTrip();
  });

  test('the bus ends with the process that started it, even when that is killed', async () => {
    const script = `import { startPrivateBus } from ${JSON.stringify(join(ROOT, 'dist/simulators/private-bus.js'))};
      const bus = await startPrivateBus(); console.log(bus.socket); setInterval(() => {}, 1000);`;
    const child = spawn(process.execPath, ['--input-type=module', '-e', script], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    const [said] = (await once(child.stdout, 'data')) as [Buffer];
    const socket = said.toString().trim();
    expect(existsSync(socket)).toBe(true);
    const reached = (): Promise<boolean> =>
      new Promise((resolve) => {
        const trial = connect(socket, () => {
          trial.destroy();
          resolve(true);
        }).on('error', () => resolve(false));
      });
    expect(await reached()).toBe(true);
    child.kill('SIGKILL');
    while (await reached()) await rig.roundTrip();
    rmSync(dirname(socket), { recursive: true });
  });
});
