import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { chromium, type Page } from 'playwright-core';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { realClock } from '../../src/links/clock.ts';
import { FakeSource } from './fake-source.ts';
import { startTestFeed, type TestFeed } from './harness.ts';

const CHROMIUM = '/usr/bin/chromium';
const CHROMIUM_FLAGS = [
  ...['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run'],
  ...['--disable-background-networking', '--disable-component-update', '--disable-sync'],
];
const without = !existsSync(CHROMIUM) && process.env.STILLWELL_ALL !== '1';

const examples = new URL('../../docs/examples/', import.meta.url);
const example = (name: string): string => readFileSync(new URL(name, examples), 'utf8');
const files = {
  'index.html': '<!doctype html>',
  // Browsers ask for it.
  'favicon.ico': '',
  'feed-client-browser.html': example('feed-client-browser.html'),
  'feed-client-browser.js': example('feed-client-browser.js'),
};

let t: TestFeed;
let source: FakeSource;
const start = (port = 0): Promise<TestFeed> => startTestFeed({ source, clock: realClock(), port, files });
beforeEach(async () => {
  source = new FakeSource();
  t = await start();
});
afterEach(() => t.close());

/** The bench goes away, two readings are taken meanwhile, and it comes back at the same address. */
async function restartWithTwoReadings(): Promise<void> {
  await t.close();
  source.add(7);
  t = await start(t.port);
}

describe('the example for Node', () => {
  test('prints readiness with its reason and each reading once, across a lost connection', async () => {
    const child = spawn(process.execPath, [fileURLToPath(new URL('feed-client-node.mjs', examples)), t.feed.url]);
    try {
      const lines = linesOf(child);
      await lines.until('WAIT: 31.0 °C is below 38.0 °C.');
      source.ready = true;
      source.changeLive();
      await lines.until('READY to read.');
      source.add(3);
      await lines.until('Reading: 60.03 mm ± 0.31 mm at 40 °C (event 3)');
      await restartWithTwoReadings();
      await lines.until('Reading: 60.09 mm ± 0.31 mm at 40 °C (event 9)');
      source.add(2);
      await lines.until('Reading: 60.12 mm ± 0.31 mm at 40 °C (event 12)');
      const said = lines.all.filter((line) => !line.startsWith('No connection'));
      expect(said).toEqual([
        'Connected to Bay 3.',
        'WAIT: 31.0 °C is below 38.0 °C.',
        'READY to read.',
        ...[3].map(readingLine),
        'Connected to Bay 3.',
        ...[6, 9, 12].map(readingLine),
      ]);
    } finally {
      child.kill();
    }
  });
});

const readingLine = (event: number): string =>
  `Reading: ${(60 + event / 100).toFixed(2)} mm ± 0.31 mm at 40 °C (event ${event})`;

function linesOf(child: ChildProcess): { all: string[]; until(line: string): Promise<void> } {
  const all: string[] = [];
  let rest = '';
  let check = (): void => {};
  const take = (data: Buffer): void => {
    const parts = `${rest}${data.toString()}`.split('\n');
    rest = parts.pop() ?? '';
    all.push(...parts);
    check();
  };
  child.stdout?.on('data', take);
  child.stderr?.on('data', take);
  child.on('exit', () => check());
  return {
    all,
    until: (line) =>
      new Promise((resolve, reject) => {
        check = () => {
          if (all.includes(line)) resolve();
          else if (child.exitCode !== null) reject(new Error(`it ended: ${all.join('\n')}`));
        };
        check();
      }),
  };
}

describe.skipIf(without)('the example for browsers (needs chromium)', () => {
  test('shows readiness with its reason and each reading once, across a lost connection', async () => {
    const browser = await chromium.launch({ executablePath: CHROMIUM, args: CHROMIUM_FLAGS });
    try {
      const page = await browser.newPage();
      const complaints: string[] = [];
      page.on('console', (message) => complaints.push(message.text()));
      await page.goto(`${t.feed.url}/feed-client-browser.html`);
      await shows(page, '#bench', 'Bay 3');
      await shows(page, '#ready', 'WAIT');
      await shows(page, '#why', '31.0 °C is below 38.0 °C.');
      source.ready = true;
      source.changeLive();
      await shows(page, '#ready', 'READY to read');
      source.add(3);
      await shows(page, '#readings li:nth-child(1)', '60.03 mm ± 0.31 mm at 40 °C');
      expect(complaints).toEqual([]);
      await restartWithTwoReadings();
      await shows(page, '#readings li:nth-child(3)', '60.09 mm ± 0.31 mm at 40 °C');
      await shows(page, '#line', 'Connected.');
      expect(await page.locator('#readings li').allTextContents()).toEqual([
        '60.03 mm ± 0.31 mm at 40 °C',
        '60.06 mm ± 0.31 mm at 40 °C',
        '60.09 mm ± 0.31 mm at 40 °C',
      ]);
    } finally {
      await browser.close();
    }
  });

  test('does not work from elsewhere: a page of another origin gets no connection and no data', async () => {
    const browser = await chromium.launch({ executablePath: CHROMIUM, args: CHROMIUM_FLAGS });
    try {
      const page = await browser.newPage();
      const outcome = await page.evaluate(async (address) => {
        const { WebSocket: Socket } = globalThis as unknown as { WebSocket: new (url: string) => EventTarget };
        const socket = new Socket(`${address.replace('http', 'ws')}/feed`);
        const opened = await new Promise((resolve) => {
          socket.addEventListener('open', () => resolve('open'));
          socket.addEventListener('error', () => resolve('refused'));
        });
        const data = await fetch(`${address}/api/snapshot`).then(
          () => 'read',
          () => 'refused',
        );
        return { opened, data };
      }, t.feed.url);
      expect(outcome).toEqual({ opened: 'refused', data: 'refused' });
    } finally {
      await browser.close();
    }
  });
});

/** Waits until an element has this text. */
async function shows(page: Page, selector: string, text: string): Promise<void> {
  await page
    .locator(selector)
    .getByText(text, { exact: true })
    .or(page.locator(selector, { hasText: text }))
    .first()
    .waitFor();
}
