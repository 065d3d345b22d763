/** The demonstration bench with its boards as Modbus slaves on one line: a pulled cable, ready, a reading, a replay. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { stillwell } from '../support/cli.ts';
import { Follower } from '../support/follower.ts';

const keep = mkdtempSync(join(tmpdir(), 'stillwell-e2e-modbus-'));
const demo = stillwell('demo', '--instruments', 'modbus', '--port', '0', '--keep', keep);
afterAll(async () => {
  await demo.stop();
  rmSync(keep, { recursive: true, force: true });
});

test('it comes to a reading through a pulled cable, and its record replays', { timeout: 170_000 }, async () => {
  const [url] = await demo.says(/http:\S+/);
  const follower = new Follower(url);
  await follower.until('the pulled cable', () =>
    follower.events.some(({ outcome }) => outcome.kind === 'alarm' && outcome.state === 'active'),
  );
  await follower.until('values again', () =>
    follower.events.some(({ outcome }) => outcome.kind === 'alarm' && outcome.state === 'returned'),
  );
  const { outcome } = await follower.until('a reading', () =>
    follower.events.find((event) => event.outcome.kind === 'reading'),
  );
  if (outcome.kind !== 'reading') throw new Error('no reading');
  expect(outcome.reading.U95Mm).toBeLessThan(1);
  const discarded: Partial<Record<string, number>> = follower.live?.instruments.line?.discarded ?? {};
  expect(discarded['device-busy']).toBeGreaterThan(0);
  expect(discarded['illegal-address']).toBeUndefined();
  follower.close();

  expect(await demo.stop()).toBe(0);
  const file = join(keep, 'bench.yaml');
  expect(readFileSync(file, 'utf8')).toContain('driver: modbus');
  const check = stillwell('check', file);
  expect(await check.ended, check.output()).toBe(0);
  const replay = stillwell('replay', join(keep, 'demo.journal'));
  expect(await replay.ended, replay.output()).toBe(0);
  expect(replay.output()).toMatch(/seal: intact[\s\S]*replay: equal: \d+ outcomes/);
});
