/** The pictures of the page in the docs, made of the running demonstration: `STILLWELL_PICTURES=1`, else nothing is done. */
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { ROOT } from '../repo/house.ts';

const SIZES = {
  desktop: { width: 1280, height: 800 },
  tablet: { width: 800, height: 1280 },
  phone: { width: 390, height: 844 },
} as const;

interface Picture {
  readonly name: string;
  readonly view: string;
  readonly size: keyof typeof SIZES;
  readonly colorScheme: 'light' | 'dark';
  readonly locale: 'en-GB' | 'de-DE';
}

export const WHILE_WAITING: readonly Picture[] = [
  { name: 'page-wait', view: 'now', size: 'desktop', colorScheme: 'light', locale: 'en-GB' },
  { name: 'page-wait-phone', view: 'now', size: 'phone', colorScheme: 'dark', locale: 'en-GB' },
];

export const WHEN_READY: readonly Picture[] = [
  { name: 'page-ready', view: 'now', size: 'desktop', colorScheme: 'light', locale: 'en-GB' },
  { name: 'page-ready-tablet', view: 'now', size: 'tablet', colorScheme: 'dark', locale: 'de-DE' },
  { name: 'page-job', view: 'job', size: 'desktop', colorScheme: 'light', locale: 'en-GB' },
  { name: 'page-signals', view: 'signals', size: 'desktop', colorScheme: 'dark', locale: 'en-GB' },
  { name: 'page-instruments', view: 'instruments', size: 'tablet', colorScheme: 'light', locale: 'de-DE' },
  { name: 'page-screen', view: 'screen', size: 'phone', colorScheme: 'light', locale: 'de-DE' },
];

export async function takePictures(browser: Browser, url: string, pictures: readonly Picture[]): Promise<void> {
  if (process.env.STILLWELL_PICTURES !== '1') return;
  for (const { name, view, size, colorScheme, locale } of pictures) {
    const context = await browser.newContext({ viewport: SIZES[size], colorScheme, locale });
    await context.addInitScript(`localStorage.setItem('stillwell.actor', 'Ines')`);
    const page = await context.newPage();
    await page.goto(`${url}/#/${view}`);
    await settled(page);
    await page.screenshot({ path: join(ROOT, `docs/pictures/${name}.png`) });
    await context.close();
  }
}

/** Live, with what is asked of the record drawn. */
async function settled(page: Page): Promise<void> {
  await page.locator('.page.live').waitFor();
  await page.waitForLoadState('networkidle');
  await page.evaluate('new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))');
}
