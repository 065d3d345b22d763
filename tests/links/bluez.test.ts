/** Where Bluetooth is not there, or not for us: it is said, nothing ends the process, nothing is left open. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type Server } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DBusError } from '@jellybrick/dbus-next';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { FakeBluez } from '../../simulators/fake-bluez.ts';
import { type PrivateBus, startPrivateBus } from '../../simulators/private-bus.ts';
import { bleDoor } from '../../src/links/ble.ts';
import { bluez } from '../../src/links/bluez.ts';
import { faultOf } from '../../src/links/bluez-errors.ts';
import { virtualClock } from '../../src/links/clock.ts';
import { LinkFault } from '../../src/links/contract.ts';
import { describeWithDbus } from '../simulators/needs-dbus.ts';
import { byAddress, climateProbe, notified } from './ble-rig.ts';
import { listener } from './listener.ts';
import { runFor } from './virtual-time.ts';

const door = (address: string, adapter: string | null = null, clock = virtualClock()) =>
  bleDoor({
    link: { kind: 'ble', find: byAddress(), adapter, take: notified('2a6e') },
    clock,
    stack: bluez(address),
  });

async function faultAt(address: string, adapter?: string): Promise<LinkFault> {
  const error: unknown = await door(address, adapter)
    .open(listener())
    .then(
      () => null,
      (thrown: unknown) => thrown,
    );
  expect(error).toBeInstanceOf(LinkFault);
  return error as LinkFault;
}

describe('without a bus', () => {
  let dir: string;
  let server: Server | null = null;
  beforeEach(() => {
    dir = mkdtempSync(join(tmpdir(), 'stillwell-no-bus-'));
  });
  afterEach(() => {
    server?.close();
    server = null;
    rmSync(dir, { recursive: true });
  });

  test('no socket', async () => {
    const { reason, message } = await faultAt(`unix:path=${dir}/none`);
    expect([reason, message]).toEqual([
      'no-bluetooth',
      `there is no system bus at ${dir}/none: install dbus and bluez; give a container /run/dbus`,
    ]);
  });

  test('a socket that nobody listens at', async () => {
    writeFileSync(join(dir, 'dead'), '');
    expect((await faultAt(`unix:path=${dir}/dead`)).reason).toBe('no-bluetooth');
  });

  test('a place that is none', async () => {
    expect((await faultAt('nonsense')).reason).toBe('no-bluetooth');
  });

  test('one that takes calls and never answers, and one that hangs up', async () => {
    const path = join(dir, 'silent');
    let talking = 0;
    const ended = new Promise<void>((resolve) => {
      server = createServer((socket) => {
        talking += 1;
        socket.on('close', () => resolve());
        socket.resume();
      }).listen(path);
    });
    await new Promise((resolve) => server?.once('listening', resolve));
    const clock = virtualClock();
    const opening = door(`unix:path=${path}`, null, clock)
      .open(listener())
      .catch((error: unknown) => error);
    while (talking === 0) await new Promise((resolve) => setImmediate(resolve));
    await runFor(clock, 5_000_000);
    expect(await opening).toMatchObject({ reason: 'timed-out' });
    await ended;
    expect(clock.nextUs()).toBeNull();

    server?.removeAllListeners('connection').on('connection', (socket) => socket.end());
    expect((await faultAt(`unix:path=${path}`)).reason).toBe('no-bluetooth');
  });
});

describeWithDbus('on a bus', () => {
  let bus: PrivateBus;
  let service: FakeBluez | null = null;
  afterEach(async () => {
    service?.stop();
    service = null;
    await bus.stop();
  });
  const withService = async (before: (service: FakeBluez) => void = () => {}) => {
    bus = await startPrivateBus();
    service = new FakeBluez(bus.address);
    before(service);
    await service.start();
    service.place(climateProbe());
  };

  test('without a Bluetooth service', async () => {
    bus = await startPrivateBus();
    const { reason, message } = await faultAt(bus.address);
    expect(reason).toBe('no-bluetooth');
    expect(message).toContain('systemctl enable --now bluetooth');
  });

  test('not permitted', async () => {
    bus = await startPrivateBus('<deny send_destination="org.bluez"/>');
    service = new FakeBluez(bus.address);
    await service.start();
    const { reason, message } = await faultAt(bus.address);
    expect(reason).toBe('forbidden');
    expect(message).toContain('join the group bluetooth');
  });

  test('without an adapter, with another one, and with one that is off', async () => {
    await withService((one) => one.unplugAdapter());
    expect(await faultAt(bus.address)).toMatchObject({
      reason: 'no-bluetooth',
      message: 'no Bluetooth adapter: plug one in',
    });
    service?.plugAdapter();
    expect(await faultAt(bus.address, 'hci7')).toMatchObject({ message: 'no adapter hci7, but hci0' });
    service?.power(false);
    expect(await faultAt(bus.address)).toMatchObject({ reason: 'radio-off' });
  });

  test('the bus goes in the middle of a connection', async () => {
    await withService();
    const heard = listener();
    const clock = virtualClock();
    const connection = await door(bus.address, null, clock).open(heard);
    clock.advanceTo(0);
    await bus.stop();
    while (heard.ends.length === 0) await new Promise((resolve) => setImmediate(resolve));
    expect(heard.ends.map(({ reason }) => reason)).toEqual(['no-bluetooth']);
    const closing = connection.close();
    await runFor(clock, 2_000_000);
    await closing;
    expect(heard.ends).toHaveLength(1);
    expect(clock.nextUs()).toBeNull();
  });
});

test.each([
  ['org.bluez.Error.NotReady', '', 'radio-off'],
  ['org.bluez.Error.InProgress', 'Operation already in progress', 'busy'],
  ['org.bluez.Error.NotPermitted', 'Notify acquired', 'forbidden'],
  ['org.bluez.Error.Failed', 'le-connection-abort-by-local', 'link-lost'],
  ['org.bluez.Error.Failed', 'Operation failed with ATT error: 0x0e', 'io-error'],
  ['org.bluez.Error.Failed', 'Not enough encryption', 'forbidden'],
  ['org.bluez.Error.Failed', 'Host is down', 'not-in-range'],
  ['org.freedesktop.DBus.Error.AccessDenied', 'Sender is not authorized', 'forbidden'],
  ['org.freedesktop.DBus.Error.UnknownObject', '', 'link-lost'],
  ['org.freedesktop.DBus.Error.NoReply', '', 'timed-out'],
  ['org.bluez.Error.SomethingNew', 'never heard of', 'io-error'],
])('%s (%s) is %s, and the words of the system stay', (type, text, reason) => {
  const fault = faultOf(new DBusError(type, text), 'Connect');
  expect(fault.reason).toBe(reason);
  expect(fault.message).toContain(type);
  expect(fault.message).toContain(text);
});
