/** Looking further back: any channel, closer and wider, earlier and later, by touch, key and mouse. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { moved, scaled, within } from '../../src/page/stretch.ts';
import { gapped } from '../../src/page/trace.ts';
import type { Script } from './fake-feed.ts';
import { history, snapshot, TEMPERATURE, waiting } from './scenes.ts';
import { NEEDS_BROWSER, NO_BROWSER, Stage } from './stage.ts';

const WHOLE = { fromS: 1000, toS: 2000 };

describe('A stretch of time', () => {
  it('is halved and doubled around its middle, never beyond the whole', () => {
    expect(scaled(WHOLE, 0.5, WHOLE)).toEqual({ fromS: 1250, toS: 1750 });
    expect(scaled({ fromS: 1800, toS: 2000 }, 2, WHOLE)).toEqual({ fromS: 1600, toS: 2000 });
    expect(scaled({ fromS: 1100, toS: 1900 }, 2, WHOLE)).toEqual(WHOLE);
    expect(scaled({ fromS: 1500, toS: 1510 }, 0.5, WHOLE)).toEqual({ fromS: 1500, toS: 1510 });
  });

  it('moves by a share of its length and stops at the ends', () => {
    expect(moved({ fromS: 1400, toS: 1600 }, 0.5, WHOLE)).toEqual({ fromS: 1500, toS: 1700 });
    expect(moved({ fromS: 1050, toS: 1250 }, -0.5, WHOLE)).toEqual({ fromS: 1000, toS: 1200 });
    expect(within({ fromS: 0, toS: 9999 }, WHOLE)).toEqual(WHOLE);
  });
});

describe('A history', () => {
  it('is not drawn across a hole', () => {
    const [x, low] = gapped([0, 1000, 2000, 60_000, 61_000], [1, 2, 3, 4, 5], [1, 2, 3, 4, 5]);
    expect(x).toEqual([0, 1, 2, 31, 60, 61]);
    expect(low).toEqual([1, 2, 3, null, 4, 5]);
    expect(gapped([], [], [])).toEqual([[], [], []]);
  });
});

describe.skipIf(NO_BROWSER)(`Further back${NEEDS_BROWSER}`, () => {
  const stage = new Stage();
  beforeAll(() => stage.raise());
  afterAll(() => stage.strike());

  it('shows any channel over a day, and less of it at a touch or by the mouse', async () => {
    const asked: [string, number][] = [];
    const script: Script = {
      snapshot: () => snapshot(waiting(Date.now())),
      live: () => waiting(Date.now()),
      history: (channel, seconds) => {
        asked.push([channel, seconds]);
        return history(channel, seconds, Date.now(), 41.6);
      },
    };
    const options = { viewport: { width: 1280, height: 800 }, locale: 'en-GB' };
    const { page, faults, end } = await stage.visit(script, options, 'Ines', 'signals');
    const chart = page.locator('[data-chart=history]');
    await chart.waitFor();
    await page.locator('.history select').selectOption(TEMPERATURE);
    await page.getByLabel('24 hours').check({ force: true });
    await expect.poll(() => asked).toContainEqual([TEMPERATURE, 86_400]);
    await page.waitForFunction(`(() => {
      const canvas = document.querySelector('[data-chart=history] canvas');
      const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
      let line = 0;
      for (let i = 0; i < data.length; i += 4) if (data[i] === 0xa8 && data[i + 1] === 0x48 && data[i + 2] === 0x0b) line++;
      return line > 100;
    })()`);

    const told = async () => (await chart.getAttribute('aria-label')) ?? '';
    await expect.poll(told).toContain(TEMPERATURE);
    const whole = await told();
    await page.getByText('Closer').click();
    await expect.poll(told).not.toBe(whole);
    const half = await told();
    await page.getByText('Earlier').click();
    await expect.poll(told).not.toBe(half);
    await page.getByText('Later').click();
    await expect.poll(told).toBe(half);
    await page.getByText('Wider').click();
    await expect.poll(told).toBe(whole);

    await chart.scrollIntoViewIfNeeded();
    const box = (await chart.boundingBox()) as { x: number; y: number; width: number; height: number };
    const y = box.y + box.height / 2;
    await page.mouse.move(box.x + box.width * 0.4, y);
    await expect.poll(async () => (await page.locator('.pointed').allInnerTexts()).join()).toMatch(/: 3\d\.\d\s°C – /);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.6, y, { steps: 4 });
    await page.mouse.up();
    await expect.poll(told).not.toBe(whole);
    expect(faults).toEqual([]);
    await end();
  });
});
