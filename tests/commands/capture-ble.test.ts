/** A Bluetooth device is recorded as any other, and its recording goes to a driver. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type CaptureOptions, capture } from '../../src/commands/capture.ts';
import { ADDRESS, type BleRig, bleRig, TEMPERATURE, TEXT } from '../links/ble-rig.ts';
import { describeWithDbus } from '../simulators/needs-dbus.ts';

const out = { write: () => true };

describeWithDbus('recording over Bluetooth', () => {
  let rig: BleRig;
  let file: string;
  let folder: string;
  const systemBus = process.env.DBUS_SYSTEM_BUS_ADDRESS;
  beforeEach(async () => {
    rig = await bleRig();
    process.env.DBUS_SYSTEM_BUS_ADDRESS = rig.bus.address;
    folder = mkdtempSync(join(tmpdir(), 'capture-ble-'));
    file = join(folder, 'take');
  });
  afterEach(async () => {
    if (systemBus === undefined) delete process.env.DBUS_SYSTEM_BUS_ADDRESS;
    else process.env.DBUS_SYSTEM_BUS_ADDRESS = systemBus;
    await rig.dispose();
    rmSync(folder, { recursive: true });
  });

  const recorded = async (options: Partial<CaptureOptions>, bytes: number, send: () => void): Promise<string> => {
    let stop = (): void => {};
    const stopped = new Promise<void>((resolve) => {
      stop = resolve;
    });
    const done = capture(ADDRESS.toLowerCase(), { out: file, ...options }, out, stopped);
    const size = (): number => {
      try {
        return readFileSync(`${file}.raw`).length;
      } catch {
        return -1;
      }
    };
    while (size() < 0) await rig.roundTrip();
    send();
    while (size() < bytes) await rig.roundTrip();
    stop();
    expect(await done).toBe(0);
    return readFileSync(`${file}.raw`, 'latin1');
  };

  test('values as lines', async () => {
    const text = '\n2a6e 6608\n2a6e f3fd\n';
    const raw = await recorded({ notify: ['2A6E'] }, text.length, () => {
      rig.device.send(TEMPERATURE, Uint8Array.of(0x66, 0x08));
      rig.device.send(TEMPERATURE, Uint8Array.of(0xf3, 0xfd));
    });
    expect(raw).toBe(text);
    expect(JSON.parse(readFileSync(`${file}.json`, 'utf8'))).toMatchObject({
      from: `Bluetooth ${ADDRESS}`,
      baud: null,
    });
  });

  test('text as it comes', async () => {
    const raw = await recorded({ text: TEXT.from }, 8, () => {
      rig.device.send(TEXT.from, Buffer.from('T=4'));
      rig.device.send(TEXT.from, Buffer.from('1.2\r\n'));
    });
    expect(raw).toBe('T=41.2\r\n');
  });
});

test.each([
  [{}, 'needs one of --notify, --text and --advertised'],
  [{ notify: ['2a6e'], advertised: true }, 'needs one of'],
  [{ notify: ['temp'] }, 'temp is no UUID'],
])('settings that make no sense are refused: %j', async (options, words) => {
  await expect(capture(ADDRESS, { out: 'never', ...options }, out, new Promise(() => {}))).rejects.toThrow(words);
});
