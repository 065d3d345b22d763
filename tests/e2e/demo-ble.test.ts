/** The demonstration with its probe over Bluetooth LE: through a real message bus, out of range and back, replayed. */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { expect, test } from 'vitest';
import { ROOT } from '../repo/house.ts';
import { describeWithDbus } from '../simulators/needs-dbus.ts';
import { stillwell } from '../support/cli.ts';
import { Follower } from '../support/follower.ts';

const buses = (): string[] => readdirSync(tmpdir()).filter((name) => name.startsWith('stillwell-bus-'));

describeWithDbus('the demonstration over Bluetooth', () => {
  test('its probe is heard, lost and heard again, it comes to a reading, and leaves nothing behind', {
    timeout: 170_000,
  }, async () => {
    const keep = mkdtempSync(join(tmpdir(), 'stillwell-e2e-ble-'));
    const before = buses();
    const demo = stillwell('demo', '--instruments', 'ble', '--port', '0', '--keep', keep);
    const [url] = (await demo.says(/http:\S+/)) as unknown as [string];
    const own = buses().filter((name) => !before.includes(name));
    const follower = new Follower(url);
    const states = (): string[] =>
      follower.events.flatMap(({ outcome }) =>
        outcome.kind === 'alarm' ? [`${outcome.alarm} ${outcome.source} ${outcome.state}`] : [],
      );
    await follower.until('a temperature', () => follower.live?.channels.temperature?.quality === 'good');
    await follower.until('the probe out of range', () =>
      states().some((state) => state === 'instrument-lost probe active'),
    );
    await follower.until('the probe back', () => states().some((state) => state === 'instrument-lost probe returned'));
    const { outcome } = await follower.until('a reading', () =>
      follower.events.find((event) => event.outcome.kind === 'reading'),
    );
    if (outcome.kind !== 'reading') throw new Error('no reading');
    expect(outcome.reading.U95Mm).toBeLessThan(1);
    follower.close();
    expect(await demo.stop()).toBe(0);
    expect(own).not.toEqual([]);
    expect(own.filter((name) => existsSync(join(tmpdir(), name)))).toEqual([]);
    const replay = stillwell('replay', join(keep, 'demo.journal'));
    expect(await replay.ended, replay.output()).toBe(0);
    rmSync(keep, { recursive: true, force: true });
  });
});

test('without dbus-daemon it says what is missing', () => {
  const { status, stderr } = spawnSync(
    process.execPath,
    [join(ROOT, 'dist/src/main.js'), 'demo', '--instruments', 'ble', '--port', '0'],
    {
      encoding: 'utf8',
      env: { PATH: dirname(process.execPath) === '/usr/bin' ? '/nowhere' : dirname(process.execPath) },
    },
  );
  expect(status).toBe(1);
  expect(stderr).toContain('(dbus-daemon)');
  expect(stderr).toContain('apt install dbus');
});
