/**
 * A job in its main states at every size, light and dark: nothing sticks out, every target is large enough, and axe-core
 * finds nothing against WCAG 2.2 AA. With STILLWELL_SHOTS=DIR the pictures are kept there.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { faultsOfAxe } from './axe.ts';
import { ADJUST, FILL, FLUID, filling, JobPlay, nowStep, progress, SET_UP, WARM_UP } from './job-scenes.ts';
import { ready } from './scenes.ts';
import { goTo, NEEDS_BROWSER, NO_BROWSER, Stage } from './stage.ts';

const SIZES = {
  desktop: { width: 1280, height: 800 },
  tablet: { width: 800, height: 1280 },
  phone: { width: 390, height: 844 },
  'small-phone': { width: 360, height: 640 },
} as const;
/** 12 mm are 45.4 px at the density that CSS assumes; 48 leave something over. */
const LEAST_TARGET_PX = 48;
const SHOTS = process.env.STILLWELL_SHOTS;

const readyPlay = (play: JobPlay) => Object.assign(play, { now: () => ready(Date.now()) });

function shutting(): JobPlay {
  const play = readyPlay(new JobPlay(progress(ADJUST)));
  play.now = () => ({ ...ready(Date.now()), levelMm: 57.9 });
  return play;
}

function overflowing(): JobPlay {
  const play = new JobPlay(progress({ ...FILL, blocked: [] }, { result: 'overflow' }));
  play.now = () => {
    const live = ready(Date.now());
    const window = live.gates.find(({ id }) => id === 'window');
    if (window !== undefined) window.shutsIn = { s: 158, lowS: 130, highS: 200 };
    return live;
  };
  return play;
}

const broken = {
  ...WARM_UP,
  blocked: [{ why: 'hold' as const, what: 'pick-up', words: 'Stop the engine: the fluid stands below the pick-up.' }],
};
const answers = [
  { id: 'match', words: 'Yes - no leak seen and no reason to doubt it' },
  { id: 'leak', words: 'No - a leak is seen' },
];

const SCENES: Readonly<Record<string, () => JobPlay>> = {
  start: () => new JobPlay(null),
  list: () => new JobPlay(progress(SET_UP)),
  enter: () => new JobPlay(progress(FLUID)),
  wait: () => new JobPlay(progress(WARM_UP)),
  hold: () => new JobPlay(progress(broken)),
  drain: () => readyPlay(new JobPlay(progress(ADJUST))),
  shut: shutting,
  fill: () => new JobPlay(filling()),
  overflow: overflowing,
  ask: () => new JobPlay(progress(nowStep('worth', { answers }))),
  decide: () => readyPlay(new JobPlay(progress(nowStep('verdict')))),
  zero: () => new JobPlay(progress(nowStep('sensor-zero', { optional: true }))),
  paused: () => new JobPlay(progress(SET_UP, { paused: true })),
  sign: () => readyPlay(new JobPlay(progress(null))),
};

describe.skipIf(NO_BROWSER)(`A job on the page${NEEDS_BROWSER}`, () => {
  const stage = new Stage();
  beforeAll(() => stage.raise());
  afterAll(() => stage.strike());

  // Each state is met in one language; for the pictures in both.
  const cases = Object.keys(SCENES).flatMap((scene, i) =>
    SHOTS === undefined
      ? [[scene, i % 2 === 0 ? 'en-GB' : 'de-DE'] as const]
      : ['en-GB', 'de-DE'].map((locale) => [scene, locale] as const),
  );
  it.each(cases)(
    '%s, %s: fits from desktop to a phone of 360 px, for every eye and every glove',
    async (scene, locale) => {
      const { page, faults, end } = await stage.visit((SCENES[scene] as () => JobPlay)(), { locale }, 'Ines');
      await page.locator('.page.live').waitFor();
      for (const view of ['job', 'now'] as const) {
        await goTo(page, view);
        for (const [size, viewport] of Object.entries(SIZES))
          for (const colorScheme of ['light', 'dark'] as const) {
            await page.setViewportSize(viewport);
            await page.emulateMedia({ colorScheme });
            if (SHOTS !== undefined) {
              mkdirSync(SHOTS, { recursive: true });
              await page.evaluate('scrollTo(0, 0)');
              await page.screenshot({ path: join(SHOTS, `${scene}-${locale}-${view}-${size}-${colorScheme}.png`) });
            }
          }
        // Unfolded, where every part is to be seen.
        for (const summary of await page.locator('main summary:visible').all()) await summary.click();
        for (const [size, viewport] of Object.entries(SIZES)) {
          await page.setViewportSize(viewport);
          const where = `${view} ${size}`;
          expect(await page.evaluate('document.documentElement.scrollWidth'), where).toBeLessThanOrEqual(
            viewport.width,
          );
          if (size === 'small-phone') continue;
          for (const colorScheme of ['light', 'dark'] as const) {
            await page.emulateMedia({ colorScheme });
            expect(await faultsOfAxe(page), `${where} ${colorScheme}`).toEqual([]);
          }
        }
        const targets = 'a:visible, button:visible, select:visible, input:visible, summary:visible';
        for (const target of await page.locator(targets).all()) {
          const box = await target.boundingBox();
          const what = `${view}: ${await target.textContent()}`;
          expect(box?.height, what).toBeGreaterThanOrEqual(LEAST_TARGET_PX);
          expect(box?.width, what).toBeGreaterThanOrEqual(LEAST_TARGET_PX);
        }
      }
      expect(faults).toEqual([]);
      await end();
    },
    120_000,
  );
});
