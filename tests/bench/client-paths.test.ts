/** Nothing that a client says ever becomes a path: the whole server on real ports, with every look at the disk noted. */
import fs, { mkdtempSync, realpathSync, rmSync, writeFileSync } from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';
import { SerialPort } from 'serialport';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { WebSocket } from 'ws';
import { PtyPort } from '../../simulators/pty.ts';
import { type Running, run } from '../../src/commands/run.ts';
import { describeOnPtys } from '../links/ptys.ts';
import { Follower } from '../support/follower.ts';

const BENCH = (probe: string, sonar: string): string => `
bench: Two boards
instruments:
  probe: { driver: pattern, link: { serial: ${probe}, baud: 115200 }, every: 500 ms, pattern: "T={temp}" }
  sonar: { driver: pattern, link: { serial: ${sonar}, baud: 115200 }, every: 500 ms, pattern: "L={level}" }
channels:
  temperature: { from: probe.temp, unit: °C, uncertainty: 0.3 K }
  level: { from: sonar.level, unit: mm, uncertainty: 0.2 mm }
measure: { level: level, temperature: temperature, window: 46 °C to 54 °C, reference: 50 °C, compensation: { slope: 0.25 mm/K, uncertainty: 0.03 mm/K }, steady: { tolerance: 1.2 mm } }
`;

/** Notes the path of every call of the file system in this thread, until undone. */
function notePaths(): { readonly paths: Set<string>; undo(): void } {
  const paths = new Set<string>();
  const undone: (() => void)[] = [];
  for (const room of [fs, fs.promises] as unknown as Record<string, unknown>[]) {
    for (const [name, original] of Object.entries(room)) {
      if (typeof original !== 'function' || /^[A-Z_]/.test(name)) continue;
      room[name] = Object.assign(function noted(this: unknown, ...args: unknown[]) {
        if (typeof args[0] === 'string' || args[0] instanceof URL || args[0] instanceof Buffer) paths.add(`${args[0]}`);
        return Reflect.apply(original, this, args);
      }, original);
      undone.push(() => {
        room[name] = original;
      });
    }
  }
  syncBuiltinESMExports();
  return {
    paths,
    undo() {
      for (const one of undone) one();
      syncBuiltinESMExports();
    },
  };
}

describeOnPtys('what a client can reach', () => {
  let folder: string;
  let ports: Record<'probe' | 'sonar' | 'decoy', PtyPort>;
  let decoyOpened: number;
  let bench: Running;

  beforeEach(async () => {
    folder = mkdtempSync(join(tmpdir(), 'client-paths-'));
    const port = (name: string): PtyPort => new PtyPort(join(folder, name));
    ports = { probe: port('probe'), sonar: port('sonar'), decoy: port('decoy') };
    decoyOpened = 0;
    ports.decoy.onOpen(() => decoyOpened++);
    for (const one of Object.values(ports)) await one.plug();
    writeFileSync(join(folder, 'secret'), 'a word that must stay here');
    writeFileSync(join(folder, 'bench.yaml'), BENCH(join(folder, 'probe'), join(folder, 'sonar')));
    bench = await run(join(folder, 'bench.yaml'), { port: 0, journal: join(folder, 'journal'), log: 'silent' });
  });
  afterEach(async () => {
    await bench.stop();
    for (const one of Object.values(ports)) await one.unplug();
    rmSync(folder, { recursive: true, force: true });
  });

  /** Paths that lead somewhere, and such as try to. */
  const hostile = (): string[] => [
    join(folder, 'decoy'),
    realpathSync(join(folder, 'decoy')),
    join(folder, 'secret'),
    `${folder}/probe/../secret`,
    '../secret',
    '..%2f..%2fetc%2fpasswd',
    '/etc/passwd',
    '/dev/null',
    '/dev/tty1',
    'file:///etc/passwd',
    '\\\\.\\COM1',
    'COM1',
    '127.0.0.1:1',
    'secret\u0000.js',
  ];

  it('never includes a path of its own: only the ports of the bench file are opened, whatever is asked', async () => {
    const follower = new Follower(bench.url);
    const state = (id: string) => follower.live?.instruments[id]?.state;
    await follower.until('both ports open', () => state('probe') === 'open' && state('sonar') === 'open');
    const paths = hostile();
    const opens = vi.spyOn(SerialPort.binding, 'open');
    const noted = notePaths();
    let answers: Awaited<ReturnType<typeof askEverything>>;
    try {
      answers = await askEverything(bench.url, paths);
      // the guard opens ports in this very time, and looks at the disk for it
      await ports.probe.unplug();
      await follower.until('the cable pulled', () => state('probe') !== 'open');
      await ports.probe.plug();
      await follower.until('the cable back', () => state('probe') === 'open');
    } finally {
      noted.undo();
    }
    const opened = opens.mock.calls.map(([options]) => options.path);
    opens.mockRestore();
    follower.close();

    const own = ['probe', 'sonar'].map((name) => join(folder, name));
    expect(opened).toEqual([realpathSync(join(folder, 'probe'))]);
    const looked = [...noted.paths].filter((path) => !own.includes(path));
    expect(looked.filter((path) => path !== '/proc/tty/drivers' && !/^\/dev\/pts\/\d+$/.test(path))).toEqual([]);
    expect(noted.paths).toContain(own[0]);
    for (const path of paths) expect(noted.paths).not.toContain(path);
    expect(decoyOpened).toBe(0);
    expect(new Set(answers.status)).toEqual(new Set([200, 400, 404, 426]));
    expect(new Set(answers.types)).toEqual(new Set(['action-result', 'error']));
    // the decoy tells when it is opened
    const port = await SerialPort.binding.open({ path: join(folder, 'decoy'), baudRate: 9600 });
    await port.close();
    await vi.waitFor(() => expect(decoyOpened).toBeGreaterThan(0));
  });
});

