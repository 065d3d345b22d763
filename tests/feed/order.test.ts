import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { anAction, FakeSource } from './fake-source.ts';
import { eventually, heldBack, type Listener, startTestFeed, type TestFeed } from './harness.ts';

let t: TestFeed;
beforeEach(async () => {
  t = await startTestFeed();
});
afterEach(() => t.close());

const numbers = (from: number, to: number): number[] => Array.from({ length: to - from + 1 }, (_, i) => from + i);

describe('a new client', () => {
  test('gets hello, then the snapshot, and nothing else until something happens', async () => {
    t.source.add(5);
    const client = t.client();
    expect(await client.next('snapshot')).toMatchObject({ event: 5, bench: { name: 'Bay 3' } });
    await client.handled();
    expect(client.types).toEqual(['hello', 'snapshot', 'error']);
    expect(client.of('hello')[0]).toMatchObject({ protocol: 1, journal: 'journal-one', lastEvent: 5 });
  });

  test('then gets each event once, in order', async () => {
    t.source.add(5);
    const client = t.client();
    await client.next('snapshot');
    t.source.add();
    t.source.add(250);
    t.source.add();
    await client.next('event', 252);
    await client.handled();
    expect(client.events).toEqual(numbers(6, 257));
  });
});

describe('live values', () => {
  test('go out at most ten times a second, the latest value winning', async () => {
    const client = t.client();
    await client.next('snapshot');
    for (let us = 0; us < 1_000_000; us += 10_000) {
      t.clock.advanceTo(us);
      t.source.changeLive(us);
    }
    t.clock.advanceTo(1_000_000);
    await client.handled();
    const levels = client.of('live').map(({ levelMm }) => levelMm);
    expect(levels.length).toBeGreaterThan(8);
    expect(levels.length).toBeLessThanOrEqual(11);
    expect(levels.at(-1)).toBe(990_000);
  });

  test('go out once a second when nothing changes, so that silence means a lost line', async () => {
    const client = t.client();
    await client.next('snapshot');
    t.clock.advanceTo(5_000_000);
    await client.next('live', 5);
    await client.handled();
    expect(client.of('live')).toHaveLength(5);
  });

  test('never come before the snapshot, even while missed events are being sent', async () => {
    t.source.add(10);
    const held = heldBack();
    t.source.beforeEvents = () => held.promise;
    const client = t.client('?since=0');
    await client.next('hello');
    t.source.changeLive();
    t.clock.advanceTo(3_000_000);
    await client.handled();
    expect(client.types).toEqual(['hello', 'error']);
    held.release();
    await client.next('snapshot');
    expect(client.events).toEqual(numbers(1, 10));
    t.source.changeLive();
    t.clock.advanceTo(3_200_000);
    await client.next('live');
  });

  test('are not computed when nobody looks', async () => {
    let asked = 0;
    const live = t.source.live.bind(t.source);
    t.source.live = () => {
      asked++;
      return live();
    };
    t.source.changeLive();
    t.clock.advanceTo(10_000_000);
    expect(asked).toBe(0);
  });
});

describe('a client that comes back', () => {
  test('gets all that it missed before the snapshot, in pages', async () => {
    t.source.add(1000);
    const client = t.client('?since=10&journal=journal-one');
    expect(await client.next('snapshot')).toMatchObject({ event: 1000 });
    expect(client.events).toEqual(numbers(11, 1000));
    expect(client.types[0]).toBe('hello');
    expect(client.types.at(-1)).toBe('snapshot');
    expect(Math.max(...t.source.asked.map(({ limit }) => limit))).toBeLessThanOrEqual(100);
  });

  test.each([
    ['everything is known', '?since=7&journal=journal-one', []],
    ['it has nothing yet and knows no journal', '?since=0', [1, 2, 3, 4, 5, 6, 7]],
  ])('goes on without a word about replay when %s', async (_name, query, events) => {
    t.source.add(7);
    const client = t.client(query);
    await client.next('snapshot');
    expect(client.events).toEqual(events);
    expect(client.of('cannot-replay')).toEqual([]);
  });

  test.each([
    ['other-journal', '?since=3&journal=journal-two', 7],
    ['other-journal', '?since=3', 7],
    ['ahead', '?since=8&journal=journal-one', 7],
    ['too-many', '?since=3&journal=journal-one', 10_004],
  ])('is told %s for %s, and goes on from the snapshot', async (why, query, lastEvent) => {
    t.source.add(lastEvent);
    const client = t.client(query);
    await client.next('snapshot');
    expect(client.types).toEqual(['hello', 'cannot-replay', 'snapshot']);
    expect(client.of('cannot-replay')[0]).toMatchObject({ why, lastEvent });
    t.source.add();
    await client.next('event');
    expect(client.events).toEqual([lastEvent + 1]);
  });

  test('gets exactly the largest number of events that is replayed', async () => {
    t.source.add(10_003);
    const client = t.client('?since=3&journal=journal-one');
    await client.next('snapshot');
    expect(client.events).toEqual(numbers(4, 10_003));
  });

  test.each(['-1', '1.5', '1e3', '', 'x', '1&since=2', '99999999999999999999'])(
    'is refused with since=%s',
    async (since) => {
      await expect(t.client(`?since=${since}`).next('hello')).rejects.toThrow('400');
    },
  );
});

