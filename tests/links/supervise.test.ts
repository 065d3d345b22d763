import fc from 'fast-check';
import { beforeEach, describe, expect, it } from 'vitest';
import { type VirtualClock, virtualClock } from '../../src/links/clock.ts';
import type { ConnectionHandlers, Door } from '../../src/links/contract.ts';
import { type MemoryTwin, memoryTwin } from '../../src/links/memory.ts';
import { type LinkEvent, type Supervised, supervise } from '../../src/links/supervise.ts';
import { bytes, told } from './listener.ts';
import { runFor, runUntil, settle } from './virtual-time.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? Date.now() % 1_000_000_007);
const MS = 1_000;
const S = 1_000_000;

let clock: VirtualClock;
let twin: MemoryTwin;
let events: { atUs: number; event: LinkEvent }[];

beforeEach(() => {
  clock = virtualClock();
  twin = memoryTwin('probe');
  events = [];
});

function start(over: { door?: Door; intervalUs?: number; onEvent?: (event: LinkEvent) => void } = {}): Supervised {
  return supervise({
    door: over.door ?? twin.door,
    instrument: 'probe',
    framing: { kind: 'lines', capBytes: 64 },
    clock,
    intervalUs: over.intervalUs ?? 500 * MS,
    onEvent(event) {
      events.push({ atUs: clock.nowUs(), event });
      over.onEvent?.(event);
    },
  });
}

const lines = (): string[] => events.map(({ event }) => told(event));
const timed = (): string[] => events.map(({ atUs, event }) => `${atUs / MS} ms ${told(event)}`);
const linkDetails = (): string[] => events.flatMap(({ event }) => (event.kind === 'link' ? [event.detail] : []));

/** Lets the device talk once in each interval. */
async function talk(forUs: number, everyUs = 500 * MS): Promise<void> {
  const untilUs = clock.nowUs() + forUs;
  while (clock.nowUs() + everyUs <= untilUs) {
    await runFor(clock, everyUs);
    twin.send('T=20.5\r\n');
  }
}

describe('a supervised link', () => {
  it('tells frames and discards with their connection, and what was cut', async () => {
    const link = start();
    await settle();
    twin.send('5.2\r\nT=20.5\r\nT=20');
    twin.send('.6\r\nT=2');
    twin.unplug();
    expect(lines()).toEqual([
      'opening starting #0',
      'open connected #1',
      'discard first-partial 3 5.2 #1',
      'frame T=20.5 #1',
      'frame T=20.6 #1',
      'discard cut-tail 3 T=2 #1',
      'closed unplugged #1',
    ]);
    expect(events.every(({ event }) => event.instrument === 'probe')).toBe(true);
    expect(linkDetails()).toEqual(['memory probe', 'memory probe', 'cable pulled']);
    await link.stop();
  });

  it('never glues what two connections said', async () => {
    const link = start();
    await settle();
    twin.send('\nT=2');
    twin.unplug();
    twin.plug();
    await runFor(clock, 250 * MS);
    twin.send('3.75\nT=21.0\n');
    expect(lines().slice(2)).toEqual([
      'discard cut-tail 3 T=2 #1',
      'closed unplugged #1',
      'open connected #2',
      'discard first-partial 4 3.75 #2',
      'frame T=21.0 #2',
    ]);
    await link.stop();
  });

  it('knocks after 250 ms, then less and less often, at most 2 s apart, and tells each reason once', async () => {
    twin.unplug();
    const link = start();
    const knocks: number[] = [];
    await settle();
    for (let seen = twin.knocks; clock.nowUs() < 10 * S; await runFor(clock, 10 * MS)) {
      if (twin.knocks > seen) knocks.push(clock.nowUs() / MS);
      seen = twin.knocks;
    }
    expect(knocks).toEqual([250, 750, 1750, 3750, 5750, 7750, 9750]);
    expect(lines()).toEqual(['opening starting #0', 'closed not-found #0']);
    await link.stop();
  });

  it('looks again soon when the reason has changed, and tells the new one', async () => {
    twin.unplug();
    const link = start();
    await runUntil(clock, 6 * S);
    twin.plug();
    twin.refuse('forbidden', 'not in the group');
    await runUntil(clock, 7_800 * MS);
    twin.refuse(null);
    await runUntil(clock, 8_100 * MS);
    expect(timed().slice(1)).toEqual([
      '0 ms closed not-found #0',
      '7750 ms closed forbidden #0',
      '8000 ms open connected #1',
    ]);
    await link.stop();
  });

  it('has data within 3 s of a replug, whenever it comes', async () => {
    for (let awayMs = 10; awayMs < 9_000; awayMs += 337) {
      const link = start();
      await settle();
      twin.send('\nT=1\n');
      twin.unplug();
      await runFor(clock, awayMs * MS);
      twin.plug();
      const pluggedUs = clock.nowUs();
      while (events.at(-1)?.event.kind !== 'frame') {
        await runFor(clock, 100 * MS);
        twin.send('T=20.5\n');
        if (clock.nowUs() > pluggedUs + 3 * S) expect.fail(`no frame 3 s after a replug after ${awayMs} ms`);
      }
      await link.stop();
      expect(twin.open).toBe(0);
    }
  });

  it('keeps saying unplugged while the port is not there', async () => {
    const link = start();
    await settle();
    twin.unplug();
    await runFor(clock, 20 * S);
    expect(lines().slice(2)).toEqual(['closed unplugged #1']);
    twin.refuse('busy');
    await runFor(clock, 2 * S);
    twin.refuse(null);
    await runFor(clock, 2 * S);
    expect(lines().slice(2)).toEqual(['closed unplugged #1', 'closed busy #1', 'closed not-found #1']);
    await link.stop();
  });

  it('does not flap on a peer that takes connections and drops them at once', async () => {
    const link = start();
    await settle();
    const untilUs = clock.nowUs() + 60 * S;
    while (clock.nowUs() < untilUs) {
      await runFor(clock, 50 * MS);
      if (twin.open === 1) twin.drop('remote-closed');
    }
    expect(twin.knocks).toBeLessThan(35);
    await link.stop();
  });

  it('reports a door that fails with something else as an error of the port', async () => {
    const link = start({ door: { name: 'odd door', open: () => Promise.reject(new Error('out of descriptors')) } });
    await settle();
    expect(lines()).toEqual(['opening starting #0', 'closed io-error #0']);
    expect(linkDetails()[1]).toBe('out of descriptors');
    await link.stop();
  });

  it('goes on after a connection that ended before it was handed over', async () => {
    let early = true;
    const door: Door = {
      name: 'hasty door',
      async open(handlers: ConnectionHandlers) {
        const connection = await twin.door.open(handlers);
        if (early) twin.drop('io-error', 'gone at once');
        early = false;
        return connection;
      },
    };
    const link = start({ door });
    await runFor(clock, S);
    expect(lines()).toEqual(['opening starting #0', 'closed io-error #0', 'open connected #1']);
    await link.stop();
  });
});

