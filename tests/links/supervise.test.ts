import { beforeEach, describe, expect, it } from 'vitest';
import type { ConnectionHandlers, Door } from '../../src/links/contract.ts';
import { bytes } from './listener.ts';
import { clock, events, lines, linkDetails, MS, reset, S, start, timed, twin } from './supervised-twin.ts';
import { runFor, runUntil, settle } from './virtual-time.ts';

beforeEach(reset);

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
      twin.send('busy, try ag');
      if (twin.open === 1) twin.drop('remote-closed');
    }
    expect(twin.knocks).toBeLessThan(35);
    await link.stop();
  });

  it('knocks after 250 ms again once it has had data, however long it was away before', async () => {
    twin.unplug();
    const link = start();
    await runUntil(clock, 60 * S);
    twin.plug();
    await runUntil(clock, 62 * S);
    twin.send('\nT=20.5\n');
    twin.unplug();
    const { knocks } = twin;
    await runFor(clock, 249_999);
    expect(twin.knocks).toBe(knocks);
    await runFor(clock, 1);
    expect(twin.knocks).toBe(knocks + 1);
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

  it('S2: fails while no connection stands, and nothing of it is delivered later', async () => {
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