describe('no event is skipped or doubled', () => {
  test('when events arrive during every step of the replay', async () => {
    t.source.add(350);
    let steps = 0;
    t.source.beforeEvents = async () => {
      if (steps++ < 20) t.source.add(7);
      await Promise.resolve();
      if (steps < 20) t.source.add();
    };
    const client = t.client('?since=0');
    await client.next('snapshot');
    t.source.add(3);
    await client.until(() => client.events.at(-1) === t.source.lastEvent());
    expect(steps).toBeGreaterThan(20);
    expect(client.events).toEqual(numbers(1, t.source.lastEvent()));
    expectSnapshotInPlace(client);
  });

  test('when the source hands out more than was asked for, or something twice', async () => {
    t.source.add(30);
    const honest = t.source.events.bind(t.source);
    t.source.events = async (since, limit) => {
      await honest(since, limit);
      const from = Math.max(0, since - 5);
      return Array.from({ length: Math.min(12, t.source.lastEvent() - from) }, (_, i) => t.source.event(from + 1 + i));
    };
    const client = t.client('?since=2&journal=journal-one');
    await client.next('snapshot');
    t.source.add(20);
    await client.next('event', 48);
    await client.handled();
    expect(client.events).toEqual(numbers(3, 50));
    expectSnapshotInPlace(client);
  });

  test('when the state is a little behind the events: what it does not contain comes after it', async () => {
    t.source.add(30);
    const snapshot = t.source.snapshot.bind(t.source);
    t.source.snapshot = () => ({ ...snapshot(), event: 20 });
    const honest = t.source.events.bind(t.source);
    t.source.events = (since) => honest(since, 100);
    const [back, fresh] = [t.client('?since=0'), t.client()];
    await back.next('event', 30);
    await fresh.next('event', 10);
    expect(back.events).toEqual(numbers(1, 30));
    expect(fresh.events).toEqual(numbers(21, 30));
    expectSnapshotInPlace(back);
    expectSnapshotInPlace(fresh);
  });

  test('when the record cannot be read for a while: it is tried again', async () => {
    t.source.add(5);
    t.source.beforeEvents = () => {
      throw new Error('disk input/output error');
    };
    const client = t.client('?since=0');
    await client.next('hello');
    await client.handled();
    expect(client.types).toEqual(['hello', 'error']);
    expect(t.log).toContainEqual(
      expect.objectContaining({ level: 'warn', about: { error: 'disk input/output error' } }),
    );
    t.source.beforeEvents = () => {};
    t.clock.advanceTo(t.clock.nowUs() + 1_000_000);
    await client.next('snapshot');
    expect(client.events).toEqual(numbers(1, 5));
  });

  test('when the reader lags behind the announcement: it is asked again later, not in a loop', async () => {
    const client = t.client();
    await client.next('snapshot');
    const honest = t.source.events.bind(t.source);
    t.source.events = async (since, limit) => {
      await honest(since, limit);
      return [];
    };
    t.source.add(3);
    await client.handled();
    expect(t.source.asked).toHaveLength(1);
    t.source.events = honest;
    t.clock.advanceTo(t.clock.nowUs() + 1_000_000);
    await client.next('event', 3);
    expect(client.events).toEqual([1, 2, 3]);
  });

  test('wherever the connection is cut: after every single message, the journal comes out whole', async () => {
    const total = 12;
    t.source.add(4);
    // What one client sees that is never cut: the places to cut at are counted in its messages.
    for (let cutAfter = 1; cutAfter <= total + 2; cutAfter++) {
      const got: number[] = [];
      let since = 0;
      let connections = 0;
      while (since < total) {
        connections++;
        const client = t.client(`?since=${since}&journal=journal-one`);
        let seen = 0;
        let cut = false;
        client.ws.prependListener('message', () => {
          seen++;
          if (t.source.lastEvent() < total) t.source.add();
        });
        // The first connection is cut after `cutAfter` messages, all that follow after two more each.
        await client.until(() => {
          cut = seen >= (connections === 1 ? cutAfter : cutAfter + 2 * connections);
          return cut || client.events.at(-1) === total;
        });
        const kept = client.messages.slice(0, connections === 1 ? cutAfter : cutAfter + 2 * connections);
        client.ws.terminate();
        for (const message of kept) {
          if (message.type !== 'event') continue;
          got.push(message.outcome.event);
          since = message.outcome.event;
        }
        if (connections > 50) throw new Error('it does not get ahead');
      }
      expect(got, `cut after ${cutAfter} messages`).toEqual(numbers(1, total));
      await t.close();
      t = await startTestFeed();
      t.source.add(4);
    }
  });
});

