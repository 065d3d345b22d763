/** One job through many power cuts: nothing announced of it is lost, it stands where it was, and every cut is marked. */
import { appendFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Carried, carry, NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { ActionBody, Outcome } from '../../src/core/events.ts';
import type { EventMessage, Snapshot } from '../../src/feed/messages.ts';
import { readJournal } from '../../src/journal/read-file.ts';
import { TalkingBoards } from '../support/boards.ts';
import { stillwell } from '../support/cli.ts';
import { noise } from '../support/core-rig.ts';
import { Follower } from '../support/follower.ts';

const ROUNDS = Number(process.env.STILLWELL_KILL_ROUNDS ?? (process.env.STILLWELL_ALL === '1' ? 30 : 6));
const seed = Number(process.env.STILLWELL_SEED ?? 43);

/** Round and round, so that one job lasts through all cuts. */
const PROCEDURE = `procedure: rounds
title: Round and round
version: 1
purpose: A job that a test keeps going.
measures:
  jug: { name: Jug, by: jug, step: 50 mL, uncertainty: 2 %, each: 10 mL }
steps:
  - step: look
    title: Look
    tick: [First, Second, Third]
  - step: figures
    title: Figures
    enter:
      pressure: { ask: Pressure of the hall, range: 90 kPa to 110 kPa }
      words: { ask: What is seen }
  - step: draw
    title: Draw some off
    dose: { way: out, several: true, with: [jug] }
  - step: again
    title: And now
    ask:
      round: { answer: Round again, go-to: look }
      read: { answer: Read first }
      end: { answer: That was all, go-to: last }
  - step: reading
    title: Reading
    read: level
    go-to: look
  - step: last
    title: Clean up
    tick: [All is put away]
`;

const boards = new TalkingBoards();
let file = '';
beforeAll(async () => {
  file = await boards.start(20);
  writeFileSync(join(boards.dir, 'rounds.yaml'), PROCEDURE);
  appendFileSync(file, 'procedures: [rounds.yaml]\n');
});
afterAll(() => boards.stop());

test(`kill -9 at ${ROUNDS} random moments of one job loses nothing of it`, { timeout: ROUNDS * 10_000 }, async () => {
  console.log(`seed ${seed}, ${ROUNDS} rounds`);
  const random = noise(seed);
  const journal = join(boards.dir, 'kill-job.journal');
  const announced: EventMessage[] = [];
  const seen: Snapshot[] = [];
  let n = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const run = stillwell('run', file, '--port', '0', '--journal', journal);
    const [url] = await run.says(/http:\S+/);
    const follower = new Follower(url);
    const snapshot = await follower.until('snapshot', () => follower.messages.find(({ type }) => type === 'snapshot'));
    if (snapshot.type !== 'snapshot') throw new Error('no snapshot');
    expect(snapshot.event).toBeGreaterThanOrEqual(announced.at(-1)?.outcome.event ?? 0);
    seen.push(snapshot);
    let revision = snapshot.revision;
    const act = () =>
      follower.send({
        ...{ type: 'action', actionId: `act-${++n}`, actor: 'Ines', role: 'technician', expectedRevision: revision },
        body: next(follower, n),
      });
    // Fewer than the feed takes from one client in a second.
    const stopAt = 4 + Math.floor((random() + 1) * 18);
    act();
    let heard = 0;
    await follower.until('enough results', () => {
      const fault = follower.messages.find(({ type }) => type === 'error');
      if (fault !== undefined) throw new Error(JSON.stringify(fault));
      const results = follower.messages.filter((message) => message.type === 'action-result');
      while (heard < results.length) {
        revision = results[heard]?.revision ?? revision;
        heard++;
        act();
      }
      return heard >= stopAt;
    });
    // The last act is on its way to the disk.
    await run.stop('SIGKILL');
    follower.close();
    announced.push(...follower.events);
  }
  await closeJob(journal);

  const opened = readJournal(journal);
  const outcomes = [...opened.outcomes({})].map(({ outcome }) => outcome);
  expect(opened.verifySeal()).toMatchObject({ ok: true });
  const runs = opened.runs();
  opened.close();
  const kept = new Map(outcomes.map((outcome) => [outcome.event, plainOf(outcome)]));
  const missing = announced.filter(({ outcome }) => !isDeepStrictEqual(kept.get(outcome.event), plainOf(outcome)));
  expect(missing).toEqual([]);
  const kinds = (...of: readonly string[]) => announced.filter(({ outcome }) => of.includes(outcome.kind)).length;
  console.log(
    `${announced.length} events announced: ${kinds('step', 'ticked')} of steps, ${kinds('entered', 'amount')} entries and amounts, ${kinds('reading')} readings`,
  );
  expect(kinds('step')).toBeGreaterThan(ROUNDS);
  expect(kinds('entered', 'amount')).toBeGreaterThan(ROUNDS);

  // What each start showed is what all announced before had made of the job.
  const stood = standings(outcomes);
  for (const { event, progress } of seen.slice(1)) {
    const before = stood.get(event);
    expect(progress?.now?.step ?? null).toBe(before?.progress?.at ?? null);
    expect(plainOf(progress?.entries)).toEqual(plainOf(before?.progress?.entries));
    expect(plainOf(progress?.told)).toEqual(plainOf(before?.progress?.amounts));
    expect(progress?.now?.ticks.filter(({ done }) => done).map(({ id }) => id) ?? []).toEqual(before?.progress?.ticks);
  }

  // Each cut began a run, and no step that a cut fell into says how long it took.
  expect(runs.map(({ run }) => run)).toEqual(Array.from({ length: ROUNDS + 1 }, (_, i) => i + 1));
  const ended = stood.get(Math.max(...stood.keys()))?.progress?.ended ?? [];
  const cut = ended.filter((one, i) => i > 0 && runOf(outcomes, one.event) !== runOf(outcomes, ended[i - 1]?.event));
  expect(cut.length).toBeGreaterThan(0);
  expect(cut.filter(({ tookS }) => tookS !== null)).toEqual([]);

  const replay = stillwell('replay', journal);
  expect(await replay.ended, replay.output()).toBe(0);
  expect(replay.output()).toContain('replay: equal');
  const sealed = readdirSync(join(boards.dir, 'sealed'));
  const verify = stillwell('verify', join(boards.dir, 'sealed', sealed[0] as string));
  expect(await verify.ended, verify.output()).toBe(0);
});

