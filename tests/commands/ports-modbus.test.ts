/** `stillwell ports --modbus`: which slaves answer, and what is said where none can be asked. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { SlaveLine, SlaveServer } from '../../simulators/modbus-slave.ts';
import type { Port } from '../../simulators/port.ts';
import { PtyPort } from '../../simulators/pty.ts';
import { TcpPort } from '../../simulators/tcp-port.ts';
import { portsModbus, type ScanCommand } from '../../src/commands/ports-modbus.ts';
import { Marked, markOf } from '../drivers/modbus-line.ts';
import { describeWithPtys } from '../simulators/needs-ptys.ts';

const never = new Promise<void>(() => {});
const dir = mkdtempSync(join(tmpdir(), 'stillwell-scan-'));
let port: Port = new TcpPort();
afterEach(async () => {
  await port.unplug();
});

/** Slaves 3 and 5; the latter has no holding registers. */
const SLAVES = [new Marked(3), { number: 5, read: () => null }];

async function plug(fresh: Port, bus: { hear(bytes: Uint8Array): { bytes: Uint8Array }[] }): Promise<string> {
  port = fresh;
  port.onData((bytes) => {
    for (const reply of bus.hear(bytes)) void port.write(reply.bytes);
  });
  await port.plug();
  const { address } = port;
  return address.kind === 'tcp' ? `${address.host}:${address.port}` : address.path;
}

async function scan(command: ScanCommand, stopped = never): Promise<string> {
  let said = '';
  const code = await portsModbus(command, { write: (text) => (said += text) }, stopped, undefined, async () => []);
  expect(code).toBe(0);
  return said;
}

const FOUND = `slave   3  holding register 0 is ${markOf(3, 3, 0)}\nslave   5  is there (illegal-address)\n`;

test('over TCP, each that answers has a row; a gateway that finds none is not taken for one', async () => {
  const at = await plug(new TcpPort(), new SlaveServer(SLAVES));
  expect(await scan({ modbus: '0-6', at, within: 2000 })).toBe(
    `tcp ${at}: asking slaves 0 to 6, one at a time\n${FOUND}`,
  );
});

test('a gateway that passes the bytes of a line on', async () => {
  const at = await plug(new TcpPort(), new SlaveLine(SLAVES));
  expect(await scan({ modbus: '3-5', at, frames: 'rtu', within: 50 })).toContain(FOUND);
});

test('where none answers, it says what to compare', async () => {
  const at = await plug(new TcpPort(), new SlaveLine(SLAVES));
  expect(await scan({ modbus: '9', at, frames: 'rtu', within: 10 })).toMatch(
    /asking slaves 9 to 9[\s\S]*None answers\. Compare baud/,
  );
});

test('stopped, it ends at once', async () => {
  const at = await plug(new TcpPort(), new SlaveLine([]));
  expect(await scan({ modbus: '1-247', at, frames: 'rtu', within: 10_000 }, Promise.resolve())).not.toContain(
    'slave   ',
  );
});

test('a lost connection is told', async () => {
  const at = await plug(new TcpPort(), { hear: () => [] });
  port.onData(() => void port.unplug());
  await expect(scan({ modbus: '1-247', at, within: 10_000 })).rejects.toThrow(
    /No slave can be asked[\s\S]*other side closed/,
  );
});

test.each([
  [{ modbus: '0-6', at: '/dev/ttyS9', baud: 9600 }, /numbers of slaves from 1 to 247/],
  [{ modbus: '6-1', at: '127.0.0.1:1' }, /numbers of slaves from 0 to 255/],
  [{ modbus: 'all', at: '127.0.0.1:1' }, /numbers of slaves/],
  [{ modbus: '1', at: '/dev/ttyS9' }, /a serial port needs --baud/],
  [{ modbus: '1' }, /there is no serial port: name one with --at/],
  [{ modbus: '1', at: '127.0.0.1:1', within: 1 }, /--within takes/],
])('%j is refused in words', async (command, words) => {
  await expect(scan(command)).rejects.toThrow(words);
});

describeWithPtys('on a serial port', () => {
  test('slaves on a line, with parity set', async () => {
    const at = await plug(new PtyPort(join(dir, 'line')), new SlaveLine(SLAVES));
    expect(await scan({ modbus: '1-6', at, baud: 19_200, parity: 'even', within: 100 })).toContain(FOUND);
    rmSync(dir, { recursive: true, force: true });
  });
});