/**
 * Every way in, with each path in every place that takes text, and in places that there are not. Actions over HTTP for
 * every other path only: all clients together may send 50 a second.
 */
async function askEverything(url: string, paths: readonly string[]): Promise<{ status: number[]; types: string[] }> {
  const status: number[] = [];
  const types: string[] = [];
  for (const [i, path] of paths.entries()) {
    const query = encodeURIComponent(path);
    const targets = [path, `/${path}`, `/api/history?channel=${query}`, `/api/events?path=${query}`];
    for (const target of [...targets, `/api/snapshot?port=${query}`, `/assets/${query}`, `/feed?journal=${query}`]) {
      status.push(...(await rawGet(url, target)));
    }
    if (i % 2 === 0) {
      for (const action of actions(path, `http-${i}`)) {
        const headers = { 'content-type': 'application/json' };
        const body = JSON.stringify(action);
        status.push((await fetch(`${url}/api/actions`, { method: 'POST', headers, body })).status);
      }
    }
    types.push(
      ...(await sendAll(`${url.replace('http', 'ws')}/feed?since=0&journal=${query}`, actions(path, `ws-${i}`))),
    );
  }
  return { status, types };
}

/** One WebSocket client; the types of the replies to its messages. */
async function sendAll(url: string, all: readonly object[]): Promise<string[]> {
  const ws = new WebSocket(url);
  const types: string[] = [];
  ws.once('open', () => {
    for (const action of all) ws.send(JSON.stringify({ type: 'action', ...action }));
  });
  await new Promise<void>((resolve, reject) => {
    ws.on('close', () => reject(new Error(`the feed hung up after ${types.length} replies`)));
    ws.on('message', (data) => {
      const { type } = JSON.parse(String(data)) as { type: string };
      if (type === 'action-result' || type === 'error') types.push(type);
      if (types.length === all.length) resolve();
    });
  });
  ws.terminate();
  return types;
}

/** What the protocol knows, with the path in its texts, and what it does not know. */
function actions(path: string, id: string): object[] {
  const note = { type: 'note', text: path };
  const known = { actor: path.slice(0, 80), role: 'technician', expectedRevision: 0, body: note };
  return [
    known,
    { ...known, body: { type: 'type-value', channel: path, value: 1 } },
    { ...known, body: { type: 'start-job', label: path } },
    { ...known, body: { ...note, path, serial: path } },
    { ...known, link: { kind: 'serial', find: { by: 'path', path } } },
    { ...known, body: { type: 'open', port: path } },
  ].map((action, i) => ({ ...action, actionId: `${id}-${i}-${path}`.padEnd(8, '.').slice(0, 64) }));
}

/** A target exactly as it stands; its status, or nothing where the server hung up on it. */
async function rawGet(url: string, target: string): Promise<number[]> {
  const { port, host } = new URL(url);
  const socket = connect(Number(port), '127.0.0.1');
  socket.write(`GET ${target} HTTP/1.1\r\nHost: ${host}\r\nConnection: close\r\n\r\n`, 'latin1');
  const status = /^HTTP\/1\.1 (\d+)/.exec(await text(socket))?.[1];
  return status === undefined ? [] : [Number(status)];
}
