/** `stillwell capture` and `stillwell driver-test`: from a port to a recording, from a recording to a verdict. */
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { capture } from '../../src/commands/capture.ts';
import { driverTest } from '../../src/commands/driver-test.ts';
import type { AnyDriver } from '../../src/kit/driver.ts';
import { describeOnPtys, testPort } from '../links/ptys.ts';
import { ROOT } from '../repo/house.ts';

const PATIENT = { timeout: 10_000, interval: 5 };

let folder: string;
let file: string;
let said: string;
const out = { write: (text: string) => (said += text) };
const servers: Server[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'capture-'));
  file = join(folder, 'take');
  said = '';
});
afterEach(() => {
  for (const server of servers.splice(0)) server.close();
  rmSync(folder, { recursive: true, force: true });
});

/** A stop by hand. */
function handStop(): { stopped: Promise<void>; stop: () => void } {
  let stop = (): void => {};
  const stopped = new Promise<void>((resolve) => {
    stop = resolve;
  });
  return { stopped, stop: () => stop() };
}

async function serve(onClient: (client: Socket) => void): Promise<string> {
  const server = createServer(onClient);
  servers.push(server);
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return `127.0.0.1:${(server.address() as AddressInfo).port}`;
}

interface Notes {
  from: string;
  baud: number | null;
  startedUtc: string;
  chunks: [number, number][];
  bytes: number;
  ended: string;
}
const notes = (): Notes => JSON.parse(readFileSync(`${file}.json`, 'utf8')) as Notes;

test('a network address is recorded byte by byte until it is stopped', async () => {
  const sent = Buffer.from(Array.from({ length: 5_000 }, (_, i) => (i * 7) & 0xff));
  const address = await serve((client) => client.write(sent));
  const { stopped, stop } = handStop();
  const done = capture(address, { out: file }, out, stopped);
  await vi.waitFor(() => expect(readFileSync(`${file}.raw`).length).toBe(sent.length), PATIENT);
  stop();
  expect(await done).toBe(0);
  expect(readFileSync(`${file}.raw`).equals(sent)).toBe(true);
  const { from, baud, chunks, bytes, ended, startedUtc } = notes();
  expect([from, baud, bytes, ended]).toEqual([`tcp ${address}`, null, 5_000, 'stopped']);
  expect(chunks.reduce((sum, [, count]) => sum + count, 0)).toBe(5_000);
  expect(chunks.every(([us], i) => us >= (chunks[i - 1]?.[0] ?? 0))).toBe(true);
  expect(Number.isNaN(Date.parse(startedUtc))).toBe(false);
});

test('lines are shown as they come, and no byte of a device steers the terminal', async () => {
  const address = await serve((client) => client.end('x\nT=20.5\r\n\x1b[2J\x9b\xff\n'));
  expect(await capture(address, { out: file }, out, new Promise(() => {}))).toBe(1);
  expect(said).toContain('(first-partial, 1 byte) x\nT=20.5\n\\x1b[2J');
  expect(said).not.toMatch(/[^\x20-\x7e\n]/);
  expect(said).toContain('The other side closed the connection.');
  expect(notes().ended).toBe('remote-closed');
});

test('it stops by itself after the seconds given', async () => {
  const address = await serve(() => {});
  expect(await capture(address, { out: file, seconds: 0.05 }, out, new Promise(() => {}))).toBe(0);
  expect(notes()).toMatchObject({ bytes: 0, ended: 'stopped', chunks: [] });
});

test('what stands there is never written over, and nothing is left behind by a port that does not open', async () => {
  const address = await serve(() => {});
  writeFileSync(`${file}.json`, 'mine');
  await expect(capture(address, { out: file }, out, new Promise(() => {}))).rejects.toMatchObject({
    code: 'capture-failed',
    detail: expect.stringContaining('EEXIST'),
  });
  expect(readFileSync(`${file}.json`, 'utf8')).toBe('mine');
  for (const port of ['/dev/null', '/dev/nothing-there', join(ROOT, 'package.json')]) {
    const other = { out: join(folder, 'other'), baud: 9600 };
    await expect(capture(port, other, out, new Promise(() => {}))).rejects.toMatchObject({ code: 'capture-failed' });
  }
  await expect(capture('/dev/ttyUSB0', { out: file }, out, new Promise(() => {}))).rejects.toMatchObject({
    detail: expect.stringContaining('--baud'),
  });
  for (const seconds of [0, -1, Number.NaN]) {
    await expect(capture(address, { out: file, seconds }, out, new Promise(() => {}))).rejects.toMatchObject({
      detail: expect.stringContaining('--seconds'),
    });
  }
  expect(existsSync(join(folder, 'other.raw'))).toBe(false);
});

