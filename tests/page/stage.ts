/** Builds the page once for a test file and opens it in a real browser. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { build } from 'vite';
import { BROWSER, BROWSER_FLAGS, WITHOUT_BROWSER } from '../support/parts.ts';
import { FakeFeed, type Script } from './fake-feed.ts';

export const NO_BROWSER = BROWSER === null;
export const NEEDS_BROWSER = WITHOUT_BROWSER;

export interface Visit {
  readonly page: Page;
  readonly feed: FakeFeed;
  /** Errors of the console and of scripts, and requests to anywhere but the feed. */
  readonly faults: string[];
  end(): Promise<void>;
}

export class Stage {
  readonly #dir = mkdtempSync(join(tmpdir(), 'stillwell-page-'));
  #browser: Browser | null = null;

  async raise(): Promise<void> {
    const outDir = join(this.#dir, 'page');
    await build({ configFile: 'vite.config.ts', logLevel: 'error', build: { outDir, emptyOutDir: true } });
    this.#browser = await chromium.launch({ executablePath: BROWSER as string, args: BROWSER_FLAGS });
  }

  get pageDir(): string {
    return join(this.#dir, 'page');
  }

  /** Opens the page on a feed of its own; `actor` is a name that this browser has kept, `view` where it begins, `before` a script that runs first. */
  async visit(
    script: Script,
    options: Parameters<Browser['newContext']>[0] = {},
    actor = '',
    view = 'now',
    before = '',
  ): Promise<Visit> {
    const feed = new FakeFeed(this.pageDir, script);
    const address = await feed.start();
    const context: BrowserContext = await (this.#browser as Browser).newContext(options);
    if (actor !== '') await context.addInitScript(`localStorage.setItem('stillwell.actor', ${JSON.stringify(actor)})`);
    if (before !== '') await context.addInitScript(before);
    const page = await context.newPage();
    const faults: string[] = [];
    page.on('console', (message) => {
      if (message.type() === 'error') faults.push(`console: ${message.text()}`);
    });
    page.on('pageerror', (error) => faults.push(`script: ${error.message}`));
    page.on('request', (request) => {
      if (!request.url().startsWith(address)) faults.push(`request: ${request.url()}`);
    });
    await page.goto(`${address}#/${view}`);
    return {
      page,
      feed,
      faults,
      async end() {
        await context.close();
        await feed.stop();
      },
    };
  }

  async strike(): Promise<void> {
    await this.#browser?.close();
    rmSync(this.#dir, { recursive: true, force: true });
  }
}

/** Goes to another view as a finger does. */
export async function goTo(page: Page, view: string): Promise<void> {
  await page.locator(`nav a[data-to=${view}]`).click();
  await page.locator(`main[data-view=${view}]`).waitFor();
}
