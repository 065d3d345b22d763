/** Killed at random moments: what was announced is in the journal, the journal opens, and it replays. */
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { EventMessage } from '../../src/feed/messages.ts';
import { readJournal } from '../../src/journal/read-file.ts';
import { TalkingBoards } from '../support/boards.ts';
import { stillwell } from '../support/cli.ts';
import { noise } from '../support/core-rig.ts';
import { Follower } from '../support/follower.ts';

const ROUNDS = Number(process.env.STILLWELL_KILL_ROUNDS ?? (process.env.STILLWELL_ALL === '1' ? 30 : 6));
const seed = Number(process.env.STILLWELL_SEED ?? 41);

const boards = new TalkingBoards();
let file = '';
beforeAll(async () => {
  file = await boards.start(20);
});
afterAll(() => boards.stop());

test(`kill -9 at ${ROUNDS} random moments loses nothing that was announced`, { timeout: ROUNDS * 10_000 }, async () => {
  console.log(`seed ${seed}, ${ROUNDS} rounds`);
  const random = noise(seed);
  const journal = join(boards.dir, 'kill.journal');
  const announced: EventMessage[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const run = stillwell('run', file, '--port', '0', '--journal', journal);
    const [url] = await run.says(/http:\S+/);
    const follower = new Follower(url);
    const snapshot = await follower.until('snapshot', () => follower.messages.find(({ type }) => type === 'snapshot'));
    if (snapshot.type !== 'snapshot') throw new Error('no snapshot');
    expect(snapshot.event).toBeGreaterThanOrEqual(announced.at(-1)?.outcome.event ?? 0);
    // Actions one after the other, so that at any moment something is on its way to the disk.
    let revision = snapshot.revision;
    let n = 0;
    const act = () =>
      follower.send({
        type: 'action',
        actionId: `round-${round}-${n++}`,
        actor: 'Ines',
        role: 'technician',
        expectedRevision: revision,
        body: n % 2 === 0 ? { type: 'take-reading' } : { type: 'note', text: `note ${n}` },
      });
    // Fewer than the feed takes from one client in a second.
    const stopAt = 4 + Math.floor((random() + 1) * 20);
    // Every fifth round is killed on its way to ready, the others while readings are being taken.
    if (round % 5 !== 4) await follower.until('ready', () => follower.live?.ready);
    act();
    let heard = 0;
    await follower.until('enough results', () => {
      const results = follower.messages.filter((message) => message.type === 'action-result');
      while (heard < results.length) {
        revision = results[heard]?.revision ?? revision;
        heard++;
        act();
      }
      return heard >= stopAt;
    });
    await run.stop('SIGKILL');
    follower.close();
    announced.push(...follower.events);
  }
  const readings = announced.filter(({ outcome }) => outcome.kind === 'reading').length;
  console.log(`${announced.length} events announced, ${readings} of them readings`);
  expect(readings).toBeGreaterThan(ROUNDS);

  const kept = new Map<number, string>();
  const opened = readJournal(journal);
  for (const entry of opened.entries())
    if (entry.kind === 'outcome') kept.set(entry.outcome.event, JSON.stringify(sorted(entry.outcome)));
  expect(opened.verifySeal()).toMatchObject({ ok: true });
  opened.close();
  const missing = announced.filter(({ outcome }) => kept.get(outcome.event) !== JSON.stringify(sorted(outcome)));
  expect(missing).toEqual([]);

  const replay = stillwell('replay', journal);
  expect(await replay.ended, replay.output()).toBe(0);
  expect(replay.output()).toContain('replay: equal');
});

function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(
    Object.entries(value)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, inner]) => [key, sorted(inner)]),
  );
}
