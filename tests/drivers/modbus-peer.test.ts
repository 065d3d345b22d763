/** The driver against a Modbus slave that others wrote, over a real serial line and over TCP. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { afterAll, describe, expect, test, vi } from 'vitest';
import { realClock } from '../../src/links/clock.ts';
import { serialDoor } from '../../src/links/serial.ts';
import { tcpDoor } from '../../src/links/tcp.ts';
import { ROOT } from '../repo/house.ts';
import { WITH_MODBUS_PEER, WITHOUT_MODBUS_PEER } from '../support/parts.ts';
import { markOf } from './modbus-line.ts';
import { converse, type Heard } from './modbus-real.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 1);
/** All of them take a minute or two. */
const READS = Number(process.env.STILLWELL_READS ?? 1500);

const dir = mkdtempSync(join(tmpdir(), 'stillwell-peer-'));
const children: ChildProcess[] = [];
afterAll(async () => {
  for (const child of children) {
    if (child.exitCode !== null || child.signalCode !== null) continue;
    child.kill();
    await once(child, 'close');
  }
  rmSync(dir, { recursive: true, force: true });
});

function start(command: string, args: readonly string[]): ChildProcess {
  const child = spawn(command, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  children.push(child);
  return child;
}

/** Starts the slave; what stands after "ready". */
async function peer(kind: 'serial' | 'tcp', where: string, share: number): Promise<string> {
  const script = join(ROOT, 'tests/drivers/modbus-peer.py');
  const child = start('/usr/bin/python3', [script, kind, where, `${SEED}`, `${share}`, '70', '220']);
  if (child.stdout === null) throw new Error('no output of the slave');
  for await (const line of createInterface(child.stdout)) if (line.startsWith('ready')) return line.slice(5).trim();
  throw new Error('the slave ended before it was ready');
}

/** Single registers at places whose answers look alike, a function of its own, bits, two registers, a second slave. */
const SIGNALS = {
  a: { slave: 3, 'holding-register': 10 },
  b: { slave: 3, 'holding-register': 40 },
  c: { slave: 3, 'input-register': 70 },
  d: { slave: 3, coil: 8 },
  e: { slave: 3, 'discrete-input': 9 },
  f: { slave: 3, 'holding-register': 90, type: 'u32' },
  g: { slave: 4, 'holding-register': 10 },
};
const TRUTH: Readonly<Record<string, number>> = {
  a: markOf(3, 3, 10),
  b: markOf(3, 3, 40),
  c: markOf(3, 4, 70),
  d: markOf(3, 1, 8),
  e: markOf(3, 2, 9),
  f: markOf(3, 3, 90) * 65_536 + markOf(3, 3, 91),
  g: markOf(4, 3, 10),
};

function expectTrue({ values, samples }: Heard): void {
  const wrong = Object.entries(values).flatMap(([signal, seen]) =>
    [...seen].filter(([value]) => value !== TRUTH[signal]).map(([value, times]) => `${signal}: ${times} × ${value}`),
  );
  expect(wrong).toEqual([]);
  expect(Object.keys(values).toSorted()).toEqual(Object.keys(SIGNALS));
  expect(samples).toBeGreaterThanOrEqual(READS);
}

describe.skipIf(!WITH_MODBUS_PEER)(`a slave by another library${WITHOUT_MODBUS_PEER} (seed ${SEED})`, () => {
  test(`M1: late now and then on a serial line: ${READS} reads, and none is wrong`, { timeout: 400_000 }, async () => {
    const [here, there] = [join(dir, 'here'), join(dir, 'there')];
    start('/usr/bin/socat', [`pty,raw,echo=0,link=${here}`, `pty,raw,echo=0,link=${there}`]);
    await vi.waitFor(() => expect(existsSync(here) && existsSync(there)).toBe(true), { timeout: 10_000 });
    await peer('serial', there, 0.01);
    const heard = await converse(
      serialDoor({ path: here, baud: 115_200, clock: realClock() }),
      { signals: SIGNALS, within: '50 ms', late: '1 s', gap: '1 ms' },
      1000,
      READS,
    );
    expectTrue(heard);
    expect(heard.connections).toBe(1);
    expect(heard.discarded['no-answer']).toBeGreaterThan(0);
    expect(heard.discarded.unasked).toBeGreaterThan(0);
  });

  test(`M1: late now and then over TCP: ${READS} reads, and none is wrong`, { timeout: 400_000 }, async () => {
    const port = Number(await peer('tcp', '-', 0.01));
    const heard = await converse(
      tcpDoor({ host: '127.0.0.1', port, clock: realClock() }),
      { signals: SIGNALS, frames: 'tcp', within: '50 ms', late: '1 s', gap: '0 s' },
      1000,
      READS,
    );
    expectTrue(heard);
    expect(heard.discarded['no-answer']).toBeGreaterThan(0);
  });
});
