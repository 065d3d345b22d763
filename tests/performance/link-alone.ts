/**
 * The link alone against the stock stream and parser, both delivering lines to a counter, side by side in one run; and
 * where the time goes, by leaving out one part after the other.
 */
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { PtyPort } from '../../simulators/pty.ts';
import { ROOT } from '../repo/house.ts';
import { median, type Pace, range } from './figures.ts';

const WAYS = ['bare', 'link', 'bare-stream', 'link-lines', 'link-door'] as const;
type Way = (typeof WAYS)[number];

/** All lines have this length, so that a way without a parser can count them. */
const LINE_BYTES = 15;
const BATCH = 64;
const WARM_UP = 100_000;

/** CPU time per line, µs: all of it, and what the system spent of it; lines per read, where they were counted. */
interface Cost {
  readonly us: number;
  readonly systemUs: number;
  readonly linesPerRead: number;
}

/** One child from its start to its answer. */
async function costOf(way: Way, pace: Pace, count: number): Promise<Cost> {
  const dir = mkdtempSync(join(tmpdir(), 'stillwell-link-alone-'));
  const port = new PtyPort(join(dir, 'gauge'));
  await port.plug();
  const child = spawn(
    process.execPath,
    [
      join(ROOT, 'dist/tests/performance/link-child.js'),
      way,
      port.address.kind === 'serial' ? port.address.path : '',
    ].concat([LINE_BYTES, WARM_UP, count].map(String)),
    { stdio: ['ignore', 'pipe', 'inherit'] },
  );
  try {
    let said = '';
    let answer: { user: number; system: number; reads: number } | null = null;
    const opened = new Promise<void>((resolve, reject) => {
      child.once('exit', () => reject(new Error(`${way}: the measured process ended before it had its lines`)));
      child.stdout.on('data', (text: Buffer) => {
        said += text.toString();
        if (said.includes('open\n')) resolve();
        const json = /\{.*\}(?=\n)/.exec(said);
        if (json) answer = JSON.parse(json[0]);
      });
    });
    await opened;
    let n = 0;
    const line = (): string => `sonar;${(62 + ((n++ * 7) % 11) / 100).toFixed(2)};mm\n`;
    const batch = (): Promise<void> => port.write(Buffer.from(Array.from({ length: BATCH }, line).join('')));
    const done = (): boolean => answer !== null;
    while (n <= WARM_UP) await batch();
    const from = n;
    const start = performance.now();
    while (!done()) {
      if (pace === 'full') await batch();
      else {
        await port.write(Buffer.from(line()));
        const aheadMs = ((n - from) / pace) * 1000 - (performance.now() - start);
        if (aheadMs > 1) await wait(aheadMs);
      }
    }
    const { user, system, reads } = answer as unknown as { user: number; system: number; reads: number };
    return { us: (user + system) / count, systemUs: system / count, linesPerRead: count / reads };
  } finally {
    child.kill('SIGKILL');
    await port.unplug();
    rmSync(dir, { recursive: true, force: true });
  }
}

/** Every way once per round, in turn from the front and from the back, so that a drift of the machine meets all. */
async function rounds(pace: Pace, count: number, pairs: number): Promise<Record<Way, Cost[]>> {
  const costs: Record<Way, Cost[]> = { bare: [], link: [], 'bare-stream': [], 'link-lines': [], 'link-door': [] };
  for (let round = 0; round < pairs; round++) {
    for (const way of round % 2 === 0 ? WAYS : WAYS.toReversed()) costs[way].push(await costOf(way, pace, count));
  }
  return costs;
}

/** Measures, and tells the results in Markdown. */
export async function linkAlone(pairs: number, say: (text: string) => void): Promise<void> {
  say('The link alone (search, door, session, line stage) against serialport and its line parser; every line goes to');
  say('a counter.\n');
  say('| load | link, µs of CPU per line | bare script | ratio (median of pairs) | smallest to largest |');
  say('|---|---|---|---|---|');
  const words: string[] = [];
  for (const [label, pace, count] of [
    ['200 lines/s for 4 s', 200, 800],
    ['as fast as the port takes them', 'full', 150_000],
  ] as const) {
    const costs = await rounds(pace, count, pairs);
    const ratios = costs.link.map((cost, round) => cost.us / (costs.bare[round] as Cost).us);
    const us = (way: Way): number => median(costs[way].map((cost) => cost.us));
    say(`| ${label} | ${us('link').toFixed(1)} | ${us('bare').toFixed(1)} | ${range(ratios)} |`);
    words.push(`- ${label}: ${shares(costs)}`);
  }
  say('\nWhere the time goes (medians; each part is what leaving it out saves):\n');
  for (const one of words) say(one);
}

function shares(costs: Record<Way, Cost[]>): string {
  const us = (way: Way): number => median(costs[way].map((cost) => cost.us));
  const system = (way: Way): number => median(costs[way].map((cost) => cost.systemUs / cost.us)) * 100;
  const perRead = (way: Way): string => median(costs[way].map((cost) => cost.linesPerRead)).toFixed(1);
  const percent = (part: number, whole: number): string => `${Math.max(0, (part / whole) * 100).toFixed(0)} %`;
  const link: [string, number][] = [
    [`reading the port and watching its path (${perRead('link-door')} lines a read)`, us('link-door')],
    ['cutting lines', us('link-lines') - us('link-door')],
    ['session and supervisor (time stamps, silence, pauses)', us('link') - us('link-lines')],
  ];
  const bare: [string, number][] = [
    [`the stock stream (${perRead('bare-stream')} lines a read)`, us('bare-stream')],
    ['its line parser', us('bare') - us('bare-stream')],
  ];
  const listed = (parts: [string, number][], whole: number): string =>
    parts
      .toSorted(([, a], [, b]) => b - a)
      .map(([name, part]) => `${name} ${percent(part, whole)}`)
      .join(', ');
  return (
    `of the link's time ${listed(link, us('link'))}; the system's own share is ${system('link').toFixed(0)} %. ` +
    `Of the bare script's ${listed(bare, us('bare'))}; the system's own share is ${system('bare').toFixed(0)} %.`
  );
}
