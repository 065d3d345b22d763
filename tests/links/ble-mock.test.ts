/** The same link against a Bluetooth service that others wrote: the BlueZ template of python3-dbusmock. */
import { type ChildProcess, spawn } from 'node:child_process';
import { Message, type MessageBus, sessionBus, Variant } from '@jellybrick/dbus-next';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type PrivateBus, startPrivateBus } from '../../simulators/private-bus.ts';
import { BLE_LIMITS, bleDoor } from '../../src/links/ble.ts';
import { bluez } from '../../src/links/bluez.ts';
import { realClock } from '../../src/links/clock.ts';
import type { Door } from '../../src/links/contract.ts';
import { describeWithDbusmock, MOCK_PYTHON } from '../simulators/needs-dbus.ts';
import { byAddress, notified } from './ble-rig.ts';
import { type Heard, listener } from './listener.ts';

const ADDRESS = '00:00:5E:00:53:01';
const DEVICE = '/org/bluez/hci0/dev_00_00_5E_00_53_01';
const SERVICE = `${DEVICE}/service0010`;
const VALUE = `${SERVICE}/char0011`;
const MOCK = 'org.freedesktop.DBus.Mock';
const RECONNECTS = 200;
const uuid = (short: string) => `0000${short}-0000-1000-8000-00805f9b34fb`;
const string = (value: string) => new Variant('s', value);

describeWithDbusmock('a Bluetooth link to the mock of python3-dbusmock', () => {
  let bus: PrivateBus;
  let mock: ChildProcess;
  let hand: MessageBus;
  let door: Door;

  const tell = async (path: string, of: string, member: string, signature: string, body: unknown[]): Promise<void> => {
    await hand.call(new Message({ destination: 'org.bluez', path, interface: of, member, signature, body }));
  };
  const update = (path: string, of: string, properties: Record<string, Variant>) =>
    tell(path, MOCK, 'UpdateProperties', 'sa{sv}', [of, properties]);
  const value = (...bytes: number[]) =>
    update(VALUE, 'org.bluez.GattCharacteristic1', { Value: new Variant('ay', Buffer.from(bytes)) });
  const text = (heard: Heard) => heard.text;

  beforeEach(async () => {
    bus = await startPrivateBus();
    mock = spawn(MOCK_PYTHON, ['-m', 'dbusmock', '--template', 'bluez5', '--system'], {
      env: { ...process.env, DBUS_SYSTEM_BUS_ADDRESS: bus.address },
      stdio: 'ignore',
    });
    hand = sessionBus({ busAddress: bus.address });
    await nameOwned(hand);
    await tell('/org/bluez', 'org.bluez.Mock', 'AddAdapter', 'ss', ['hci0', 'mock']);
    await tell('/org/bluez', 'org.bluez.Mock', 'AddDevice', 'sss', ['hci0', ADDRESS, 'mocked probe']);
    await tell('/', MOCK, 'AddObject', 'ssa{sv}a(ssss)', [
      SERVICE,
      'org.bluez.GattService1',
      { UUID: string(uuid('181a')), Primary: new Variant('b', true) },
      [],
    ]);
    await tell('/', MOCK, 'AddObject', 'ssa{sv}a(ssss)', [
      VALUE,
      'org.bluez.GattCharacteristic1',
      {
        UUID: string(uuid('2a6e')),
        Flags: new Variant('as', ['read', 'notify']),
        Value: new Variant('ay', Buffer.alloc(0)),
      },
      [
        ['ReadValue', 'a{sv}', 'ay', 'ret = dbus.ByteArray(b"\\x66\\x08")'],
        ['StartNotify', '', '', ''],
        ['StopNotify', '', '', ''],
      ],
    ]);
    await update(DEVICE, 'org.bluez.Device1', { ServicesResolved: new Variant('b', true) });
    door = bleDoor({
      link: { kind: 'ble', find: byAddress(ADDRESS), adapter: 'hci0', take: notified('2a6e') },
      clock: realClock(),
      stack: bluez(bus.address),
      // the mock never advertises: it is connected to as a device that is known and keeps silent
      limits: { ...BLE_LIMITS, scanUs: 20_000 },
    });
  }, 20_000);
  afterEach(async () => {
    hand.disconnect();
    const ended = new Promise((resolve) => mock.once('exit', resolve));
    mock.kill();
    await ended;
    await bus.stop();
  });

  test('its notifications come as frames, and the end of the connection is noticed', async () => {
    const heard = listener();
    const connection = await door.open(heard);
    await value(0x66, 0x08);
    await value(0xf3, 0xfd);
    await expect.poll(() => text(heard), { interval: 5 }).toBe('\n2a6e 6608\n2a6e f3fd\n');
    await update(DEVICE, 'org.bluez.Device1', { Connected: new Variant('b', false) });
    await expect.poll(() => heard.ends.map(({ reason }) => reason), { interval: 5 }).toEqual(['link-lost']);
    await connection.close();
  });

  test('it is read where it is asked to be', async () => {
    const reading = bleDoor({
      link: {
        kind: 'ble',
        find: byAddress(ADDRESS),
        adapter: null,
        take: { kind: 'values', notify: [], read: ['2a6e'], everyUs: 1_000_000 },
      },
      clock: realClock(),
      stack: bluez(bus.address),
      limits: { ...BLE_LIMITS, scanUs: 20_000 },
    });
    const heard = listener();
    const connection = await reading.open(heard);
    await expect.poll(() => text(heard), { interval: 5 }).toBe('\n2a6e 6608\n');
    await connection.close();
  });

  test(`B5: in ${RECONNECTS} reconnects each notification is one frame`, async () => {
    for (let round = 0; round < RECONNECTS; round++) {
      const heard = listener();
      const connection = await door.open(heard);
      await value(round, 0);
      const expected = `\n2a6e ${round.toString(16).padStart(2, '0')}00\n`;
      await expect.poll(() => text(heard), { interval: 2 }).toBe(expected);
      await connection.close();
      expect(text(heard)).toBe(expected);
      // the mock forgets that the table was read, as BlueZ does only for devices that it does not know any more
      await update(DEVICE, 'org.bluez.Device1', { ServicesResolved: new Variant('b', true) });
    }
  }, 120_000);
});

/** Settles when the mock has taken the name. */
async function nameOwned(hand: MessageBus): Promise<void> {
  const toBus = (member: string, body: unknown[]) =>
    hand.call(
      new Message({
        destination: 'org.freedesktop.DBus',
        path: '/org/freedesktop/DBus',
        interface: 'org.freedesktop.DBus',
        member,
        signature: 's',
        body,
      }),
    );
  const owned = new Promise<void>((resolve) =>
    hand.on('message', ({ member, body }) => {
      if (member === 'NameOwnerChanged' && body[0] === 'org.bluez' && body[2] !== '') resolve();
    }),
  );
  await toBus('AddMatch', ["type='signal',member='NameOwnerChanged',arg0='org.bluez'"]);
  const reply = await toBus('NameHasOwner', ['org.bluez']);
  if (reply?.body[0] !== true) await owned;
}
