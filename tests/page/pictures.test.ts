/** The page at every size, light and dark. With STILLWELL_SHOTS=DIR the pictures are kept there. */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Script } from './fake-feed.ts';
import {
  alarm,
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
import { NEEDS_BROWSER, NO_BROWSER, Stage, type Visit } from './stage.ts';

const SIZES = {
  desktop: { width: 1280, height: 800 },
  tablet: { width: 1024, height: 768 },
  phone: { width: 390, height: 844 },
  'small-phone': { width: 360, height: 640 },
} as const;

/** Fingers in gloves: 12 mm are 48 px at the density that CSS assumes of a phone. */
const LEAST_TARGET_PX = 48;
const SHOTS = process.env.STILLWELL_SHOTS;
/** Colours do not move anything: both are looked at only where somebody will look. */
const SCHEMES = SHOTS === undefined ? (['dark'] as const) : (['light', 'dark'] as const);

function lastReading() {
  const { outcome, utc } = readingEvent(40, Date.now() - 9000);
  return outcome.kind === 'reading' ? { event: outcome.event, utc, reading: outcome.reading } : null;
}

const waitScript = (): Script => ({
  snapshot: () => snapshot(waiting(Date.now())),
  live: () => waiting(Date.now()),
  history: (channel, seconds) => history(channel, seconds, Date.now(), 41.6),
});

const readyScript = (): Script => {
  const reading = lastReading();
  const beganMs = Date.now() - 32_000;
  return {
    snapshot: () => snapshot(ready(Date.now()), { lastReading: reading, verdict: verdict(), target: verdict().target }),
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
    snapshot: () => snapshot(troubled(), { alarms, lastReading: lastReading() }),
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
    await page.screenshot({ path: join(SHOTS, `${name}-whole.png`), fullPage: true });
  }

  for (const [scene, { script, state, after }] of Object.entries(SCENES))
    it(`${scene}: from desktop to a phone of 360 px nothing sticks out sideways and the state leads`, async () => {
      const visit = await stage.visit(script(), {}, 'Ines');
      const { page, faults, end } = visit;
      await page.locator('.chart[aria-label]').nth(1).waitFor();
      after(visit);
      await page.locator(`.state[data-state=${state}]`).waitFor();
      for (const [size, viewport] of Object.entries(SIZES))
        for (const colorScheme of SCHEMES) {
          await page.setViewportSize(viewport);
          await page.emulateMedia({ colorScheme });
          expect(await page.evaluate('document.documentElement.scrollWidth'), size).toBeLessThanOrEqual(viewport.width);
          const word = await page.locator('h1 .word').boundingBox();
          expect(word?.height, size).toBeGreaterThan(55);
          expect((word?.y ?? 0) + (word?.height ?? 0), size).toBeLessThan(viewport.height);
          await keep(visit, `${size}-${colorScheme}-${scene}`);
        }
      for (const summary of await page.locator('summary').all()) await summary.click();
      for (const target of await page.locator('button:visible, input:visible, summary:visible').all())
        expect((await target.boundingBox())?.height, await target.innerHTML()).toBeGreaterThanOrEqual(LEAST_TARGET_PX);
      expect(faults.filter((fault) => !(scene === 'lost' && fault.includes('WebSocket')))).toEqual([]);
      await end();
    });

  it('holds at 360 px where only wide letters are installed, and with every part unfolded', async () => {
    const { page, end } = await stage.visit(readyScript(), { viewport: SIZES['small-phone'] });
    await page.locator('.told').waitFor();
    await page.evaluate(`
      document.documentElement.style.setProperty('--sign', '"DejaVu Sans"');
      document.documentElement.style.setProperty('--text', '"DejaVu Sans"');
      for (const details of document.querySelectorAll('details')) details.open = true;
    `);
    expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(360);
    await end();
  });
});
