/** A device is found again by what it is, never by the name that its port happens to have. */
import { mkdtempSync, realpathSync, renameSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import type { Identify, LinkDescription, PortFind } from '../../src/core/description.ts';
import { realClock, type VirtualClock, virtualClock } from '../../src/links/clock.ts';
import type { Door } from '../../src/links/contract.ts';
import { doorFor } from '../../src/links/make.ts';
import { type MemoryTwin, memoryTwin } from '../../src/links/memory.ts';
import type { PortRow } from '../../src/links/ports.ts';
import { searchDoor } from '../../src/links/search.ts';
import { type LinkEvent, supervise } from '../../src/links/supervise.ts';
import { latin1, listener, told } from './listener.ts';
import { describeOnPtys, type TestPort, testPort } from './ptys.ts';
import { runFor, settle } from './virtual-time.ts';

const PATIENT = { timeout: 10_000, interval: 5 };
const ASK: Identify = { send: 'ID?\n', expect: 'probe-7', withinUs: 500_000 };

const row = (path: string, serialNumber: string | null = null, vendorId: string | null = '1209'): PortRow => ({
  path,
  stable: path,
  by: 'name',
  manufacturer: null,
  serialNumber,
  vendorId,
  productId: vendorId === null ? null : '0001',
});

const usb = (over: Partial<Extract<PortFind, { by: 'usb' }>>): PortFind => ({
  by: 'usb',
  serialNumber: null,
  vendorId: null,
  productId: null,
  ...over,
});

describe('the search for a port', () => {
  let clock: VirtualClock;
  let twins: Record<string, MemoryTwin>;
  let rows: PortRow[];
  beforeEach(() => {
    clock = virtualClock();
    twins = { a: memoryTwin('a'), b: memoryTwin('b'), c: memoryTwin('c') };
    rows = [row('a', 'A1'), row('b', 'B2'), row('c', null, null)];
  });

  const door = (find: PortFind, identify: Identify | null = null): Door =>
    searchDoor({
      link: { kind: 'serial', find, baud: 9600, identify },
      clock,
      list: async () => rows,
      doorTo: (path) => (twins[path] as MemoryTwin).door,
    });
  /** Which of the devices has a connection. */
  const open = (): string[] => Object.keys(twins).filter((path) => twins[path]?.open === 1);
  /** A device that answers the question. */
  const answering = (path: string, answer: string): void => {
    const twin = twins[path] as MemoryTwin;
    let seen = 0;
    clock.at(clock.nowUs() + 10_000, function answerLater() {
      for (; seen < twin.written.length; seen++) {
        if (latin1(twin.written[seen] as Uint8Array) === 'ID?\n') twin.send(`${answer}\r\n`);
      }
      clock.at(clock.nowUs() + 10_000, answerLater);
    });
  };
  const settledFault = async (opening: Promise<unknown>, forUs = 3_000_000) => {
    const outcome = opening.then(
      () => null,
      (error: unknown) => error,
    );
    await runFor(clock, forUs);
    return outcome;
  };

  it('takes the device of the serial number, whichever port it has, also after they were swapped', async () => {
    const wanted = door(usb({ serialNumber: 'B2' }));
    const first = await wanted.open(listener());
    expect(open()).toEqual(['b']);
    await first.close();
    rows = [row('a', 'B2'), row('b', 'A1')];
    const second = await wanted.open(listener());
    expect(open()).toEqual(['a']);
    await second.close();
  });

  it('compares the numbers of maker and kind in any case of letters', async () => {
    rows = [row('a', 'A1', '12AB'), row('b', 'B2', '1209')];
    const connection = await door(usb({ vendorId: '12ab', productId: '0001' })).open(listener());
    expect(open()).toEqual(['a']);
    await connection.close();
  });

  it('says what is there where nothing fits', async () => {
    await expect(door(usb({ serialNumber: 'Z9', vendorId: '1209' })).open(listener())).rejects.toMatchObject({
      reason: 'not-found',
      message: 'no port is USB 1209:* no. Z9: listed are a (USB 1209:0001 no. A1), b (USB 1209:0001 no. B2), c',
    });
    rows = [];
    await expect(door(usb({ serialNumber: 'Z9' })).open(listener())).rejects.toMatchObject({
      message: 'no port is USB no. Z9: no port is listed',
    });
  });

  it('does not guess between two devices that look the same', async () => {
    await expect(door(usb({ vendorId: '1209' })).open(listener())).rejects.toMatchObject({
      reason: 'ambiguous',
      message: 'USB 1209:* is at a and b',
    });
    expect(open()).toEqual([]);
  });

  it('asks who is there and hands on nothing of it', async () => {
    answering('a', 'probe-7');
    const heard = listener();
    const opening = door({ by: 'path', path: 'a' }, ASK).open(heard);
    await settle();
    twins.a?.send('T=20.4\n');
    await runFor(clock, 100_000);
    const connection = await opening;
    expect(heard.text).toBe('');
    twins.a?.send('T=20.5\n');
    expect(heard.text).toBe('T=20.5\n');
    twins.a?.unplug();
    expect(heard.ends).toHaveLength(1);
    await connection.close();
  });

  it('closes a port where another device answers, and says what it answered', async () => {
    answering('a', 'probe-9\x1b');
    const fault = await settledFault(door({ by: 'path', path: 'a' }, ASK).open(listener()));
    expect(fault).toMatchObject({
      reason: 'other-device',
      message: 'asked "ID?\\n", expected "probe-7": "probe-9\\x1b" came within 0.5 s',
    });
    expect(open()).toEqual([]);
  });

  it('closes a port where nobody answers', async () => {
    const fault = await settledFault(door({ by: 'path', path: 'a' }, ASK).open(listener()));
    expect(fault).toMatchObject({ reason: 'timed-out' });
    expect(open()).toEqual([]);
  });

  it('goes through all ports for the right answer, and begins with the last right one from then on', async () => {
    answering('a', 'probe-1');
    answering('b', 'probe-7');
    const wanted = door({ by: 'answer' }, ASK);
    const opening = wanted.open(listener());
    await runFor(clock, 3_000_000);
    const connection = await opening;
    expect(open()).toEqual(['b']);
    expect(twins.c?.knocks).toBe(0);
    await connection.close();
    const again = wanted.open(listener());
    await runFor(clock, 3_000_000);
    await (await again).close();
    expect([twins.a?.knocks, twins.b?.knocks]).toEqual([1, 2]);
  });

  it("begins with the port that it has not found wrong, so that two do not stand in each other's way for ever", async () => {
    rows = [row('a'), row('b')];
    answering('a', 'probe-7');
    answering('b', 'probe-8');
    // both begin at the port of the other
    twins.a?.refuse('busy');
    const seven = door({ by: 'answer' }, ASK);
    expect(await settledFault(seven.open(listener()))).toMatchObject({ reason: 'other-device' });
    twins.a?.refuse(null);
    const eight = door({ by: 'answer' }, { ...ASK, expect: 'probe-8' });
    twins.b?.refuse('busy');
    expect(await settledFault(eight.open(listener()))).toMatchObject({ reason: 'other-device' });
    twins.b?.refuse(null);
    // and look again at the same time
    const both = Promise.all([seven.open(listener()), eight.open(listener())]);
    await runFor(clock, 100_000);
    for (const connection of await both) await connection.close();
    expect([twins.a?.knocks, twins.b?.knocks]).toEqual([3, 3]);
  });

  it('passes over a busy port, and tells of all where none answers right', async () => {
    twins.a?.refuse('busy', 'held by logger (process 7)');
    answering('b', 'probe-9');
    const fault = await settledFault(door({ by: 'answer' }, ASK).open(listener()));
    expect(fault).toMatchObject({ reason: 'other-device' });
    expect((fault as Error).message).toMatch(/^a: held by logger.*; b: asked .*"probe-9" came.*; c: .*no answer/);
  });

  it('asks again after a second, for a board that restarts when its port is opened', async () => {
    const patient = { ...ASK, withinUs: 4_000_000 };
    const opening = door({ by: 'path', path: 'a' }, patient).open(listener());
    await runFor(clock, 1_500_000);
    twins.a?.send('boot: ok\r\n');
    answering('a', 'no answer'); // to what was asked before it woke, which stays unanswered
    expect(twins.a?.written).toHaveLength(2);
    clock.at(clock.nowUs() + 700_000, () => twins.a?.send('probe-7\n'));
    await runFor(clock, 1_000_000);
    await (await opening).close();
  });

  it('gives up at once when its signal aborts, also while it asks', async () => {
    const controller = new AbortController();
    const opening = door({ by: 'answer' }, ASK).open(listener(), controller.signal);
    await settle();
    expect(open()).toEqual(['a']);
    const outcome = expect(opening).rejects.toMatchObject({ reason: 'stopped' });
    controller.abort();
    await outcome;
    expect([open(), twins.b?.knocks, clock.nextUs()]).toEqual([[], 0, null]);
  });

  it('tells the end of a connection that ends while it is asked', async () => {
    const opening = door({ by: 'path', path: 'a' }, ASK).open(listener());
    await settle();
    twins.a?.unplug();
    await expect(opening).rejects.toMatchObject({ reason: 'unplugged' });
    expect(clock.nextUs()).toBeNull();
  });
});

describeOnPtys('S4: two swapped cables', () => {
  const clock = realClock();
  const serial = (find: PortFind, identify: Identify | null): LinkDescription => ({
    kind: 'serial',
    find,
    baud: 115_200,
    identify,
  });

  /** Swaps what two paths lead to, as a replug that deals the numbers out anew. */
  const swap = (one: string, other: string): void => {
    const [a, b] = [realpathSync(one), realpathSync(other)];
    for (const [path, target] of [
      [one, b],
      [other, a],
    ] as const) {
      symlinkSync(target, `${path}.new`);
      renameSync(`${path}.new`, path);
    }
  };

  const run = async (
    links: Readonly<Record<string, LinkDescription>>,
    list: () => Promise<readonly PortRow[]>,
    body: (events: Record<string, string[]>) => Promise<void>,
  ): Promise<void> => {
    const events: Record<string, string[]> = {};
    const running = Object.entries(links).map(([instrument, link]) => {
      const mine: string[] = [];
      events[instrument] = mine;
      return supervise({
        door: doorFor(link, clock, {}, list),
        instrument,
        framing: { kind: 'lines', capBytes: 128 },
        clock,
        intervalUs: 500_000,
        onEvent: (event: LinkEvent) => mine.push(told(event)),
      });
    });
    try {
      await body(events);
    } finally {
      await Promise.all(running.map((link) => link.stop()));
    }
  };

  /** Every frame of an instrument begins with the name of its own device. */
  const framesOf = (events: readonly string[] = []): string[] => events.filter((line) => line.startsWith('frame'));

  /** A device that knows its name and, once a test says so, prints values under it. */
  const device = async (name: string): Promise<TestPort> => {
    const port = await testPort();
    port.pty.onData((chunk) => {
      if (latin1(chunk).includes('ID?')) void port.send(`${name}\r\n`);
    });
    return port;
  };

  const bothTalk = async (devices: readonly TestPort[], round: number, events: Record<string, string[]>) => {
    const [warm, level] = devices as [TestPort, TestPort];
    await vi.waitFor(async () => {
      await warm.send(`\nwarm ${round}\n`);
      await level.send(`\nlevel ${round}\n`);
      expect(framesOf(events.warm).some((line) => line.startsWith(`frame warm ${round}`))).toBe(true);
      expect(framesOf(events.level).some((line) => line.startsWith(`frame level ${round}`))).toBe(true);
    }, PATIENT);
  };

  it('are known by their answers', async () => {
    const devices = [await device('warm'), await device('level')] as const;
    const paths = devices.map(({ path }) => path);
    const ask = (name: string): Identify => ({ send: 'ID?\n', expect: name, withinUs: 1_000_000 });
    await run(
      { warm: serial({ by: 'answer' }, ask('warm')), level: serial({ by: 'answer' }, ask('level')) },
      async () => paths.map((path) => row(path, null, null)),
      async (events) => {
        await bothTalk(devices, 1, events);
        swap(devices[0].path, devices[1].path);
        await vi.waitFor(() => expect(events.warm?.join()).toContain('closed unplugged #1'), PATIENT);
        await vi.waitFor(() => expect(events.level?.join()).toContain('closed unplugged #1'), PATIENT);
        await bothTalk(devices, 2, events);
        expect(framesOf(events.warm).filter((line) => !line.startsWith('frame warm '))).toEqual([]);
        expect(framesOf(events.level).filter((line) => !line.startsWith('frame level '))).toEqual([]);
      },
    );
    for (const each of devices) await each.dispose();
  });

  it('are never taken for each other at a fixed path with an answer', async () => {
    const devices = [await device('warm'), await device('level')] as const;
    const ask: Identify = { send: 'ID?\n', expect: 'warm', withinUs: 300_000 };
    await run(
      { warm: serial({ by: 'path', path: devices[0].path }, ask) },
      async () => [],
      async (events) => {
        await vi.waitFor(() => expect(events.warm).toContain('open connected #1'), PATIENT);
        swap(devices[0].path, devices[1].path);
        await vi.waitFor(() => expect(events.warm).toContain('closed other-device #1'), PATIENT);
        await devices[1].send('\nlevel 1\nlevel 2\n');
        swap(devices[0].path, devices[1].path);
        await vi.waitFor(() => expect(events.warm).toContain('open connected #2'), PATIENT);
        expect(framesOf(events.warm)).toEqual([]);
      },
    );
    for (const each of devices) await each.dispose();
  });

  it('are followed by the links that the system makes for each device', async () => {
    const devices = [await device('warm'), await device('level')] as const;
    const folder = mkdtempSync(join(tmpdir(), 'by-id-'));
    const links = { warm: join(folder, 'usb-warm-0001'), level: join(folder, 'usb-level-0002') };
    // as udev does: the identity leads to the number that the device has now
    const point = (warm: string, level: string): void => {
      for (const [link, target] of [
        [links.warm, warm],
        [links.level, level],
      ] as const) {
        symlinkSync(target, `${link}.new`);
        renameSync(`${link}.new`, link);
      }
    };
    point(realpathSync(devices[0].path), realpathSync(devices[1].path));
    await run(
      {
        warm: serial({ by: 'path', path: links.warm }, null),
        level: serial({ by: 'path', path: links.level }, null),
      },
      async () => [],
      async (events) => {
        await bothTalk(devices, 1, events);
        // both pulled, and plugged in again the other way round: the numbers change hands
        for (const each of devices) await each.pty.unplug();
        await devices[1].plug();
        await devices[0].plug();
        point(realpathSync(devices[0].path), realpathSync(devices[1].path));
        await bothTalk(devices, 2, events);
        expect(framesOf(events.warm).filter((line) => !line.startsWith('frame warm '))).toEqual([]);
        expect(framesOf(events.level).filter((line) => !line.startsWith('frame level '))).toEqual([]);
      },
    );
    for (const each of devices) await each.dispose();
    rmSync(folder, { recursive: true });
  });
});
