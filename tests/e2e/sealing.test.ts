/** Jobs of a running bench are sealed as they close; what a kill left undone is made up for at the next start. */
import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { TalkingBoards } from '../support/boards.ts';
import { type Cli, stillwell } from '../support/cli.ts';
import { Follower } from '../support/follower.ts';

const boards = new TalkingBoards();
let file = '';
let journal = '';
beforeAll(async () => {
  file = await boards.start(20);
  journal = join(boards.dir, 'seal.journal');
});
const started: Cli[] = [];
afterAll(async () => {
  for (const run of started) run.process.kill('SIGKILL');
  await boards.stop();
});

const SEALED = /"job":(\d+),"file":"([^"]+)"/;

function start(): Cli {
  const run = stillwell('run', file, '--port', '0', '--journal', journal, '--log', 'info');
  started.push(run);
  return run;
}

async function follow(run: Cli) {
  const [url] = await run.says(/http:\S+/);
  const follower = new Follower(url);
  const snapshot = await follower.until('snapshot', () => follower.messages.find(({ type }) => type === 'snapshot'));
  let revision = snapshot.type === 'snapshot' ? snapshot.revision : 0;
  let n = 0;
  const act = async (body: object) => {
    const actionId = `action-${revision}-${n++}`;
    follower.send({ type: 'action', actionId, actor: 'Ines', role: 'technician', expectedRevision: revision, body });
    const result = await follower.until('a result', () =>
      follower.messages.find((message) => message.type === 'action-result' && message.actionId === actionId),
    );
    if (result.type === 'action-result') revision = result.revision;
    return result;
  };
  return { follower, act };
}

async function verified(...args: readonly string[]): Promise<{ code: number | null; text: string }> {
  const check = stillwell('verify', ...args);
  return { code: await check.ended, text: check.output() };
}

test('closed, sealed, checked; killed in the middle of a job and while sealing, sealed all the same', {
  timeout: 90_000,
}, async () => {
  const first = start();
  const [, publicFile] = await first.says(/"publicFile":"([^"]+)"/);
  const one = await follow(first);
  await one.act({ type: 'start-job', label: 'Saw 3' });
  await one.follower.until('ready', () => one.follower.live?.ready);
  await one.act({ type: 'take-reading' });
  await one.act({ type: 'close-job' });
  const [, , sealed] = await first.says(SEALED);
  expect(sealed).toMatch(/sealed\/seal-[0-9a-f]{8}-job-1\.sealed$/);
  const key = ['--key', publicFile as string];
  const check = await verified(sealed as string, ...key);
  expect(check.text).toMatch(/Signature valid: yes[\s\S]*expected: yes[\s\S]*intact: yes[\s\S]*frames: yes \([1-9]/);
  expect(check.code).toBe(0);

  // Job 2 is open when the power goes.
  await one.act({ type: 'start-job', label: 'Saw 4' });
  await one.act({ type: 'take-reading' });
  await first.stop('SIGKILL');
  one.follower.close();

  // Job 2 closes in the next run; its file is then made to look as if the power had gone while it was written.
  const second = start();
  const two = await follow(second);
  await two.follower.until('ready', () => two.follower.live?.ready);
  await two.act({ type: 'take-reading' });
  await two.act({ type: 'close-job' });
  await second.says(/"job":2,"file"/);
  two.follower.close();
  expect(await second.stop()).toBe(0);
  const later = (sealed as string).replace('job-1', 'job-2');
  const whole = readFileSync(later);
  rmSync(later);
  writeFileSync(`${later}.part`, whole.subarray(0, whole.length / 3));

  const third = start();
  await third.says(/"job":2,"file"/);
  expect(await third.stop()).toBe(0);
  expect(readFileSync(later).equals(whole)).toBe(true);
  expect(existsSync(`${later}.part`)).toBe(false);
  const again = await verified(later, ...key, '--journal', journal);
  expect(again.text).toMatch(/^Job 2, Saw 4,[\s\S]*says the same: yes/);
  expect(again.code).toBe(0);
  expect(first.output() + second.output() + third.output()).not.toContain('PRIVATE');
});

test('a key that others may read: the bench runs, says what to do, and seals nothing', {
  timeout: 60_000,
}, async () => {
  const key = join(boards.dir, 'signing-key.pem');
  const text = readFileSync(key);
  rmSync(key);
  const run = start();
  await run.says(/it is missing, but .*\[signing-key\]/);
  await run.says(/http:\S+/);
  expect(await run.stop()).toBe(0);
  writeFileSync(key, text, { mode: 0o644 });
  const open = start();
  await open.says(/chmod 600 .*\[signing-key\]/);
  expect(await open.stop()).toBe(0);
});
