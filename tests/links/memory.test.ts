import { expect, it } from 'vitest';
import { memoryTwin } from '../../src/links/memory.ts';
import { describeDoor } from './door-conformance.ts';
import { latin1, listener } from './listener.ts';

describeDoor('memory', () => {
  const twin = memoryTwin();
  return {
    door: twin.door,
    send: (chunk) => twin.send(chunk),
    received: () => latin1(...twin.written),
    unplug: () => twin.unplug(),
    plug: () => twin.plug(),
    whenGone: { end: 'unplugged', open: 'not-found' },
    dispose: () => twin.unplug(),
  };
});

it('a memory twin refuses with the reason it was given until told otherwise', async () => {
  const twin = memoryTwin();
  twin.refuse('forbidden', 'not in the group');
  await expect(twin.door.open(listener())).rejects.toMatchObject({ reason: 'forbidden', message: 'not in the group' });
  twin.refuse(null);
  await twin.door.open(listener());
  expect([twin.knocks, twin.open]).toEqual([2, 1]);
});

it('a memory twin takes one connection at a time', async () => {
  const twin = memoryTwin();
  await twin.door.open(listener());
  await expect(twin.door.open(listener())).rejects.toMatchObject({ reason: 'busy' });
});

it('a memory twin loses what it sends while nobody is connected', async () => {
  const twin = memoryTwin();
  twin.send('lost');
  const heard = listener();
  await twin.door.open(heard);
  twin.send('kept');
  expect(heard.text).toBe('kept');
});

it('a memory twin can drop a connection while it stays plugged in', async () => {
  const twin = memoryTwin();
  const heard = listener();
  await twin.door.open(heard);
  twin.drop('io-error', 'noise');
  expect(heard.ends).toEqual([{ reason: 'io-error', detail: 'noise' }]);
  await twin.door.open(listener());
});
