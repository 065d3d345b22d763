/** The page as an app: it opens without the bench, to the last state, marked old with its time. */
import { cpSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FakeFeed, type Script } from './fake-feed.ts';
import { history, ready, readyEvent, snapshot, waiting } from './scenes.ts';
import { goTo, NEEDS_BROWSER, NO_BROWSER, Stage } from './stage.ts';

const script = (event = 40): Script => ({
  snapshot: () => snapshot(ready(Date.now()), { event }),
  live: () => ready(Date.now()),
  missed: (since) => (since < event ? [readyEvent(event, Date.now() - 60_000, false)] : []),
  history: (channel, seconds) => history(channel, seconds, Date.now(), 48.3),
});

/** What a browser itself says of a bench that is gone. */
const GONE = /ERR_|Failed to load resource|WebSocket connection to/;

describe.skipIf(NO_BROWSER)(`The page without its bench${NEEDS_BROWSER}`, () => {
  const stage = new Stage();
  beforeAll(() => stage.raise());
  afterAll(() => stage.strike());

  it('opens to the last state, marked old, and is live again by itself with what it missed', async () => {
    const { page, feed, faults, end } = await stage.visit(script(), { locale: 'en-GB' }, 'Ines');
    await page.locator('.state[data-state=ready]').waitFor();
    await page.evaluate('navigator.serviceWorker.ready.then(() => true)');
    await page.waitForFunction(`caches.open('stillwell-page').then((c) => c.keys()).then((k) => k.length > 4)`);
    const port = Number(new URL(page.url()).port);
    await feed.stop();

    await page.reload();
    await page.locator('.state[data-state=lost]').waitFor();
    const words = (await page.locator('.now').allInnerTexts()).join('');
    expect(words).toMatch(/LOST[\s\S]*Do not read from it[\s\S]*Last heard \d\d:\d\d:\d\d/);
    expect(words.replaceAll('\u00a0', ' ')).toMatch(/48.3 °C\s+old · \d+ s[\s\S]*62.\d mm\s+old · \d+ s/);
    expect(await page.locator('.figure:not(.old)').count()).toBe(0);
    expect(await page.locator('button.take').isDisabled()).toBe(true);
    await goTo(page, 'instruments');
    expect(await page.locator('[data-channel]:not(.old)').count()).toBe(0);

    const again = new FakeFeed(stage.pageDir, script(41));
    await again.start(port);
    await page.locator('.page.live').waitFor({ timeout: 10_000 });
    expect(again.opened.at(-1)).toBe('/feed?since=40&journal=journal-of-the-test');
    await page.locator('.missed').getByText('May not be read any more').waitFor();
    expect(faults.filter((fault) => !GONE.test(fault))).toEqual([]);
    await end();
    await again.stop();
  });

  it('forgets the last state when another bench answers at its address', async () => {
    const { page, feed, end } = await stage.visit(script(), { locale: 'en-GB' }, 'Ines');
    await page.locator('.state[data-state=ready]').waitFor();
    const port = Number(new URL(page.url()).port);
    await feed.stop();
    const other = new FakeFeed(stage.pageDir, {
      ...script(),
      live: () => waiting(Date.now()),
      snapshot: () => snapshot(waiting(Date.now()), { job: null }),
      journal: 'another-journal',
    });
    await other.start(port);
    await page.reload();
    await page.locator('.page.live').waitFor({ timeout: 10_000 });
    expect(await page.locator('header .job').count()).toBe(0);
    expect(await page.locator('.missed').count()).toBe(0);
    await end();
    await other.stop();
  });

  it('is the new one after the page was built anew, and the files of the old one are gone', async () => {
    const { page, feed, end } = await stage.visit(script(), {}, 'Ines');
    await page.locator('.page.live').waitFor();
    await page.evaluate('navigator.serviceWorker.ready.then(() => true)');
    const held = () =>
      page.evaluate(`caches.open('stillwell-page').then((c) => c.keys()).then((k) => k.map((r) => r.url))`);
    await expect.poll(async () => ((await held()) as string[]).length).toBeGreaterThan(4);
    const port = Number(new URL(page.url()).port);
    await feed.stop();

    const dir = mkdtempSync(join(tmpdir(), 'stillwell-page-anew-'));
    cpSync(stage.pageDir, dir, { recursive: true });
    const index = readFileSync(join(dir, 'index.html'), 'utf8');
    const [, name = ''] = /assets\/(index-[\w-]+\.js)/.exec(index) ?? [];
    renameSync(join(dir, 'assets', name), join(dir, 'assets/index-anewanew.js'));
    writeFileSync(join(dir, 'index.html'), index.replace(name, 'index-anewanew.js'));
    const again = new FakeFeed(dir, script());
    await again.start(port);
    await page.reload();
    await page.locator('.page.live').waitFor();
    expect(await page.locator('script[src*=anewanew]').count()).toBe(1);
    const names = async () => ((await held()) as string[]).filter((url) => url.endsWith('.js')).join();
    await expect.poll(names).toMatch(/anewanew\.js$/);
    expect(await names()).not.toContain(name);
    await end();
    await again.stop();
    rmSync(dir, { recursive: true });
  });

  it('can be installed: a manifest with a name, icons that exist and a place to start', async () => {
    const { page, feed, faults, end } = await stage.visit(script());
    await page.locator('.page.live').waitFor();
    const manifest = (await page.evaluate(
      `fetch(document.querySelector('link[rel=manifest]').href).then((r) => r.json())`,
    )) as {
      name: string;
      display: string;
      start_url: string;
      icons: { src: string; sizes: string; purpose?: string }[];
    };
    expect(manifest).toMatchObject({ name: 'Stillwell', display: 'standalone', start_url: './' });
    expect(manifest.icons.map(({ sizes }) => sizes)).toEqual(expect.arrayContaining(['192x192', '512x512']));
    for (const { src, sizes } of manifest.icons) {
      const size = await page.evaluate(`new Promise((resolve, reject) => {
        const image = new Image();
        image.onload = () => resolve(image.naturalWidth + 'x' + image.naturalHeight);
        image.onerror = () => reject(new Error('no image'));
        image.src = ${JSON.stringify(`/${src}`)};
      })`);
      if (sizes !== 'any') expect(size).toBe(sizes);
    }
    expect(feed.opened).toHaveLength(1);
    expect(faults).toEqual([]);
    await end();
  });

  it('paints: measured and printed, judged by who reads it', async () => {
    const { page, end } = await stage.visit(script());
    await page.locator('.page.live').waitFor();
    const paint = `performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null`;
    await page.waitForFunction(paint);
    const ms = (await page.evaluate(paint)) as number;
    console.info(`first paint on loopback: ${Math.round(ms)} ms`);
    expect(ms).toBeGreaterThan(0);
    await end();
  });
});
