import { type ChildProcessWithoutNullStreams, spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { readJournal } from '../../src/journal/read-file.ts';
import { hasStrace, testWith } from './parts.ts';
import { seeded } from './scenario.ts';
import { temporaryFolder, watch } from './watched.ts';

const CHILD = fileURLToPath(new URL('../../dist/tests/journal/append-child.js', import.meta.url));

let folder: ReturnType<typeof temporaryFolder>;
let path: string;
beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder.path, 'bay.journal');
});
afterEach(() => folder.remove());

interface Told {
  readonly lines: string[];
  readonly events: number[];
  readonly errors: string;
}

/** Collects what the child says until it ends; `each` sees every line. */
async function listen(
  child: ChildProcessWithoutNullStreams,
  each: (line: string, count: number) => void,
): Promise<Told> {
  const lines: string[] = [];
  const errors: Buffer[] = [];
  child.stderr.on('data', (chunk: Buffer) => errors.push(chunk));
  const ended = once(child, 'exit');
  for await (const line of createInterface({ input: child.stdout })) {
    lines.push(line);
    each(line, lines.length);
  }
  await ended;
  return {
    lines,
    errors: Buffer.concat(errors).toString(),
    events: lines.flatMap((line) => /^event (\d+)$/.exec(line)?.[1] ?? []).map(Number),
  };
}

/** The file opens for reading, its seal holds, and it holds every event up to `announced`. */
function checkFile(announced: number): number {
  const file = readJournal(path);
  try {
    expect(file.verifySeal()).toMatchObject({ ok: true, firstFault: null });
    const stored = [...file.entries()].flatMap((entry) => (entry.kind === 'outcome' ? [entry.outcome.event] : []));
    expect(stored).toEqual(Array.from({ length: stored.length }, (_, i) => i + 1));
    expect(stored.length).toBeGreaterThanOrEqual(announced);
    return stored.length;
  } finally {
    file.close();
  }
}

describe('a process that is killed', () => {
  const rounds = Number(process.env.KILL_ROUNDS ?? 30);
  const seed = Number(process.env.SEED ?? Math.floor(Math.random() * 1e6));

  test(`at any moment, ${rounds} times over one journal, loses nothing that was announced (seed ${seed})`, async () => {
    const random = seeded(seed);
    let announced = 0;
    let killedAnnounced = 0;
    for (let round = 0; round < rounds; round += 1) {
      // Line 1 is out before the file is touched, line 2 when it is open: some kills fall into the opening.
      const last = 1 + Math.floor(random() * random() * 80);
      const child = spawn(process.execPath, [CHILD, path, String(seed + round)]);
      const told = await listen(child, (_line, count) => {
        if (count === last) child.kill('SIGKILL');
      });
      expect(told.errors).toBe('');
      announced = Math.max(announced, ...told.events);
      killedAnnounced += told.events.length;
      if (announced > 0) expect(checkFile(announced), `seed ${seed}, round ${round}`).toBeGreaterThanOrEqual(announced);
    }
    expect(killedAnnounced).toBeGreaterThan(rounds);
    const { journal } = await watch(path);
    expect(journal.opened.movedAside).toBeNull();
    expect(journal.opened.carried.lastEvent).toBeGreaterThanOrEqual(announced);
    await journal.close();
  }, 300_000);

  test('holds the journal as long as it lives and no longer', async () => {
    const child = spawn(process.execPath, [CHILD, path, '1']);
    let refusal: unknown = null;
    let asked = false;
    await listen(child, (line) => {
      if (asked || !line.startsWith('event')) return;
      asked = true;
      void watch(path)
        .catch((error: unknown) => {
          refusal = error;
        })
        .finally(() => child.kill('SIGKILL'));
    });
    expect(refusal).toMatchObject({ code: 'journal-locked' });
    const { journal } = await watch(path);
    expect(journal.opened).toMatchObject({ lastRun: 1, movedAside: null });
    await journal.close();
  });
});

describe('under strace', () => {
  const withStrace = testWith('strace', hasStrace());

  withStrace(
    'every announced outcome has had a sync of its own',
    async () => {
      const log = join(folder.path, 'strace.log');
      const readings = 20;
      const trace = ['-f', '-qq', '-e', 'trace=fsync,fdatasync,write', '-e', 'signal=none', '-o', log];
      const child = spawn('strace', [...trace, process.execPath, CHILD, path, '3', String(readings)]);
      const told = await listen(child, () => {});
      expect(told.events.length).toBe(readings + 1);
      // In the order of the calls: between two announcements there is at least one sync that has returned 0.
      let synced = 0;
      const counts: number[] = [];
      for (const line of readFileSync(log, 'utf8').split('\n')) {
        if (/(fsync|fdatasync)(\(\d+\)| resumed>\)) += 0/.test(line)) synced += 1;
        if (/write\(1, "event /.test(line)) {
          counts.push(synced);
          synced = 0;
        }
      }
      expect(counts.length).toBe(readings + 1);
      expect(Math.min(...counts)).toBeGreaterThanOrEqual(1);
    },
    60_000,
  );

  /** Runs a child of 8 readings in which syncs fail as strace is told. */
  function failing(when: string, each: (line: string, child: ChildProcessWithoutNullStreams) => void): Promise<Told> {
    const quiet = ['-f', '-qq', '-e', 'trace=fsync,fdatasync', '-e', 'signal=none', '-o', '/dev/null'];
    const inject = ['-e', `inject=fsync,fdatasync:error=EIO:when=${when}`];
    const child = spawn('strace', [...quiet, ...inject, process.execPath, CHILD, path, '1', '8']);
    return listen(child, (line) => each(line, child));
  }

  withStrace(
    'one sync that fails, whichever it is, is overcome; while the file is being opened it is told',
    async () => {
      let overcome = 0;
      for (let nth = 1; nth <= 18; nth += 1) {
        path = join(folder.path, `once-${nth}.journal`);
        const told = await failing(String(nth), () => {});
        if (told.lines.includes('closed')) {
          overcome += 1;
          expect(told.lines.filter((line) => line.startsWith('refused'))).toEqual([]);
          expect(told.events.at(-1), `sync ${nth}`).toBe(17);
          expect(checkFile(17), `sync ${nth}`).toBe(17);
        } else {
          expect(told.events, `sync ${nth}`).toEqual([]);
          expect(told.errors).toMatch(/journal-unreachable/);
        }
      }
      expect(overcome).toBeGreaterThanOrEqual(9);
    },
    120_000,
  );

  withStrace(
    'syncs that fail from some moment on stop the announcements, and what was announced is there',
    async () => {
      for (let nth = 8; nth <= 16; nth += 2) {
        path = join(folder.path, `ever-${nth}.journal`);
        let refused = 0;
        const told = await failing(`${nth}+`, (line, child) => {
          if (line === 'refused SQLITE_IOERR_FSYNC') refused += 1;
          if (refused === 3) spawnSync('kill', ['-9', String(childOf(child.pid))]);
        });
        expect(refused, `sync ${nth}`).toBeGreaterThanOrEqual(3);
        const heard = told.lines.findIndex((line) => line.startsWith('refused'));
        expect(told.lines.slice(heard).filter((line) => line.startsWith('event'))).toEqual([]);
        if (told.events.length > 0) checkFile(Math.max(...told.events));
      }
    },
    120_000,
  );
});

/** The process that a tracer has started. */
function childOf(pid: number | undefined): number {
  return Number(readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').trim());
}
