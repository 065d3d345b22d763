import { describe, expect, it } from 'vitest';
import { virtualClock } from '../../src/links/clock.ts';
import { doorFor, stageFor } from '../../src/links/make.ts';
import { memoryTwin } from '../../src/links/memory.ts';
import { bytes, latin1, listener } from './listener.ts';

describe('the door of a description', () => {
  const clock = virtualClock();

  it('is of its kind', () => {
    expect(doorFor({ kind: 'tcp', host: '127.0.0.1', port: 4001 }, clock).name).toBe('tcp 127.0.0.1:4001');
    expect(
      doorFor({ kind: 'serial', find: { by: 'path', path: '/dev/ttyUSB7' }, baud: 9600, identify: null }, clock).name,
    ).toBe('serial port /dev/ttyUSB7');
    const twin = memoryTwin('probe');
    expect(doorFor({ kind: 'memory', name: 'probe' }, clock, { probe: twin.door })).toBe(twin.door);
  });

  it('stays shut where no device in memory has the name', async () => {
    const door = doorFor({ kind: 'memory', name: 'nobody' }, clock);
    await expect(door.open(listener())).rejects.toMatchObject({ name: 'LinkFault', reason: 'not-found' });
  });
});

it('the stage of a framing by lines keeps the cap of the framing', () => {
  const told: string[] = [];
  const stage = stageFor(
    { kind: 'lines', capBytes: 4 },
    { onFrame: (frame) => told.push(latin1(frame)), onDiscard: (reason) => told.push(reason) },
  );
  stage.push(bytes('\n1234\n12345\n'));
  expect(told).toEqual(['1234', 'too-long']);
});
