/**
 * The link alone, and then the whole path, against a bare script, side by side in one run: CPU time per line, paced and
 * as fast as the port takes it. Prints ratios; a ratio is a claim, a time is not.
 */
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { ptysAvailable } from '../../simulators/libc.ts';
import { ROOT } from '../repo/house.ts';
import { TalkingBoards } from '../support/boards.ts';
import { type Cli, stillwell } from '../support/cli.ts';
import { Follower } from '../support/follower.ts';
import { median, type Pace, range } from './figures.ts';
import { linkAlone } from './link-alone.ts';

const TICKS_PER_S = 100;
const PAIRS = Number(process.env.STILLWELL_PAIRS ?? 5);

interface Contender {
  readonly name: string;
  start(
    boards: TalkingBoards,
    file: string,
    round: number,
  ): Promise<{ pid: number; url: string; lines(): number; stop(): Promise<unknown> }>;
}

const whole: Contender = {
  name: 'stillwell',
  async start(boards, file, round) {
    const cli: Cli = stillwell('run', file, '--port', '0', '--journal', join(boards.dir, `whole-${round}.journal`));
    const [url] = await cli.says(/http:\S+/);
    const follower = new Follower(url);
    await follower.until('snapshot', () => follower.live);
    return {
      pid: cli.process.pid as number,
      url,
      lines: () => follower.live?.instruments.sonar?.frames ?? 0,
      stop: () => {
        follower.close();
        return cli.stop();
      },
    };
  },
};

const bare: Contender = {
  name: 'bare script',
  async start(boards, _file, round) {
    const path = boards.sonar.address.kind === 'serial' ? boards.sonar.address.path : '';
    const child = spawn(process.execPath, [
      join(ROOT, 'dist/tests/performance/bare-child.js'),
      path,
      join(boards.dir, `bare-${round}.db`),
    ]);
    let lines = 0;
    const url = await new Promise<string>((resolve) =>
      child.stdout.on('data', (chunk: Buffer) => {
        const text = chunk.toString();
        const count = text.match(/lines (\d+)/g)?.at(-1);
        if (count) lines = Number(count.slice(6));
        const address = /http:\S+/.exec(text);
        if (address) resolve(address[0]);
      }),
    );
    const follower = new Follower(url);
    return {
      pid: child.pid as number,
      url,
      lines: () => lines,
      async stop() {
        follower.close();
        child.kill('SIGKILL');
      },
    };
  },
};

/** User and system time of a process and its threads, s. */
function cpuS(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8')
    .replace(/^.*\) /, '')
    .split(' ');
  return (Number(fields[11]) + Number(fields[12])) / TICKS_PER_S;
}

async function measure(
  contender: Contender,
  boards: TalkingBoards,
  file: string,
  round: number,
  pace: Pace,
  count: number,
) {
  const running = await contender.start(boards, file, round);
  await wait(1500);
  const before = { cpu: cpuS(running.pid), lines: running.lines(), at: performance.now() };
  let n = 0;
  const line = () => `sonar;${(62 + ((n++ * 7) % 11) / 100).toFixed(2)};mm\n`;
  if (pace === 'full') {
    while (n < count) await boards.sonar.write(Buffer.from(Array.from({ length: 64 }, line).join('')));
  } else {
    const start = performance.now();
    while (n < count) {
      await boards.sonar.write(Buffer.from(line()));
      const ahead = (n / pace) * 1000 - (performance.now() - start);
      if (ahead > 1) await wait(ahead);
    }
  }
  while (running.lines() - before.lines < count * 0.98) await wait(20);
  const seconds = (performance.now() - before.at) / 1000;
  const result = { cpuUs: ((cpuS(running.pid) - before.cpu) / count) * 1e6, linesPerS: count / seconds };
  await running.stop();
  return result;
}

if (!ptysAvailable()) {
  process.stdout.write('skipped: pseudo-terminals are missing on this platform\n');
} else {
  process.stdout.write(
    `${cpus()[0]?.model ?? 'unknown processor'}, ${cpus().length} cores, Node ${process.version}, ${PAIRS} pairs\n\n`,
  );
  await linkAlone(PAIRS, (text) => process.stdout.write(`${text}\n`));
  process.stdout.write('\nThe whole path: decoded, judged, kept, and sent to one client.\n\n');
  const boards = new TalkingBoards();
  const file = await boards.start(500);
  process.stdout.write(
    '| load | stillwell, µs of CPU per line | bare script | ratio (median of pairs) | smallest to largest |\n|---|---|---|---|---|\n',
  );
  for (const [label, pace, count] of [
    ['200 lines/s for 5 s', 200, 1000],
    ['as fast as the port takes them', 'full', 50_000],
  ] as const) {
    const pairs: [number, number][] = [];
    for (let round = 0; round < PAIRS; round++) {
      const a = await measure(whole, boards, file, round + count, pace, count);
      const b = await measure(bare, boards, file, round + count, pace, count);
      pairs.push([a.cpuUs, b.cpuUs]);
    }
    const ratios = pairs.map(([a, b]) => a / b);
    const figures = [median(pairs.map(([a]) => a)), median(pairs.map(([, b]) => b))].map((us) => us.toFixed(1));
    process.stdout.write(`| ${label} | ${figures[0]} | ${figures[1]} | ${range(ratios)} |\n`);
  }
  await boards.stop();
}
