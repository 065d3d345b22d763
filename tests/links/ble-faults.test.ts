/** What Bluetooth does to those who use it, over the real D-Bus protocol: each row of the catalogue of failures. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { BleDevice, sig } from '../../simulators/ble-device.ts';
import { FakeBluez } from '../../simulators/fake-bluez.ts';
import { describeWithDbus } from '../simulators/needs-dbus.ts';
import {
  ADDRESS,
  BATTERY,
  type BleRig,
  bleRig,
  byAddress,
  climateProbe,
  HUMIDITY,
  notified,
  TEMPERATURE,
  TEXT,
} from './ble-rig.ts';
import { type BleSession, bleSession } from './ble-session.ts';

const RECONNECTS = 200;
const le16 = (value: number): Uint8Array => Uint8Array.of(value & 0xff, value >> 8);

describeWithDbus('a Bluetooth link in trouble', () => {
  let rig: BleRig;
  const sessions: BleSession[] = [];
  const session = (
    ...[take, find, intervalUs]: [Parameters<typeof bleSession>[1], Parameters<typeof bleSession>[2]?, number?]
  ) => {
    const one = bleSession(rig, take, find, intervalUs);
    sessions.push(one);
    return one;
  };
  beforeEach(async () => {
    rig = await bleRig();
  });
  afterEach(async () => {
    rig.service.hangs.clear();
    for (const one of sessions.splice(0)) {
      await one.stop();
      expect(one.clock.nextUs()).toBeNull(); // no timer is left behind, and no connection
    }
    while ((await rig.clients()) > 0) await rig.roundTrip();
    await rig.dispose();
  });

  test('a notification is one frame: its name and its bytes', async () => {
    const link = session(notified('2a6e', '2a6f'));
    await link.untilLink('open');
    rig.device.send(TEMPERATURE, le16(0x0866));
    rig.device.send(HUMIDITY, le16(0x13a1));
    rig.device.send(TEMPERATURE, le16(0x0866));
    await link.until(() => link.frames.length >= 3);
    expect(link.frames).toEqual(['2a6e 6608', '2a6f a113', '2a6e 6608']);
    expect(link.events.filter(({ kind }) => kind === 'discard')).toEqual([]);
  });

  test('B1: connected but silent is noticed, and the link opened anew', async () => {
    const link = session(notified('2a6e'));
    await link.untilLink('open');
    rig.device.send(TEMPERATURE, le16(1));
    await link.until(() => link.frames.length === 1);
    const { detail } = await link.untilLink('closed', 'mute');
    expect(detail).toMatch(/no byte for/);
    await link.untilLink('open');
    rig.device.send(TEMPERATURE, le16(2));
    await link.until(() => link.frames.length === 2);
    expect(rig.service.calls.Disconnect).toBeGreaterThanOrEqual(1);
  });

  test.each(['SetDiscoveryFilter', 'StartDiscovery', 'StopDiscovery', 'Connect', 'StartNotify', 'Disconnect'])(
    'B2: %s never answers: the link gives up within 30 s, leaves nothing behind and recovers',
    async (name) => {
      rig.service.hangs.add(name);
      const link = session(notified('2a6e'));
      await link.until(() => (rig.service.calls[name] ?? 0) > 0 || link.last?.state === 'open');
      if (name === 'Disconnect') {
        await link.untilLink('open');
        rig.device.send(TEMPERATURE, le16(1));
        await link.until(() => link.frames.length === 1);
        await link.untilLink('closed', 'mute');
      } else if (name !== 'StopDiscovery') {
        const { reason } = await link.untilLink('closed');
        expect(reason).toBe('timed-out');
        expect(link.clock.nowUs()).toBeLessThan(30_000_000);
      }
      rig.service.hangs.clear();
      await link.untilLink('open');
      rig.device.send(TEMPERATURE, le16(2));
      await link.until(() => link.frames.includes('2a6e 0200'));
      expect(rig.service.subscriptions).toBe(1);
    },
  );

  test('B2: a read that never answers ends the connection', async () => {
    rig.service.hangs.add('ReadValue');
    const link = session({ kind: 'values', notify: [], read: ['2a19'], everyUs: 1_000_000 });
    const { reason, detail } = await link.untilLink('closed');
    expect([reason, detail]).toEqual(['timed-out', 'reading 2a19: no answer within 5 s']);
  });

  test('B3: other handles after a change of program: read by UUID, it is right', async () => {
    const link = session(notified('2a6e'));
    for (const firstHandle of [0x10, 0x40, 0x100]) {
      rig.device.firstHandle = firstHandle;
      await link.untilLink('open');
      const before = link.frames.length;
      rig.device.send(TEMPERATURE, le16(firstHandle));
      await link.until(() => link.frames.length > before);
      expect(link.frames.at(-1)).toBe(`2a6e ${Buffer.from(le16(firstHandle)).toString('hex')}`);
      rig.device.drop();
      await link.untilLink('closed', 'link-lost');
    }
  });

  test('B3: the table changes in the middle of a connection: it is read anew', async () => {
    const link = session(notified('2a6e'));
    await link.untilLink('open');
    rig.device.firstHandle = 0x80;
    rig.service.changeTable(rig.device);
    expect((await link.untilLink('closed')).detail).toBe('the table of the device has changed');
    await link.untilLink('open');
    rig.device.send(TEMPERATURE, le16(7));
    await link.until(() => link.frames.includes('2a6e 0700'));
  });

  test('B3: a table that the system has kept from older firmware is forgotten once, and read anew', async () => {
    const services = rig.device.services;
    rig.service.keepsTables = true;
    rig.device.services = [{ uuid: sig('180f'), values: [{ uuid: BATTERY, flags: ['read'] }] }];
    const older = session({ kind: 'values', notify: [], read: ['2a19'], everyUs: 1_000_000 });
    await older.untilLink('open');
    await older.stop();
    rig.device.services = services;
    const link = session(notified('2a6e'));
    const { detail } = await link.untilLink('closed', 'lacks-value');
    expect(detail).toBe('it has no characteristic 2a6e; it has 2a19');
    await link.untilLink('open');
    expect(rig.service.calls.RemoveDevice).toBe(1);
    rig.device.send(TEMPERATURE, le16(9));
    await link.until(() => link.frames.includes('2a6e 0900'));
  });

  test('B3: what the device really lacks is said, and the device is not forgotten again and again', async () => {
    const link = session(notified('2a6d'));
    const { detail } = await link.untilLink('closed', 'lacks-value');
    expect(detail).toContain('it has no characteristic 2a6d; it has 2a6e, 2a6f, 2a19');
    await link.pass(60_000_000);
    expect(rig.service.calls.Connect).toBeGreaterThan(10);
    expect(rig.service.calls.RemoveDevice).toBe(1);
  });

  test('B3: a device that is paired is never forgotten', async () => {
    rig.device.paired = true;
    const link = session(notified('2a6d'));
    await link.untilLink('closed', 'lacks-value');
    await link.pass(10_000_000);
    expect(rig.service.calls.RemoveDevice ?? 0).toBe(0);
  });

  test('B4: an attempt that somebody left half-way is cleared away, and the device connected within 60 s', async () => {
    rig.service.refusals.set('Connect', { name: 'InProgress', text: 'Operation already in progress', times: 1 });
    const link = session(notified('2a6e'));
    await link.untilLink('closed', 'busy');
    await link.untilLink('open');
    expect(link.clock.nowUs()).toBeLessThan(60_000_000);
    expect([rig.service.calls.Disconnect, rig.service.calls.RemoveDevice]).toEqual([1, 1]);
  });

  test(`B5: in ${RECONNECTS} reconnects each notification is one frame, and nothing piles up`, async () => {
    const link = session(notified('2a6e'));
    const sent: string[] = [];
    for (let round = 0; round < RECONNECTS; round++) {
      await link.untilLink('open');
      expect(rig.service.subscriptions).toBe(1);
      if (round % 20 === 0) expect(await rig.clients()).toBe(1);
      for (let each = 0; each < 3; each++) {
        const value = le16(3 * round + each);
        rig.device.send(TEMPERATURE, value);
        sent.push(`2a6e ${Buffer.from(value).toString('hex')}`);
      }
      await link.until(() => link.frames.length >= sent.length);
      rig.device.drop();
      await link.until(() => link.last?.state === 'closed');
      await link.until(() => link.clock.nextUs() !== null);
      link.clock.advanceTo(link.clock.nextUs() as number);
    }
    expect(link.frames).toEqual(sent);
    expect(link.changes.filter(({ state }) => state === 'open')).toHaveLength(RECONNECTS);
    await link.until(() => rig.service.subscriptions <= 1 && rig.service.scanning <= 1);
  }, 120_000);

  test('B5: what is read by others is no notification for a value that is read by us', async () => {
    const link = session({ kind: 'values', notify: [], read: ['2a6e'], everyUs: 1_000_000 });
    await link.untilLink('open');
    await link.until(() => link.frames.length === 1);
    await link.pass(2_500_000);
    expect(link.frames).toEqual(['2a6e 6608', '2a6e 6608', '2a6e 6608']);
  });

  test('B6: 50 operations at once go one after the other, in order', async () => {
    const door = rig.door({ kind: 'text', ...TEXT });
    const connection = await door.open({ onBytes: () => {}, onEnd: () => {} });
    await Promise.all(Array.from({ length: 50 }, (_, index) => connection.write(Uint8Array.of(index))));
    expect(rig.device.written.map(([byte]) => byte)).toEqual(Array.from({ length: 50 }, (_, index) => index));
    expect(rig.service.overlaps).toBe(0);
    await connection.close();
  });

  test('B7: a value sent in the moment of subscribing is not lost', async () => {
    rig.service.onSubscribed = (device, uuid) => device.send(uuid, le16(0x0123));
    const link = session(notified('2a6e', '2a6f'));
    await link.untilLink('open');
    await link.until(() => link.frames.length >= 2);
    expect(link.frames).toEqual(['2a6e 2301', '2a6f 2301']);
  });

  test('B8: a probe under a new address is known by its service data; another one under an old address is not it', async () => {
    rig.device.advertised = { ...rig.device.advertised, serviceData: { [sig('181a')]: Uint8Array.of(1, 7) } };
    const seven = { uuid: '181a', begins: '0107' };
    const link = session(notified('2a6e'), { ...byAddress(), address: null, serviceData: seven });
    await link.untilLink('open');
    rig.device.vanish();
    await link.untilLink('closed', 'link-lost');
    const moved = climateProbe('C0:FF:EE:00:00:99');
    moved.advertised = rig.device.advertised;
    rig.service.place(moved);
    await link.untilLink('open');
    moved.send(TEMPERATURE, le16(5));
    await link.until(() => link.frames.includes('2a6e 0500'));
    await link.stop();

    rig.device.advertised = { ...rig.device.advertised, serviceData: { [sig('181a')]: Uint8Array.of(1, 8) } };
    rig.device.appear();
    const strict = session(notified('2a6e'), { ...byAddress(), serviceData: seven });
    expect((await strict.untilLink('closed')).reason).toBe('other-device');
    expect(strict.frames).toEqual([]);
  });

  test('two devices that fit are not guessed between', async () => {
    const data = { [sig('181a')]: Uint8Array.of(1, 7) };
    const twin = climateProbe('C0:FF:EE:00:00:02');
    for (const one of [rig.device, twin]) one.advertised = { ...one.advertised, serviceData: data };
    rig.service.place(twin);
    const link = session(notified('2a6e'), {
      ...byAddress(),
      address: null,
      serviceData: { uuid: '181a', begins: '01' },
    });
    const { reason, detail } = await link.untilLink('closed');
    expect(reason).toBe('ambiguous');
    expect(detail).toContain(`${ADDRESS} and C0:FF:EE:00:00:02`);
  });

  test('B9: the adapter is unplugged, switched off and put back: each is said, and it goes on by itself', async () => {
    const link = session(notified('2a6e'));
    await link.untilLink('open');
    rig.service.unplugAdapter();
    await link.untilLink('closed', 'no-bluetooth');
    rig.service.plugAdapter();
    await link.untilLink('open');
    rig.service.power(false);
    await link.untilLink('closed');
    await link.untilLink('closed', 'radio-off');
    rig.service.power(true);
    await link.untilLink('open');
    rig.device.send(TEMPERATURE, le16(3));
    await link.until(() => link.frames.includes('2a6e 0300'));
  });

  test('B9: the Bluetooth service stops and is started anew', async () => {
    const link = session(notified('2a6e'));
    await link.untilLink('open');
    rig.service.stop();
    const { reason, detail } = await link.untilLink('closed');
    expect(reason).toBe('no-bluetooth');
    expect(detail).toContain('systemctl');
    await link.pass(5_000_000);
    const anew = new FakeBluez(rig.bus.address);
    await anew.start();
    anew.place(rig.device);
    await link.untilLink('open');
    rig.device.send(TEMPERATURE, le16(4));
    await link.until(() => link.frames.includes('2a6e 0400'));
    await link.stop();
    anew.stop();
  });

  test.each([
    ['NotSupported', 'Operation is not supported'],
    ['NotPermitted', 'Notify acquired'],
    ['InProgress', 'In Progress'],
  ])('B10: where subscribing is refused (%s), the value is read again and again', async (name, text) => {
    rig.service.refusals.set('StartNotify', { name, text, times: 1000 });
    const link = session(notified('2a6e'));
    await link.untilLink('open');
    for (const one of rig.device.services[0]?.values ?? []) one.value = le16(0x0870);
    await link.pass(1_000_000);
    expect(link.frames).toEqual(['2a6e 6608', '2a6e 7008']);
    await link.stop();
    const streamed = session({ kind: 'text', ...TEXT });
    expect((await streamed.untilLink('closed')).reason).toMatch(/^(forbidden|busy)$/);
  });

  test('B10: an older service that does not know every setting of a search is searched with all the same', async () => {
    rig.service.refusals.set('SetDiscoveryFilter', { name: 'InvalidArguments', text: 'Invalid arguments', times: 1 });
    const link = session(notified('2a6e'));
    await link.untilLink('open');
    expect(link.changes.map(({ state }) => state)).toEqual(['opening', 'open']);
    expect(rig.service.calls.SetDiscoveryFilter).toBe(2);
  });

  test('a value that another program on the bus makes up is not taken', async () => {
    const link = session(notified('2a6e'));
    await link.untilLink('open');
    await rig.forge(TEMPERATURE, le16(666));
    await rig.roundTrip();
    rig.device.send(TEMPERATURE, le16(1));
    await link.until(() => link.frames.length > 0);
    expect(link.frames).toEqual(['2a6e 0100']);
  });

  test('a device that wants to be paired says so', async () => {
    rig.service.refusals.set('ReadValue', { name: 'NotPermitted', text: 'Not paired', times: 1000 });
    rig.service.refusals.set('Connect', { name: 'AuthenticationFailed', text: '', times: 1 });
    const link = session({ kind: 'values', notify: [], read: ['2a19'], everyUs: 1_000_000 });
    const { reason, detail } = await link.untilLink('closed');
    expect(reason).toBe('forbidden');
    expect(detail).toContain('bluetoothctl pair');
    await link.pass(5_000_000);
    expect(link.frames).toEqual([]);
  });

  test('several characteristics of one UUID are told apart by their place', async () => {
    const twin = { uuid: TEMPERATURE, flags: ['read'] };
    rig.device.services = [
      {
        uuid: sig('181a'),
        values: [
          { ...twin, value: le16(1) },
          { ...twin, value: le16(2) },
        ],
      },
    ];
    const vague = session({ kind: 'values', notify: [], read: ['2a6e'], everyUs: 1_000_000 });
    expect((await vague.untilLink('closed', 'ambiguous')).detail).toContain('2a6e.1, 2a6e.2');
    await vague.stop();
    const link = session({ kind: 'values', notify: [], read: ['2a6e.2', '2a6e.1'], everyUs: 1_000_000 });
    await link.untilLink('open');
    await link.until(() => link.frames.length === 2);
    expect(link.frames[0]?.split(' ')[0]).toBe('2a6e.2');
  });

  test('what is advertised comes without a connection, and nothing that was only remembered', async () => {
    const beacon = new BleDevice('C0:FF:EE:00:00:05', { manufacturerData: { 65535: Uint8Array.of(1, 1) } });
    rig.service.remember(beacon);
    beacon.on = false;
    rig.service.place(beacon);
    const find = { ...byAddress(), address: null, manufacturerData: { company: 0xffff, begins: '01' } };
    const link = session({ kind: 'advertised' }, find);
    await link.untilLink('closed', 'not-in-range');
    expect(link.frames).toEqual([]);
    beacon.on = true;
    await link.untilLink('open');
    beacon.advertise({ manufacturerData: { 65535: Uint8Array.of(1, 2) } });
    await link.until(() => link.frames.includes('manufacturer-data/ffff 0102'));
    beacon.advertise({ manufacturerData: { 65535: Uint8Array.of(9, 2) } }); // another kind of message
    beacon.advertise({ manufacturerData: { 65535: Uint8Array.of(1, 3) } });
    await link.until(() => link.frames.includes('manufacturer-data/ffff 0103'));
    expect(link.frames).not.toContain('manufacturer-data/ffff 0902');
    expect(rig.service.calls.Connect ?? 0).toBe(0);
  });

  test('what is advertised under a new address goes on; two that take turns are not mixed', async () => {
    const made = (value: number) => ({ manufacturerData: { 65535: Uint8Array.of(7, value) } });
    const first = new BleDevice('C0:FF:EE:00:00:05', made(1));
    const second = new BleDevice('C0:FF:EE:00:00:06', made(2));
    second.on = false;
    rig.service.place(first);
    rig.service.place(second);
    const find = { ...byAddress(), address: null, manufacturerData: { company: 0xffff, begins: '07' } };
    const link = session({ kind: 'advertised' }, find);
    await link.untilLink('open');
    first.advertise(made(3));
    await link.until(() => link.frames.includes('manufacturer-data/ffff 0703'));
    second.appear();
    second.advertise(made(4));
    await link.until(() => link.frames.includes('manufacturer-data/ffff 0704'));
    expect(link.last?.state).toBe('open');
    first.advertise(made(5));
    const { reason, detail } = await link.untilLink('closed');
    expect([reason, detail]).toEqual([
      'ambiguous',
      'manufacturer data ffff 07 is advertised by C0:FF:EE:00:00:05 and C0:FF:EE:00:00:06: give the address',
    ]);
    expect(link.frames).not.toContain('manufacturer-data/ffff 0705');
  });
});
