import { describe, expect, it, vi } from 'vitest';
import { virtualClock } from '../../src/links/clock.ts';
import { codeOf, connectionLife, messageOf, within } from '../../src/links/door-parts.ts';
import { bytes, listener } from './listener.ts';

describe('the life of a connection', () => {
  it('hands nothing over after its end, and ends once with its first reason', () => {
    const heard = listener();
    const life = connectionLife('port', heard);
    life.arrive(bytes('a'));
    expect([life.ended, life.end('unplugged', 'first'), life.ended, life.end('stopped', 'second')]).toEqual([
      false,
      true,
      true,
      false,
    ]);
    life.arrive(bytes('b'));
    expect([heard.text, heard.late, heard.ends]).toEqual(['a', [], [{ reason: 'unplugged', detail: 'first' }]]);
  });

  it('begins no write after its end', async () => {
    const life = connectionLife('port', listener());
    life.end('unplugged', '');
    const start = vi.fn(() => Promise.resolve());
    await expect(life.write(start)).rejects.toMatchObject({
      reason: 'unplugged',
      message: expect.stringMatching(/^port/),
    });
    expect(start).not.toHaveBeenCalled();
  });

  it('has rejected the writes under way before it tells its end', async () => {
    const order: string[] = [];
    const life = connectionLife('port', {
      onBytes: () => {},
      onEnd: () => void Promise.resolve().then(() => order.push('end')),
    });
    const stuck = life.write(() => new Promise(() => {})).catch(() => order.push('write'));
    life.end('unplugged', '');
    await stuck;
    await Promise.resolve();
    expect(order).toEqual(['write', 'end']);
  });

  it('passes on how a write went', async () => {
    const life = connectionLife('port', listener());
    await life.write(() => Promise.resolve());
    await expect(life.write(() => Promise.reject(new Error('full')))).rejects.toThrow('full');
  });
});

describe('the limit of an opening', () => {
  it('passes on what comes in time, and leaves no timer and no ear', async () => {
    const clock = virtualClock();
    const { signal } = new AbortController();
    const removed = vi.spyOn(signal, 'removeEventListener');
    const abandon = vi.fn();
    expect(await within({ work: Promise.resolve(7), abandon }, clock, 1_000, signal)).toBe(7);
    await expect(within({ work: Promise.reject(new Error('no')), abandon }, clock, 1_000, undefined)).rejects.toThrow(
      'no',
    );
    expect([clock.nextUs(), removed.mock.calls.length, abandon.mock.calls.length]).toEqual([null, 1, 0]);
  });

  it('gives up at the limit and when it is aborted, once', async () => {
    const clock = virtualClock();
    const controller = new AbortController();
    const abandon = vi.fn();
    const never = new Promise<never>(() => {});
    const late = within({ work: never, abandon }, clock, 1_000_000, controller.signal);
    clock.advanceTo(1_000_000);
    controller.abort();
    await expect(late).rejects.toMatchObject({ reason: 'timed-out', message: 'no connection within 1 s' });
    const aborted = within({ work: never, abandon }, clock, 1_000_000, controller.signal);
    await expect(aborted).rejects.toMatchObject({ reason: 'stopped' });
    expect([clock.nextUs(), abandon.mock.calls.length]).toEqual([null, 2]);
  });
});

it('reads codes and words from whatever was thrown', () => {
  expect([codeOf(Object.assign(new Error('x'), { code: 'ENOENT' })), codeOf({ code: 5 }), codeOf(null)]).toEqual([
    'ENOENT',
    '',
    '',
  ]);
  expect([messageOf(new Error('words')), messageOf('plain')]).toEqual(['words', 'plain']);
});
