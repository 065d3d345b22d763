/**
 * Every view at every size, light and dark, in every language: nothing sticks out, every target is large enough, and
 * axe-core finds nothing against WCAG 2.2 AA. With STILLWELL_SHOTS=DIR the pictures are kept there.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { faultsOfAxe } from './axe.ts';
import type { Script } from './fake-feed.ts';
import {
  alarm,
  BENCH,
  history,
  readingEvent,
  ready,
  readyEvent,
  SILENT,
  snapshot,
  stale,
  verdict,
  waiting,
} from './scenes.ts';
import { goTo, NEEDS_BROWSER, NO_BROWSER, Stage, type Visit } from './stage.ts';

const SIZES = {
  desktop: { width: 1280, height: 800 },
  tablet: { width: 800, height: 1280 },
  phone: { width: 390, height: 844 },
  'small-phone': { width: 360, height: 640 },
} as const;
const VIEWS = ['now', 'job', 'signals', 'records', 'instruments', 'screen'] as const;
const SCHEMES = ['light', 'dark'] as const;

/** Fingers in gloves: 12 mm are 45.4 px at the density that CSS assumes (96 px to the inch); 48 leave something over. */
const LEAST_TARGET_PX = 48;
const SHOTS = process.env.STILLWELL_SHOTS;

function lastReading() {
  const { outcome, utc } = readingEvent(40, Date.now() - 9000);
  return outcome.kind === 'reading' ? { event: outcome.event, utc, reading: outcome.reading } : null;
}

const waitScript = (): Script => ({
  snapshot: () => snapshot(waiting(Date.now(), 128)),
  live: () => waiting(Date.now(), 128),
  past: () => [readyEvent(38, Date.now() - 90_000, true), readingEvent(40, Date.now() - 80_000)],
  history: (channel, seconds) => history(channel, seconds, Date.now(), 41.6),
});

const readyScript = (): Script => {
  const reading = lastReading();
  const beganMs = Date.now() - 32_000;
  const bench = { ...BENCH, machineStates: ['idling in park', 'idling in neutral'] };
  const over = { bench, lastReading: reading, verdict: verdict(), target: verdict().target };
  return {
    snapshot: () => snapshot(ready(Date.now()), over),
    live: () => ready(Date.now()),
    past: () => [
      readyEvent(38, beganMs - 90_000, true),
      readyEvent(39, beganMs - 60_000, false),
      readyEvent(40, beganMs, true),
    ],
    history: (channel, seconds) => history(channel, seconds, Date.now(), 48.3),
  };
};

const troubleScript = (): Script => {
  const troubled = () => ({ ...stale(Date.now()), recording: false });
  const alarms = [alarm({ ...SILENT, why: 'Silent for 7 s.' })];
  return {
    snapshot: () => snapshot(troubled(), { alarms, job: null, lastReading: lastReading() }),
    live: troubled,
    history: (channel, seconds) => history(channel, seconds, Date.now() - 7400, 41.6),
  };
};

const SCENES = {
  wait: { script: waitScript, state: 'wait', after: () => {} },
  ready: { script: readyScript, state: 'ready', after: () => {} },
  trouble: { script: troubleScript, state: 'wait', after: () => {} },
  lost: { script: readyScript, state: 'lost', after: ({ feed }: Visit) => feed.cut() },
} as const;

describe.skipIf(NO_BROWSER)(`The page fits${NEEDS_BROWSER}`, () => {
  const stage = new Stage();
  beforeAll(() => stage.raise());
  afterAll(() => stage.strike());

  async function keep({ page }: Visit, name: string): Promise<void> {
    if (SHOTS === undefined) return;
    mkdirSync(SHOTS, { recursive: true });
    // Two frames, so that the plots have taken their new size.
    await page.evaluate('new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))');
    await page.evaluate('scrollTo(0, 0)');
    await page.screenshot({ path: join(SHOTS, `${name}.png`) });
  }

  // Each language meets each state once; for the pictures every state is shown in both.
  const cases =
    SHOTS === undefined
      ? ([
          ['wait', 'en-GB'],
          ['ready', 'de-DE'],
          ['trouble', 'en-GB'],
          ['lost', 'de-DE'],
        ] as const)
      : Object.keys(SCENES).flatMap((scene) => ['en-GB', 'de-DE'].map((locale) => [scene, locale] as const));
  it.each(cases)(
    '%s, %s: every view from desktop to a phone of 360 px, for every eye and every glove',
    async (scene, locale) => {
      const { script, state, after } = SCENES[scene as keyof typeof SCENES];
      const visit = await stage.visit(script(), { locale }, 'Ines');
      const { page, faults, end } = visit;
      await page.locator('.page.live').waitFor();
      after(visit);
      await page.locator(`.state[data-state=${state}]`).waitFor();
      for (const view of VIEWS) {
        await page.setViewportSize(SIZES.desktop);
        await goTo(page, view);
        if (view === 'signals') await page.locator('.chart[aria-label]').nth(1).waitFor();
        for (const summary of await page.locator('summary').all()) await summary.click();
        for (const [size, viewport] of Object.entries(SIZES))
          for (const colorScheme of SCHEMES) {
            const where = `${view} ${size} ${colorScheme}`;
            await page.setViewportSize(viewport);
            await page.emulateMedia({ colorScheme });
            expect(await page.evaluate('document.documentElement.scrollWidth'), where).toBeLessThanOrEqual(
              viewport.width,
            );
            if (size !== 'small-phone')
              expect(await faultsOfAxe(page, colorScheme === 'light' ? 'all' : 'colours'), where).toEqual([]);
            await keep(visit, `${scene}-${locale}-${view}-${size}-${colorScheme}`);
          }
        const targets = 'a:visible, button:visible, select:visible, input:visible, summary:visible';
        for (const target of await page.locator(targets).all()) {
          const box = await target.boundingBox();
          const what = `${view}: ${await target.evaluate('(e) => e.outerHTML.slice(0, 120)')}`;
          expect(box?.height, what).toBeGreaterThanOrEqual(LEAST_TARGET_PX);
          expect(box?.width, what).toBeGreaterThanOrEqual(LEAST_TARGET_PX);
        }
      }
      expect(faults.filter((fault) => !(scene === 'lost' && /WebSocket|ERR_|Failed to load/.test(fault)))).toEqual([]);
      await end();
    },
    120_000,
  );

  it.each(VIEWS)('holds at every size where only wide letters are installed: %s', async (view) => {
    const { page, end } = await stage.visit(readyScript(), { locale: 'de-DE' }, '', view);
    await page.locator('.page.live').waitFor();
    await page.evaluate(`
      document.documentElement.style.setProperty('--sign', '"DejaVu Sans"');
      document.documentElement.style.setProperty('--text', '"DejaVu Sans"');
      for (const details of document.querySelectorAll('details')) details.open = true;
    `);
    for (const [size, viewport] of Object.entries(SIZES)) {
      await page.setViewportSize(viewport);
      expect(await page.evaluate('document.documentElement.scrollWidth'), size).toBeLessThanOrEqual(viewport.width);
    }
    await end();
  });
});