describe('a silent link', () => {
  it('is closed as mute after 5 s and opened anew', async () => {
    const link = start();
    await runFor(clock, 5_600 * MS);
    expect(timed()).toEqual([
      '0 ms opening starting #0',
      '0 ms open connected #1',
      '5000 ms closed mute #1',
      '5250 ms open connected #2',
    ]);
    expect(linkDetails()[2]).toBe('no byte for 5.0 s');
    await link.stop();
  });

  it('is given three intervals where these are longer', async () => {
    const link = start({ intervalUs: 40 * S });
    await runFor(clock, 119_999 * MS);
    expect(lines()).toHaveLength(2);
    await runFor(clock, 1 * MS);
    expect(timed().at(-1)).toBe('120000 ms closed mute #1');
    await link.stop();
  });

  it('is opened less and less often, at most once a minute', async () => {
    const link = start();
    await runFor(clock, 300 * S);
    const mutes = events.filter(({ event }) => told(event).startsWith('closed mute')).map(({ atUs }) => atUs / MS);
    const gaps = mutes.map((at, i) => at - (mutes[i - 1] ?? 0));
    expect(gaps).toEqual([5_000, 10_250, 20_500, 41_000, 62_000, 62_000, 62_000]);
    await link.stop();
  });

  it('counts from the last frame, and a talking link is left alone', async () => {
    const link = start();
    await settle();
    twin.send('\n');
    await talk(60 * S);
    expect(lines().filter((line) => !line.startsWith('frame'))).toEqual(['opening starting #0', 'open connected #1']);
    await runFor(clock, 5 * S);
    expect(timed().at(-1)).toBe('65000 ms closed mute #1');
    await link.stop();
  });

  it('is one that says nothing whole, however much it sends', async () => {
    const link = start();
    await settle();
    for (let i = 0; i < 50; i++) {
      twin.send('~~~~');
      await runFor(clock, 100 * MS);
    }
    expect(lines().slice(2)).toEqual([`discard too-long 200 ${'~'.repeat(64)} #1`, 'closed mute #1']);
    expect(linkDetails()[2]).toBe('200 bytes, but nothing whole, for 5.0 s');
    await link.stop();
  });

  it('gives a board that restarts at each opening and boots slowly its time in the end', async () => {
    // boot chatter at once, data 17 s after each opening: shorter patience would restart it for ever
    const link = start({
      onEvent(event) {
        if (event.kind !== 'link' || event.state !== 'open') return;
        const mine = event.connection;
        const from = (us: number, text: string): void => {
          clock.at(clock.nowUs() + us, () => {
            if (twin.open === 1 && openNow() === mine) twin.send(text);
          });
        };
        from(100 * MS, '\r\nboot: ok\r\n');
        for (let i = 0; i < 200; i++) from(17 * S + i * 500 * MS, 'T=20.5\r\n');
      },
    });
    const openNow = (): number =>
      events.flatMap(({ event }) => (event.kind === 'link' ? [event.connection] : [])).at(-1) ?? 0;
    await runFor(clock, 90 * S);
    expect(lines().filter((line) => /^(open|closed)/.test(line))).toEqual([
      'opening starting #0',
      'open connected #1',
      'closed mute #1',
      'open connected #2',
      'closed mute #2',
      'open connected #3',
    ]);
    expect(lines().filter((line) => line === 'frame T=20.5 #3').length).toBeGreaterThan(50);
    await link.stop();
  });

  it('has its first patience back once it has talked for long', async () => {
    const link = start();
    await runFor(clock, 5 * S);
    await runFor(clock, 250 * MS);
    twin.send('\n');
    await talk(20 * S);
    const lastUs = clock.nowUs();
    await runFor(clock, 6 * S);
    const mute = events.findLast(({ event }) => told(event).startsWith('closed mute'));
    expect(mute?.atUs).toBe(lastUs + 5 * S);
    await link.stop();
  });

  it('is not taken for silent because the process itself was held up', async () => {
    // the timer comes 20 s late, and the bytes that waited meanwhile come after it
    const held = { extraUs: 0 };
    const late = { ...clock, nowUs: () => clock.nowUs() + held.extraUs };
    const link = supervise({
      door: twin.door,
      instrument: 'probe',
      framing: { kind: 'lines', capBytes: 64 },
      clock: late,
      intervalUs: 500 * MS,
      onEvent: (event) => events.push({ atUs: late.nowUs(), event }),
    });
    await settle();
    twin.send('\nT=20.5\n');
    await runFor(clock, 4 * S);
    held.extraUs = 20 * S;
    await runFor(clock, 1 * S);
    twin.send('T=20.6\n');
    await runFor(clock, 3 * S);
    expect(lines().at(-1)).toBe('frame T=20.6 #1');
    await link.stop();
  });
});

