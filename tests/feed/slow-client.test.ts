import { afterEach, beforeEach, expect, test } from 'vitest';
import { anAction } from './fake-source.ts';
import { eventually, rawWebSocket, startTestFeed, type TestFeed } from './harness.ts';

let t: TestFeed;
beforeEach(async () => {
  t = await startTestFeed();
});
afterEach(() => t.close());

const KIB = 1024;

test('a client that stops reading costs less than 1 MB, and gets everything when it reads again', async () => {
  t.source.noteLength = 2000;
  const events = 13_000;
  t.source.readings = false;
  const sizeMb = (events * Buffer.byteLength(JSON.stringify(t.source.event(1)))) / 1e6;
  expect(sizeMb).toBeGreaterThan(50);
  const client = t.client();
  await client.next('snapshot');
  client.ws.pause();
  let most = 0;
  const sample = (): number => {
    most = Math.max(most, t.feed.load().bufferedBytes);
    return most;
  };
  t.source.beforeEvents = () => void sample();
  t.source.add(events);
  await eventually(() => sample() >= 256 * KIB);
  const askedWhenFull = t.source.asked.length;
  // Ten seconds of changing values and new events: nothing of it is sent or fetched for this client.
  const liveUs = 10_000_000;
  for (let us = 0; us <= liveUs; us += 50_000) {
    t.clock.advanceTo(us);
    t.source.changeLive(us);
    t.source.add();
    await eventually(() => sample() > 0);
  }
  expect(t.source.asked.length).toBeLessThanOrEqual(askedWhenFull + 1);
  expect(most).toBeLessThan(1_000_000);
  console.log(`${sizeMb.toFixed(0)} MB to send, at most ${Math.round(most / 1000)} kB waiting`);

  client.ws.resume();
  await client.until(() => client.events.at(-1) === t.source.lastEvent());
  expect(client.events).toEqual(Array.from({ length: t.source.lastEvent() }, (_, i) => i + 1));
  t.clock.advanceTo(liveUs + 200_000);
  await client.until(() => client.of('live').at(-1)?.levelMm === liveUs);
  expect(sample()).toBeLessThan(1_000_000);
});

test('a client that has drained gets the latest values at once, without waiting for a change', async () => {
  t.source.noteLength = 2000;
  const client = t.client();
  await client.next('snapshot');
  client.ws.pause();
  t.source.add(5_000);
  await eventually(() => t.feed.load().bufferedBytes >= 256 * KIB);
  t.source.changeLive(77);
  t.clock.advanceTo(500_000);
  client.ws.resume();
  await client.until(() => client.events.at(-1) === 5_000);
  t.clock.advanceTo(600_000);
  expect((await client.next('live')).levelMm).toBe(77);
});

test('a slow client does not slow the others', async () => {
  t.source.noteLength = 2000;
  const [slow, quick] = [t.client(), t.client()];
  await slow.next('snapshot');
  await quick.next('snapshot');
  slow.ws.pause();
  t.source.add(8_000);
  await quick.until(() => quick.events.at(-1) === 8_000);
  expect(quick.events).toHaveLength(8_000);
  expect(t.feed.load().clients).toBe(2);
});

test('a client that stays stuck is cut off at the second heartbeat, and one that answers stays', async () => {
  t.source.noteLength = 2000;
  const [stuck, healthy] = [t.client(), t.client()];
  await stuck.next('snapshot');
  await healthy.next('snapshot');
  stuck.ws.pause();
  t.source.add(5_000);
  await eventually(() => t.feed.load().bufferedBytes >= 256 * KIB);
  await healthy.until(() => healthy.events.at(-1) === 5_000);
  for (const us of [15_000_000, 30_000_000, 45_000_000, 60_000_000]) {
    t.clock.advanceTo(us);
    // The answer to the first comes after the ping, so the pong is there before the second.
    await healthy.handled();
    await healthy.handled();
  }
  await eventually(() => t.feed.load().clients === 1);
  expect(t.feed.load().bufferedBytes).toBe(0);
  t.source.add();
  await healthy.until(() => healthy.events.at(-1) === 5_001);
});

test('a peer that died without a word is gone in less than two heartbeats', async () => {
  t.clock.advanceTo(1_000_000);
  const { closed } = await rawWebSocket(t.port);
  expect(t.feed.load().clients).toBe(1);
  t.clock.advanceTo(29_999_999);
  expect(t.feed.load().clients).toBe(1);
  t.clock.advanceTo(30_999_999);
  await closed;
  await eventually(() => t.feed.load().clients === 0);
});

test('a client that asks and asks but never reads is cut off at 1 MB, however alive it claims to be', async () => {
  t.source.noteLength = 2000;
  const client = t.client();
  await client.next('snapshot');
  client.ws.pause();
  t.source.add(5_000);
  await eventually(() => t.feed.load().bufferedBytes >= 256 * KIB);
  const bad = JSON.stringify({ ...anAction('action-0001'), ['x'.repeat(400)]: 1 });
  let most = 0;
  let seconds = 0;
  while (t.feed.load().clients > 0) {
    for (let i = 0; i < 45; i++) client.send(bad);
    client.ws.pong();
    // All before it has been handled when this one has.
    client.send(anAction('action-0001'));
    await eventually(() => t.feed.load().clients === 0 || t.source.acted.length > seconds);
    most = Math.max(most, t.feed.load().bufferedBytes);
    t.clock.advanceTo(++seconds * 1_000_000);
  }
  expect(most).toBeGreaterThan(512 * KIB);
  expect(most).toBeLessThan(1100 * KIB);
  expect(t.clock.nowUs()).toBeGreaterThan(30_000_000);
});

test('a stuck client does not hold up the end', async () => {
  t.source.noteLength = 2000;
  const client = t.client();
  await client.next('snapshot');
  client.ws.pause();
  t.source.add(5_000);
  await eventually(() => t.feed.load().bufferedBytes >= 256 * KIB);
  await t.feed.close();
  expect(t.feed.load()).toEqual({ clients: 0, bufferedBytes: 0 });
});
