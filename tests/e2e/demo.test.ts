/** The demonstration bench as a newcomer sees it: wait, ready, reading, in a real browser on real ports. */
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ROOT } from '../repo/house.ts';
import { type Cli, stillwell } from '../support/cli.ts';
import { Follower } from '../support/follower.ts';
import { BROWSER, BROWSER_FLAGS, WITHOUT_BROWSER } from '../support/parts.ts';
import { takePictures, WHEN_READY, WHILE_WAITING } from './pictures.ts';

const keep = mkdtempSync(join(tmpdir(), 'stillwell-e2e-demo-'));
let demo: Cli;
let url = '';

beforeAll(async () => {
  demo = stillwell('demo', '--port', '0', '--keep', keep);
  [url] = (await demo.says(/http:\S+/)) as unknown as [string];
});
afterAll(async () => {
  await demo.stop();
  rmSync(keep, { recursive: true, force: true });
});

describe.concurrent('the demonstration bench', () => {
  test('a feed client hears wait with a reason and time to go, then ready, then a reading', {
    timeout: 150_000,
  }, async () => {
    const follower = new Follower(url);
    const waiting = await follower.until('a countdown', () =>
      follower.live?.gates.find(({ id, open, toGo }) => id === 'window' && !open && toGo !== null),
    );
    expect(waiting.words).toContain('too cold');
    await follower.until('the pulled cable', () =>
      follower.events.some(({ outcome }) => outcome.kind === 'alarm' && outcome.state === 'active'),
    );
    await follower.until('values again', () =>
      follower.events.some(({ outcome }) => outcome.kind === 'alarm' && outcome.state === 'returned'),
    );
    const reading = await follower.until('a reading', () =>
      follower.events.find(({ outcome }) => outcome.kind === 'reading'),
    );
    const ready = follower.events.findIndex(({ outcome }) => outcome.kind === 'ready' && outcome.ready);
    expect(ready).toBeGreaterThanOrEqual(0);
    expect(ready).toBeLessThan(follower.events.indexOf(reading));
    if (reading.outcome.kind !== 'reading') throw new Error('no reading');
    expect(reading.outcome.reading.U95Mm).toBeLessThan(1);
    const { discarded } = follower.live?.instruments.sonar ?? { discarded: {} };
    expect(Object.keys(discarded)).toContain('first-partial');
    follower.close();
  });

  test.skipIf(BROWSER === null)(`a browser shows it${WITHOUT_BROWSER}`, { timeout: 150_000 }, async () => {
    const browser = await chromium.launch({ executablePath: BROWSER as string, args: BROWSER_FLAGS });
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 }, colorScheme: 'light' });
    const faults: string[] = [];
    page.on('pageerror', (error) => faults.push(error.message));
    page.on('console', (message) => message.type() === 'error' && faults.push(message.text()));
    await page.goto(url);
    await page.getByText('too cold for the window').first().waitFor();
    await page.locator('.countdown').first().waitFor();
    await takePictures(browser, url, WHILE_WAITING);
    await page.locator('.state[data-state=ready]').waitFor({ timeout: 120_000 });
    await page.locator('.sure-value').waitFor();
    await takePictures(browser, url, WHEN_READY);
    await page.locator('nav a[data-to=job]').click();
    await page.getByText(/°C, sure to /).waitFor();
    expect(faults).toEqual([]);
    await browser.close();
  });
});

test('stopped, its record replays to the same outcomes with an intact seal, and its bench file has no mistake', async () => {
  expect(await demo.stop()).toBe(0);
  const replay = stillwell('replay', join(keep, 'demo.journal'));
  expect(await replay.ended, replay.output()).toBe(0);
  expect(replay.output()).toMatch(/seal: intact[\s\S]*replay: equal: \d+ outcomes/);
  const check = stillwell('check', join(keep, 'bench.yaml'));
  expect(await check.ended, check.output()).toBe(0);
});

test('the picture in the README exists', () => {
  expect(existsSync(join(ROOT, 'docs/pictures/page-ready.png'))).toBe(true);
});
