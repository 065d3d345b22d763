import { PassThrough } from 'node:stream';
import { expect, it, vi } from 'vitest';
import { virtualClock } from '../../src/links/clock.ts';
import { stdinDoor } from '../../src/links/stdin.ts';
import { type LinkEvent, supervise } from '../../src/links/supervise.ts';
import { bytes, latin1, listener, told } from './listener.ts';
import { runFor, settle } from './virtual-time.ts';

const S = 1_000_000;

function piped() {
  const input = new PassThrough();
  const clock = virtualClock();
  const lines: string[] = [];
  const link = supervise({
    door: stdinDoor(() => input),
    instrument: 'logger',
    framing: { kind: 'lines', capBytes: 64 },
    clock,
    intervalUs: 100_000,
    onEvent: (event: LinkEvent) => lines.push(told(event)),
  });
  return { input, clock, lines, link };
}

it('what is piped in is read, and its end is final', async () => {
  const { input, clock, lines, link } = piped();
  await settle();
  input.write('x\nT=20.5\nT=2');
  await settle();
  input.end();
  await vi.waitFor(() => expect(lines.at(-1)).toMatch(/^closed/));
  await runFor(clock, 100 * S);
  expect(lines).toEqual([
    'opening starting #0',
    'open connected #1',
    'discard first-partial 1 x #1',
    'frame T=20.5 #1',
    'discard cut-tail 3 T=2 #1',
    'closed remote-closed #1',
  ]);
  expect(clock.nextUs()).toBeNull(); // nobody waits to try again
  link.reopen('resumed', 'the computer slept');
  await runFor(clock, 10 * S);
  expect(lines).toHaveLength(6);
  await link.stop();
  expect(clock.nextUs()).toBeNull();
});

it('silence does not close it, nor does a pause of the computer', async () => {
  const { input, clock, lines, link } = piped();
  await runFor(clock, 100 * S);
  link.reopen('resumed', 'the computer slept');
  await settle();
  input.write('\nT=20.5\n');
  await settle();
  expect(lines.slice(2)).toEqual(['frame T=20.5 #1']);
  await link.stop();
  expect(input.destroyed).toBe(true);
});

it('it opens once, and takes no questions', async () => {
  const input = new PassThrough();
  const door = stdinDoor(() => input);
  const heard = listener();
  const connection = await door.open(heard);
  await expect(connection.write(bytes('R\n'))).rejects.toMatchObject({ reason: 'io-error' });
  await connection.close();
  await connection.close();
  expect(heard.ends.map(({ reason }) => reason)).toEqual(['stopped']);
  await expect(door.open(listener())).rejects.toMatchObject({ reason: 'remote-closed' });
  expect(latin1(...heard.chunks)).toBe('');
});
