import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { SerialPort } from 'serialport';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { PtyPort } from '../../simulators/pty.ts';
import { describeWithPtys } from './needs-ptys.ts';
import { Reader } from './reader.ts';

const bytes = (text: string) => Buffer.from(text, 'latin1');
const openFds = () => fs.readdirSync('/proc/self/fd').length;

describeWithPtys('a board on a pseudo-terminal', () => {
  let dir: string;
  let port: PtyPort;

  beforeEach(async () => {
    dir = fs.mkdtempSync(path.join(os.tmpdir(), 'pty-'));
    port = new PtyPort(path.join(dir, 'board.tty'));
    await port.plug();
  });
  afterEach(async () => {
    await port.unplug();
    fs.rmSync(dir, { recursive: true });
  });

  test('carries bytes both ways, all 256 of them unchanged', async () => {
    const heard: Buffer[] = [];
    const reader = await Reader.open(port.address);
    const all = Uint8Array.from({ length: 256 }, (_, i) => i);
    await port.write(all);
    await reader.until((text) => text.length === 256);
    expect(Buffer.from(reader.text, 'latin1').equals(Buffer.from(all))).toBe(true);

    const got = new Promise<void>((resolve) => {
      port.onData((chunk) => {
        heard.push(Buffer.from(chunk));
        if (Buffer.concat(heard).length >= 6) resolve();
      });
    });
    reader.send('zero\r\n');
    await got;
    expect(Buffer.concat(heard).toString()).toBe('zero\r\n');
    await reader.close();
  });

  test('tells that a serial port library has opened it, which then hears nothing older', async () => {
    await port.write(bytes('printed before anybody listened\n'));
    expect(port.unread()).toBe(32);
    let opened = 0;
    const first = new Promise<void>((resolve) =>
      port.onOpen(() => {
        opened += 1;
        resolve();
      }),
    );
    const serial = new SerialPort({ path: path.join(dir, 'board.tty'), baudRate: 115200, autoOpen: false });
    const heard = new Promise<string>((resolve) => serial.once('data', (chunk: Buffer) => resolve(chunk.toString())));
    await new Promise<void>((resolve, reject) => serial.open((error) => (error ? reject(error) : resolve())));
    await first;
    await port.write(bytes('fresh\n'));
    expect(await heard).toBe('fresh\n');
    expect(opened).toBe(1);
    await new Promise<void>((resolve) => serial.close(() => resolve()));
  });

  test('takes far more than a terminal holds without blocking, and delivers it in order to a slow starter', async () => {
    const text = Array.from({ length: 20_000 }, (_, i) => `line ${i}\n`).join('');
    let finished = false;
    const writing = port.write(bytes(text)).then(() => {
      finished = true;
    });
    await new Promise(setImmediate); // the event loop turns although nobody reads
    expect(finished).toBe(false);
    expect(port.unread()).toBeGreaterThan(100_000);
    const reader = await Reader.open(port.address);
    await writing;
    expect(await reader.until((got) => got.length === text.length)).toBe(text);
    expect(port.unread()).toBe(0);
    await reader.close();
  });

  test('keeps the order of writes', async () => {
    const reader = await Reader.open(port.address);
    const lines = Array.from({ length: 500 }, (_, i) => `n${i}\n`);
    await Promise.all(lines.map((line) => port.write(bytes(line))));
    expect(await reader.until((got) => got.length === lines.join('').length)).toBe(lines.join(''));
    await reader.close();
  });

  test('unplugged, is gone for its reader and from its path, and refuses writes', async () => {
    const reader = await Reader.open(port.address);
    await port.write(bytes('T=2'));
    await reader.until((text) => text === 'T=2');
    await port.unplug();
    await reader.end();
    await reader.close();
    expect(fs.readdirSync(dir)).toEqual([]);
    await expect(port.write(bytes('x'))).rejects.toThrow(/no cable/);
    await port.unplug(); // twice does no harm
  });

  test('plugged again, is at the same path with nothing left of before', async () => {
    const stuck = port.write(Buffer.alloc(200_000, 'x'));
    const refused = expect(stuck).rejects.toThrow(/unplugged/);
    await port.unplug();
    await refused;
    await port.plug();
    const reader = await Reader.open(port.address);
    await port.write(bytes('anew\n'));
    expect(await reader.until((text) => text.endsWith('\n'))).toBe('anew\n');
    await reader.close();
  });

  test('frees every descriptor over fifty replugs with a reader', async () => {
    const round = async () => {
      const reader = await Reader.open(port.address);
      await port.write(bytes('tick\n'));
      await reader.until((text) => text === 'tick\n');
      await port.unplug();
      await reader.end();
      await reader.close();
      await port.plug();
    };
    await round();
    const before = openFds();
    for (let i = 0; i < 50; i += 1) await round();
    expect(openFds()).toBe(before);
  });

  test('never replaces a file that is no symbolic link, and leaks nothing in refusing', async () => {
    const file = path.join(dir, 'precious');
    fs.writeFileSync(file, 'mine');
    const wrong = new PtyPort(file);
    const before = openFds();
    await expect(wrong.plug()).rejects.toThrow(/in the way/);
    expect(fs.readFileSync(file, 'utf8')).toBe('mine');
    expect(openFds()).toBe(before);
    expect(wrong.plugged).toBe(false);
  });

  test('cannot be plugged twice', async () => {
    await expect(port.plug()).rejects.toThrow(/already plugged/);
  });
});
