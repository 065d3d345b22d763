import fc from 'fast-check';
import { beforeEach, describe, expect, it } from 'vitest';
import type { Door } from '../../src/links/contract.ts';
import type { Supervised } from '../../src/links/supervise.ts';
import { bytes, told } from './listener.ts';
import { clock, events, lines, MS, reset, S, start, twin } from './supervised-twin.ts';
import { runFor, settle } from './virtual-time.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? Date.now() % 1_000_000_007);

beforeEach(reset);

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

  it.each([
    ['opens', () => twin.door],
    ['fails', () => ({ name: 'broken door', open: () => Promise.reject(new Error('broken')) })],
  ])('waits for a door that does not listen, and closes what it still opens: it %s', async (_, behind) => {
    let answer = (): void => {};
    const door: Door = {
      name: 'deaf door',
      async open(handlers) {
        await new Promise<void>((resolve) => {
          answer = resolve;
        });
        return behind().open(handlers);
      },
    };
    const link = start({ door });
    await settle();
    let settled = false;
    const stopped = link.stop().then(() => {
      settled = true;
    });
    await settle();
    expect(settled).toBe(false);
    answer();
    await stopped;
    expect([twin.open, clock.nextUs()]).toEqual([0, null]);
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

  it('waits for the answer of a write, however slow', async () => {
    const door: Door = {
      name: 'slow door',
      async open(handlers) {
        const { close } = await twin.door.open(handlers);
        return { write: () => settle().then(settle).then(settle), close };
      },
    };
    const link = start({ door });
    await settle();
    link.write(bytes('R1\n'), 5);
    await link.stop();
    expect(lines().slice(2)).toEqual(['closed stopped #1', 'write 5 ok']);
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
      reset();
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
