/** Seeded faults in any order: nothing comes that was not sent, nothing twice, nothing out of order, and it recovers. */
import { expect, test } from 'vitest';
import { sig } from '../../simulators/ble-device.ts';
import { Random } from '../../simulators/random.ts';
import { describeWithDbus } from '../simulators/needs-dbus.ts';
import { bleRig, notified, TEMPERATURE } from './ble-rig.ts';
import { bleSession } from './ble-session.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 7);
const STEPS = 120;
const METHODS = ['StartDiscovery', 'Connect', 'StartNotify', 'Disconnect', 'SetDiscoveryFilter'];
const REFUSALS = [
  ['InProgress', 'Operation already in progress'],
  ['Failed', 'le-connection-abort-by-local'],
  ['NotReady', 'Resource Not Ready'],
  ['Failed', 'Operation failed with ATT error: 0x0e'],
] as const;

describeWithDbus(`Bluetooth in a storm of faults (seed ${SEED})`, () => {
  test('only what was sent comes, in order, and after the storm everything', { timeout: 120_000 }, async () => {
    const random = Random.of(SEED, 'storm');
    const rig = await bleRig();
    const { service, device } = rig;
    // what can be read as well would be, where subscribing is refused
    device.services = [{ uuid: sig('181a'), values: [{ uuid: TEMPERATURE, flags: ['notify'] }] }];
    const session = bleSession(rig, notified('2a6e'));
    let count = 0;
    const send = (): string => {
      count += 1;
      const value = Uint8Array.of(count & 0xff, count >> 8);
      device.send(TEMPERATURE, value);
      return `2a6e ${Buffer.from(value).toString('hex')}`;
    };
    const faults: readonly (() => Promise<void> | void)[] = [
      () => device.drop(),
      () => device.vanish(),
      () => device.appear(),
      () => service.power(false),
      () => service.power(true),
      () => service.unplugAdapter(),
      () => service.plugAdapter(),
      () => service.changeTable(device),
      () => service.stop(),
      async () => {
        if (!service.running) await service.start();
      },
      () => void service.hangs.add(METHODS[random.integer(0, METHODS.length - 1)] as string),
      () => service.hangs.clear(),
      () => {
        const [name, text] = REFUSALS[random.integer(0, REFUSALS.length - 1)] as (typeof REFUSALS)[number];
        const method = METHODS[random.integer(0, METHODS.length - 1)] as string;
        service.refusals.set(method, { name, text, times: random.integer(1, 3) });
      },
    ];
    const repair = async (): Promise<void> => {
      service.hangs.clear();
      service.refusals.clear();
      if (!service.running) await service.start();
      service.plugAdapter();
      service.power(true);
      device.appear();
      await session.untilLink('open');
    };
    for (let step = 0; step < STEPS; step++) {
      for (let sent = random.integer(0, 3); sent > 0; sent--) send();
      await faults[random.integer(0, faults.length - 1)]?.();
      await session.pass(random.integer(0, 4_000_000));
      if (random.chance(0.3)) await repair();
    }
    await repair();
    const last = [send(), send(), send()];
    await session.until(() => session.frames.at(-1) === last[2]);
    expect(session.frames.slice(-3)).toEqual(last);
    const numbers = session.frames.map((frame) => Buffer.from(frame.slice(5), 'hex').readUInt16LE());
    expect(numbers).toEqual([...new Set(numbers)].sort((a, b) => a - b));
    expect(numbers.length).toBeGreaterThan(30);
    expect(session.changes.filter(({ state }) => state === 'open').length).toBeGreaterThan(5);
    await session.stop();
    expect(session.clock.nextUs()).toBeNull();
    while ((await rig.clients()) > 0) await rig.roundTrip();
    await rig.dispose();
  });
});
