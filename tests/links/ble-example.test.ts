/** The example bench in the docs, over the simulated probe that it is written for: bench file, link, driver. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { sig } from '../../simulators/ble-device.ts';
import { BRINE_LEVEL, CELLAR_ADDRESS, cellarDevice, cellarProbe } from '../../simulators/cellar-probe.ts';
import { Random } from '../../simulators/random.ts';
import { loadBench } from '../../src/config/load.ts';
import type { Decoded } from '../../src/kit/driver.ts';
import { ROOT } from '../repo/house.ts';
import { describeWithDbus } from '../simulators/needs-dbus.ts';
import { bleRig } from './ble-rig.ts';
import { bleSession } from './ble-session.ts';
import { bytes, latin1 } from './listener.ts';

const FILE = join(ROOT, 'docs/examples/cellar.yaml');
const loaded = loadBench(readFileSync(FILE, 'utf8'), FILE, drivers);

test('the bench of the cheese cellar has no mistake', () => {
  expect(loaded.ok ? [] : loaded.mistakes).toEqual([]);
});

describeWithDbus('the bench of the cheese cellar', () => {
  test('its values are those that the probe has sent', async () => {
    const instrument = loaded.ok ? loaded.bench.instruments[0] : undefined;
    if (instrument?.link.kind !== 'ble') throw new Error('the example has no Bluetooth link');
    const { link, driver: name, options, intervalUs } = instrument;
    expect(link.find.address).toBe(CELLAR_ADDRESS);
    const rig = await bleRig(cellarDevice());
    const session = bleSession(rig, link.take, link.find, intervalUs);
    await session.untilLink('open');
    const full = { '2a6e': sig('2a6e'), [BRINE_LEVEL]: BRINE_LEVEL } as Readonly<Record<string, string>>;
    const sent = cellarProbe(Random.of(8, 'example'), 60).flatMap((line) => {
      const [uuid = '', hex = ''] = latin1(line.bytes).trim().split(' ');
      if (line.values === null || full[uuid] === undefined) return [];
      rig.device.send(full[uuid], Buffer.from(hex, 'hex'));
      return [line.values];
    });
    expect(sent.length).toBeGreaterThan(15);
    const driver = drivers[name] as (typeof drivers)[string];
    const decoded = (): (readonly Decoded[])[] =>
      session.frames.map((frame, index) => {
        const one = { bytes: bytes(frame), seq: index + 1, tUs: index, request: 0 };
        return driver.decode(one, driver.init(options), options).items;
      });
    await session.until(() => session.frames.length > sent.length);
    const values = decoded().map((items) =>
      Object.fromEntries(items.flatMap((item) => (item.kind === 'signal' ? [[item.signal, item.value]] : []))),
    );
    // the battery is read by itself
    expect(values.filter((one) => one.battery === undefined)).toEqual(sent);
    expect(values.filter((one) => one.battery !== undefined)).toEqual([{ battery: 97 }]);
    await session.stop();
    await rig.dispose();
  });
});