describe('writing to a supervised link', () => {
  it('answers each write once it is out, in order, and never within the call', async () => {
    const link = start();
    await settle();
    link.write(bytes('R1\n'), 41);
    link.write(bytes('R2\n'), 42);
    expect(lines()).toHaveLength(2);
    await settle();
    expect(twin.written.map((chunk) => Buffer.from(chunk).toString())).toEqual(['R1\n', 'R2\n']);
    expect(lines().slice(2)).toEqual(['write 41 ok', 'write 42 ok']);
    await link.stop();
  });

  it('fails while no connection stands, and nothing of it is delivered later', async () => {
    twin.unplug();
    const link = start();
    await settle();
    link.write(bytes('ZERO\n'), 7);
    expect(lines()).toHaveLength(2);
    await settle();
    expect(lines().at(-1)).toBe('write 7 failed');
    twin.plug();
    await runFor(clock, 5 * S);
    expect(lines()).toContain('open connected #1');
    expect(twin.written).toEqual([]);
    await link.stop();
  });

  it('fails on a connection that has just ended, and the next one does not get it', async () => {
    const link = start();
    await settle();
    link.write(bytes('ZERO\n'), 8);
    twin.unplug();
    twin.plug();
    await runFor(clock, S);
    expect(lines()).toContain('write 8 failed');
    expect(lines()).toContain('open connected #2');
    expect(twin.written).toEqual([]);
    await link.stop();
  });
});