describeOnPtys('a recording of a port', () => {
  test('is what the port sent, and its driver passes the whole suite on it', async () => {
    const port = await testPort();
    try {
      const raw = readFileSync(join(ROOT, 'drivers/columns/recording.raw'));
      const { stopped, stop } = handStop();
      const done = capture(port.path, { out: file, baud: 115_200 }, out, stopped);
      await vi.waitFor(() => expect(said).toContain('recording'), PATIENT);
      await port.pty.write(raw);
      await vi.waitFor(() => expect(readFileSync(`${file}.raw`).length).toBe(raw.length), PATIENT);
      stop();
      expect(await done).toBe(0);
      expect(readFileSync(`${file}.raw`).equals(raw)).toBe(true);
      expect(notes()).toMatchObject({ baud: 115_200, from: `serial port ${port.path}` });

      const settings = join(folder, 'settings.yaml');
      writeFileSync(settings, 'separator: ";"\ncolumns: [_, level, _, _]\n');
      said = '';
      expect([await driverTest('columns', `${file}.raw`, { options: settings }, out), said]).toEqual([0, said]);
      expect(said).toMatch(/^ {2}level: \d+ values from 53\.91 to 347\.13$/m);
      expect(said).toMatch(/^columns passes all \d+\.$/m);
      expect(said).not.toContain('ok    recording');
    } finally {
      await port.dispose();
    }
  });

  test('ends with the cable, and says so', async () => {
    const port = await testPort();
    const done = capture(port.path, { out: file, baud: 115_200 }, out, new Promise(() => {}));
    await vi.waitFor(() => expect(said).toContain('recording'), PATIENT);
    await port.send('T=20.5\nT=2');
    await vi.waitFor(() => expect(said).toContain('first-partial'), PATIENT);
    await port.dispose();
    expect(await done).toBe(1);
    expect(said).toContain('Unplugged.');
    expect(notes()).toMatchObject({ bytes: 10, ended: 'unplugged' });
  });
});

test("a driver's own recording states what must come out, and that is held too", async () => {
  expect([await driverTest('columns', join(ROOT, 'drivers/columns/recording'), {}, out), said]).toEqual([0, said]);
  expect(said).toMatch(/^ok {4}recording {2,}the/m);
});

test('a driver that throws fails by name, exit code 1', async () => {
  const columns = drivers.columns as AnyDriver;
  const faulty: AnyDriver = {
    ...columns,
    // throws on a byte that never comes from a good board
    decode(frame, state, options) {
      if (frame.bytes.includes(0x00)) throw new Error('no zero here');
      return columns.decode(frame, state, options);
    },
  };
  const code = await driverTest('columns', join(ROOT, 'drivers/columns/recording.raw'), {}, out, { columns: faulty });
  expect(code).toBe(1);
  expect(said).toMatch(/^FAIL {2}noise {2,}.*\n {6}.*no zero here/m);
  expect(said).toMatch(/^columns fails \d+ of \d+\.$/m);
});

test('an unknown driver, a missing recording and settings that do not fit are told', async () => {
  const recording = join(ROOT, 'drivers/columns/recording');
  const told = (detail: string) => ({ code: 'recording-unreadable', detail: expect.stringContaining(detail) });
  await expect(driverTest('constructor', recording, {}, out)).rejects.toMatchObject(told('no driver constructor'));
  await expect(driverTest('columns', join(folder, 'none'), {}, out)).rejects.toMatchObject(told('ENOENT'));
  const settings = join(folder, 'settings.yaml');
  writeFileSync(settings, 'colums: [level]\n');
  await expect(driverTest('columns', recording, { options: settings }, out)).rejects.toMatchObject(
    told('settings of columns'),
  );
  writeFileSync(settings, 'columns: [level\n');
  await expect(driverTest('columns', recording, { options: settings }, out)).rejects.toMatchObject({
    code: 'recording-unreadable',
    where: settings,
  });
});