/** What came before the snapshot is in it, and what came after is not. */
function expectSnapshotInPlace(client: Listener): void {
  const at = client.types.indexOf('snapshot');
  const event = client.of('snapshot')[0]?.event ?? 0;
  client.messages.forEach((message, i) => {
    if (message.type === 'event') expect(message.outcome.event <= event).toBe(i < at);
  });
}

describe('an action', () => {
  test('is answered once its outcome is known, and comes to all as an event', async () => {
    const [one, two] = [t.client(), t.client()];
    await one.next('snapshot');
    await two.next('snapshot');
    one.send(anAction('action-0001'));
    expect(await one.next('action-result')).toMatchObject({ actionId: 'action-0001', accepted: true, event: 1 });
    await one.next('event');
    await two.next('event');
    expect(two.of('action-result')).toEqual([]);
    const { type: _type, ...request } = anAction('action-0001');
    expect(t.source.acted).toEqual([request]);
  });

  test('that fails inside is answered by an error with its id, and the connection stays', async () => {
    t.source.beforeAct = () => {
      throw new Error('secret detail');
    };
    const client = t.client();
    await client.next('snapshot');
    client.send(anAction('action-0001'));
    const error = await client.next('error');
    expect(error).toMatchObject({ code: 'failed', words: expect.stringContaining('action-0001') });
    expect(error.words).not.toContain('secret');
    await client.handled();
  });

  test('is not taken while 32 of the same client wait for their outcome', async () => {
    const held = heldBack();
    t.source.beforeAct = () => held.promise;
    const client = t.client();
    await client.next('snapshot');
    for (let i = 0; i < 33; i++) client.send(anAction(`action-${1000 + i}`));
    expect(await client.next('error')).toMatchObject({ code: 'busy', words: expect.stringContaining('action-1032') });
    held.release();
    await client.next('action-result', 32);
    expect(t.source.acted).toHaveLength(32);
  });

  test('whose client has gone does no harm', async () => {
    const held = heldBack();
    t.source.beforeAct = () => held.promise;
    const [gone, stays] = [t.client(), t.client()];
    await gone.next('snapshot');
    await stays.next('snapshot');
    gone.send(anAction('action-0001'));
    await gone.handled();
    gone.ws.terminate();
    await gone.closed;
    held.release();
    await stays.next('event');
  });
});

describe('the end', () => {
  test('a client that cannot be greeted is closed with 1011, and the feed stays', async () => {
    const hello = t.source.hello.bind(t.source);
    t.source.hello = () => {
      throw new Error('no bench');
    };
    expect(await t.client().closed).toBe(1011);
    expect(t.log).toContainEqual(expect.objectContaining({ level: 'error', about: { error: 'no bench' } }));
    t.source.hello = hello;
    await t.client().next('snapshot');
  });

  test('live values that cannot be had are logged, and the feed stays', async () => {
    const client = t.client();
    await client.next('snapshot');
    const live = t.source.live.bind(t.source);
    t.source.live = () => {
      throw new Error('no values');
    };
    t.source.changeLive();
    t.clock.advanceTo(200_000);
    expect(t.log).toContainEqual(expect.objectContaining({ level: 'error', about: { error: 'no values' } }));
    t.source.live = live;
    t.source.changeLive(5);
    t.clock.advanceTo(400_000);
    expect(await client.next('live')).toMatchObject({ levelMm: 5 });
  });

  test('closes every client with 1001, leaves the source and frees the port', async () => {
    const client = t.client();
    await client.next('snapshot');
    const { port } = t;
    await Promise.all([t.feed.close(), t.feed.close()]);
    expect(await client.closed).toBe(1001);
    expect(t.source.listeners).toBe(0);
    expect(t.clock.nextUs()).toBeNull();
    const next = await startTestFeed({ port, source: new FakeSource() });
    await next.client().next('snapshot');
    await next.close();
  });

  test('a client that leaves is forgotten', async () => {
    const clients = [t.client(), t.client(), t.client()];
    for (const client of clients) await client.next('snapshot');
    expect(t.feed.load().clients).toBe(3);
    for (const client of clients) client.ws.close();
    for (const client of clients) await client.closed;
    await eventually(() => t.feed.load().clients === 0);
  });
});