describe('stopping a supervised link', () => {
  it('closes the connection, tells so once, and says nothing more', async () => {
    const link = start();
    await settle();
    twin.send('\nT=20.5\nT=2');
    await Promise.all([link.stop(), link.stop()]);
    expect(lines().slice(2)).toEqual(['frame T=20.5 #1', 'discard cut-tail 3 T=2 #1', 'closed stopped #1']);
    expect([twin.open, clock.nextUs()]).toEqual([0, null]);
    link.write(bytes('late'), 9);
    twin.send('T=20.6\n');
    await runFor(clock, 100 * S);
    expect(lines()).toHaveLength(5);
  });

  it('gives up an opening under way, and leaves neither timer nor connection', async () => {
    twin.hold();
    const link = start();
    await settle();
    await link.stop();
    expect(lines()).toEqual(['opening starting #0', 'closed stopped #0']);
    twin.release();
    await runFor(clock, 100 * S);
    expect([twin.open, twin.knocks, clock.nextUs()]).toEqual([0, 1, null]);
    expect(lines()).toHaveLength(2);
  });

  it('closes what a door opens although it was told to stop', async () => {
    let open = (): void => {};
    const door: Door = {
      name: 'deaf door',
      async open(handlers) {
        await new Promise<void>((resolve) => {
          open = resolve;
        });
        return twin.door.open(handlers);
      },
    };
    const link = start({ door });
    await settle();
    const stopped = link.stop();
    open();
    await stopped;
    expect([twin.knocks, twin.open, clock.nextUs()]).toEqual([1, 0, null]);
    expect(lines()).toEqual(['opening starting #0', 'closed stopped #0']);
  });

  it('cancels the next knock', async () => {
    twin.unplug();
    const link = start();
    await runFor(clock, S);
    const { knocks } = twin;
    await link.stop();
    twin.plug();
    await runFor(clock, 100 * S);
    expect([twin.knocks, clock.nextUs()]).toEqual([knocks, null]);
    expect(lines()).toEqual(['opening starting #0', 'closed not-found #0', 'closed stopped #0']);
  });

  it('answers the writes under way first', async () => {
    const link = start();
    await settle();
    link.write(bytes('R1\n'), 5);
    await link.stop();
    expect(lines().filter((line) => line.startsWith('write'))).toEqual(['write 5 failed']);
    expect(twin.written).toEqual([]);
  });

  it.each(['open connected', 'frame', 'discard', 'closed unplugged'])(
    'works from within the event "%s"',
    async (when) => {
      const link: { current: Supervised | null; stopped: Promise<void> | null } = { current: null, stopped: null };
      link.current = start({
        onEvent(event) {
          if (told(event).startsWith(when)) link.stopped ??= link.current?.stop() ?? null;
        },
      });
      await settle();
      twin.send('tail\nT=1\nT=2\nT=3');
      twin.unplug();
      await link.stopped;
      const count = events.length;
      await runFor(clock, 100 * S);
      expect(events).toHaveLength(count);
      expect(lines().at(-1)).toMatch(/^closed stopped/);
      expect([twin.open, clock.nextUs()]).toEqual([0, null]);
    },
  );
});

it(`whatever happens, states alternate, connections count up and no frame is invented (seed ${SEED})`, async () => {
  const deed = fc.oneof(
    { weight: 6, arbitrary: fc.record({ do: fc.constant('send'), text: fc.constantFrom('1\n', '22\r\n', '3', '\r') }) },
    { weight: 2, arbitrary: fc.record({ do: fc.constant('wait'), ms: fc.integer({ min: 1, max: 9_000 }) }) },
    fc.record({ do: fc.constantFrom('unplug', 'plug', 'drop', 'refuse', 'allow', 'hold', 'release', 'write') }),
  );
  await fc.assert(
    fc.asyncProperty(fc.array(deed, { maxLength: 60 }), async (deeds) => {
      clock = virtualClock();
      twin = memoryTwin('probe');
      events = [];
      const link = start();
      let requests = 0;
      /** What was said on each connection. */
      const said = new Map<number, string>();
      for (const one of deeds as { do: string; text?: string; ms?: number }[]) {
        if (one.do === 'send') {
          await settle();
          const connection =
            events.flatMap(({ event }) => (event.kind === 'link' ? [event.connection] : [])).at(-1) ?? 0;
          if (twin.open === 1) said.set(connection, (said.get(connection) ?? '') + one.text);
          twin.send(one.text ?? '');
        } else if (one.do === 'wait') await runFor(clock, (one.ms ?? 1) * MS);
        else if (one.do === 'unplug') twin.unplug();
        else if (one.do === 'plug') twin.plug();
        else if (one.do === 'drop') twin.drop('io-error');
        else if (one.do === 'refuse') twin.refuse('busy');
        else if (one.do === 'allow') twin.refuse(null);
        else if (one.do === 'hold') twin.hold();
        else if (one.do === 'release') twin.release();
        else link.write(bytes('?'), ++requests);
      }
      await link.stop();
      expect([twin.open, clock.nextUs()]).toEqual([0, null]);

      let state = '';
      let connection = 0;
      let results = 0;
      for (const { event } of events) {
        if (event.kind === 'link') {
          expect(event.connection).toBe(event.state === 'open' ? connection + 1 : connection);
          if (event.state === 'open') expect(state).not.toBe('open');
          ({ state, connection } = event);
        } else if (event.kind === 'write-result') results += 1;
        else {
          expect([state, event.connection]).toEqual(['open', connection]);
          if (event.kind === 'frame') {
            const whole = (said.get(connection) ?? '').split(/[\r\n]/).slice(1, -1);
            expect(whole).toContain(Buffer.from(event.bytes).toString('latin1'));
          }
        }
      }
      expect(state).toBe('closed');
      expect(results).toBe(requests);
    }),
    { seed: SEED, numRuns: 150 },
  );
});