/** What the job asks for, as this client knows it; what came too late for it is refused, which does no harm. */
function next({ messages }: Follower, n: number): ActionBody {
  const newest = messages.findLast(({ type }) => type === 'job' || type === 'snapshot');
  const progress = newest?.type === 'job' || newest?.type === 'snapshot' ? newest.progress : null;
  const now = progress?.now;
  if (now == null) return { type: 'start-job', label: 'Round and round', procedure: 'rounds' };
  const { step } = now;
  switch (now.kind) {
    case 'confirm':
      return { type: 'confirm', step, ticks: [(now.ticks.find(({ done }) => !done) ?? now.ticks[0])?.id ?? step] };
    case 'enter': {
      const open = now.asks.find(({ entered }) => entered === null);
      return {
        type: 'enter',
        name: open?.name ?? 'words',
        value: open?.of === 'quantity' ? 95 + (n % 10) : `seen ${n}`,
      };
    }
    case 'dose':
      if (n % 4 === 0) return { type: 'confirm', step, ticks: [] };
      return { type: 'record-amount', kind: 'out', amount: 0.05 * (1 + (n % 9)), measure: 'jug', tC: 48 };
    case 'ask':
      return { type: 'answer', step, answer: n % 3 === 0 ? 'read' : 'round' };
    default:
      return n % 20 === 0
        ? { type: 'skip-step', step, reason: 'enough waited' }
        : { type: 'take-reading', anyway: 'it is enough' };
  }
}

async function closeJob(journal: string): Promise<void> {
  const run = stillwell('run', file, '--port', '0', '--journal', journal, '--log', 'info');
  const [url] = await run.says(/http:[^\s"]+/);
  const closed = stillwell(
    'job',
    'close',
    '--port',
    new URL(url).port,
    '--as',
    'Ines',
    '--unfinished',
    'it was a test',
  );
  expect(await closed.ended, closed.output()).toBe(0);
  await run.says(/a closed job is sealed/);
  await run.stop();
}

/** Everything that is carried, after each event; up to the close of the job. */
function standings(outcomes: readonly Outcome[]): Map<number, Carried> {
  const after = new Map<number, Carried>();
  let carried = NOTHING_CARRIED;
  for (const outcome of outcomes) {
    if (outcome.kind === 'job' && outcome.change === 'closed') break;
    carried = carry(carried, outcome);
    after.set(outcome.event, carried);
  }
  return after;
}

function runOf(outcomes: readonly Outcome[], event: number | undefined): number | undefined {
  return outcomes.find((outcome) => outcome.event === event)?.run;
}

function plainOf(value: unknown): unknown {
  return value === undefined ? undefined : JSON.parse(JSON.stringify(value));
}
