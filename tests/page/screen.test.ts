/** What this screen likes: language, units, brightness, foot switch, sound, staying awake; and the code to join by. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Script } from './fake-feed.ts';
import { BENCH, history, readingEvent, ready, snapshot, waiting } from './scenes.ts';
import { goTo, NEEDS_BROWSER, NO_BROWSER, Stage } from './stage.ts';

function script(over: Partial<Script> = {}): Script {
  const { outcome, utc } = readingEvent(40, Date.now() - 9000);
  const lastReading = outcome.kind === 'reading' ? { event: 40, utc, reading: outcome.reading } : null;
  return {
    snapshot: () => snapshot(waiting(Date.now()), { lastReading }),
    live: () => waiting(Date.now()),
    history: (channel, seconds) => history(channel, seconds, Date.now(), 41.6),
    ...over,
  };
}
const readyScript = () => script({ snapshot: () => snapshot(ready(Date.now())), live: () => ready(Date.now()) });

const choose = (page: Page, of: string, value: string) =>
  page.locator(`[data-choice=${of}] input[value="${value}"]`).check({ force: true });
const textOf = async (page: Page, part: string) =>
  (await page.locator(part).allInnerTexts()).join('\n').replaceAll('\u00a0', ' ');

describe.skipIf(NO_BROWSER)(`This screen${NEEDS_BROWSER}`, () => {
  const stage = new Stage();
  beforeAll(() => stage.raise());
  afterAll(() => stage.strike());

  it('speaks the language of the browser, and another one at a touch, with its numbers', async () => {
    const { page, faults, end } = await stage.visit(script(), { locale: 'de-DE' }, 'Ines');
    await page.locator('.page.live').waitFor();
    expect(await textOf(page, '.state h1')).toMatch(/WARTEN\s+zu kalt/);
    expect(await textOf(page, '.state .words')).toMatch(/^41,6 °C: zu kalt für das Temperaturfenster/);
    expect(await textOf(page, '[data-figure=level]')).toMatch(/Füllstand bei 50 °C\s+62,3 mm/);
    expect(await page.evaluate('document.documentElement.lang')).toBe('de');
    expect(await page.title()).toMatch(/^WARTEN/);
    await goTo(page, 'screen');
    await choose(page, 'language', 'en');
    await page.getByText('This screen').waitFor();
    expect(await page.evaluate('document.documentElement.lang')).toBe('en');
    await page.reload();
    expect(await textOf(page, 'nav')).toMatch(/Now\s+Job\s+Signals/);
    expect(faults).toEqual([]);
    await end();
  });

  it('shows other units at a touch and sends nothing for it', async () => {
    const { page, feed, faults, end } = await stage.visit(script(), { locale: 'en-US' }, 'Ines', 'screen');
    await page.locator('.page.live').waitFor();
    await choose(page, 'temperature', 'F');
    await choose(page, 'length', 'in');
    await choose(page, 'volume', 'qt');
    await goTo(page, 'now');
    expect(await textOf(page, '[data-figure=temperature]')).toMatch(/106.9 °F[\s\S]*counts from 113 to 131 °F/);
    expect(await textOf(page, '[data-figure=level]')).toMatch(/Level at 122 °F\s+2\.45\d in[\s\S]*about 2\.55 qt/);
    expect(await textOf(page, '.state .words')).toBe('106.9 °F: too cold for the window of 113.0 °F to 131.0 °F.');
    expect(await textOf(page, '.sure-value')).toBe('2.453 in ±0.015 in');
    await goTo(page, 'signals');
    const said = page.locator('[data-chart=temperature][aria-label*="°F"]');
    await said.waitFor();
    expect(await said.getAttribute('aria-label')).toMatch(/between \d+\.\d and 1\d\d\.\d °F/);
    expect(feed.actions).toEqual([]);
    expect(faults).toEqual([]);
    await end();
  });

  it('is light or dark as the device, or as chosen', async () => {
    const { page, end } = await stage.visit(script(), { colorScheme: 'dark' }, 'Ines', 'screen');
    await page.locator('.page.live').waitFor();
    const paper = () => page.evaluate('getComputedStyle(document.body).backgroundColor');
    await expect.poll(paper).toBe('rgb(13, 20, 19)');
    await page.emulateMedia({ colorScheme: 'light' });
    await expect.poll(paper).toBe('rgb(244, 247, 246)');
    await choose(page, 'theme', 'dark');
    await expect.poll(paper).toBe('rgb(13, 20, 19)');
    await end();
  });

  it('does the leading action on Space, Enter and a foot switch, once for each press, and never early', async () => {
    const visit = await stage.visit(readyScript(), { locale: 'en-GB' }, 'Ines', 'screen');
    const { page, feed, faults, end } = visit;
    await page.locator('.page.live').waitFor();
    await page.getByText('Learn its key').click();
    await page.keyboard.press('F8');
    await page.getByText('Space, Enter and F8').waitFor();
    await goTo(page, 'now');
    await page.locator('button.take.ready').waitFor();
    await page.evaluate('document.activeElement?.blur?.()');
    const answered = async (n: number) => {
      await expect.poll(() => feed.actions.length).toBe(n);
      const { actionId } = feed.actions.at(-1) as { actionId: string };
      const done = { accepted: true, refusal: null, words: 'Done.', revision: 12 + n, event: 40 + n } as const;
      feed.say({ type: 'action-result', actionId, ...done });
      await page.locator('.answer', { hasText: 'Reading taken.' }).waitFor();
    };
    for (const [i, key] of ['Space', 'Enter', 'F8'].entries()) {
      await page.keyboard.press(key);
      await answered(i + 1);
    }
    await page.keyboard.press('F9');
    // On a link the key belongs to the link.
    await page.locator('nav a[data-to=now]').focus();
    await page.keyboard.press('Enter');
    feed.script = script();
    await page.locator('.state[data-state=wait]').waitFor();
    await page.evaluate('document.activeElement?.blur?.()');
    await page.keyboard.press('Space');
    await page.locator('.answer').waitFor();
    expect(feed.actions.map(({ body }) => body.type)).toEqual(['take-reading', 'take-reading', 'take-reading']);
    expect(faults).toEqual([]);
    await end();
  });

  it('stays awake while a job is open, and says where it cannot', async () => {
    const held = `
      window.locks = [];
      Object.defineProperty(navigator, 'wakeLock', { value: { request: async (kind) => {
        const lock = new EventTarget();
        lock.release = async () => { lock.gone = true; lock.dispatchEvent(new Event('release')); };
        window.locks.push(lock);
        return lock;
      } } });`;
    const visit = await stage.visit(script(), { locale: 'en-GB' }, 'Ines', 'screen', held);
    const { page, feed, end } = visit;
    await page.locator('[data-awake=held]').waitFor();
    feed.say({
      type: 'event',
      utc: new Date().toISOString(),
      outcome: {
        kind: 'job',
        ...{ event: 41, run: 5, seq: 1, tUs: (Date.now() % 86_400_000) * 1000, algorithm: 1 },
        change: 'closed',
        job: { id: 3, label: 'Pump overhaul', readings: 2, referenceC: null },
      },
    });
    await page.locator('[data-awake=free]').waitFor();
    expect(await page.evaluate('window.locks.map((lock) => lock.gone)')).toEqual([true]);
    await end();

    const without = await stage.visit(script(), {}, 'Ines', 'screen', 'delete Navigator.prototype.wakeLock');
    await without.page.locator('[data-awake=missing]').waitFor();
    await without.end();
  });

  it('gives a sign for the ear when the level may be read, and none when that is switched off', async () => {
    const ears = `
      window.heard = 0;
      const start = OscillatorNode.prototype.start;
      OscillatorNode.prototype.start = function (at) { window.heard += 1; return start.call(this, at); };`;
    const { page, feed, faults, end } = await stage.visit(script(), { locale: 'en-GB' }, 'Ines', 'now', ears);
    await page.locator('.state[data-state=wait]').waitFor();
    await page.locator('h1').click();
    feed.script = readyScript();
    await page.locator('.state[data-state=ready]').waitFor();
    await page.waitForFunction('window.heard === 2');
    await goTo(page, 'screen');
    await choose(page, 'sound', 'off');
    feed.script = script();
    await page.locator('.state[data-state=wait]').waitFor();
    feed.script = readyScript();
    await page.locator('.state[data-state=ready]').waitFor();
    expect(await page.evaluate('window.heard')).toBe(2);
    expect(faults).toEqual([]);
    await end();
  });

  it('shows its address as a code and says that it is open to this computer only, with how to forward it', async () => {
    const { page, faults, end } = await stage.visit(script(), { locale: 'en-GB' }, 'Ines', 'screen');
    const { origin, port } = new URL(page.url());
    await page.locator(`.code[aria-label*="${origin}"]`).waitFor();
    // 17 + 4 × version modules to a side and four of quiet around them (ISO/IEC 18004).
    const side = Number(((await page.locator('.code').getAttribute('viewBox')) ?? '').split(' ')[2]) - 8;
    expect((side - 17) % 4).toBe(0);
    // The finder pattern: seven dark modules, then a light one.
    const path = (await page.locator('.code .dots').getAttribute('d')) ?? '';
    expect(path).toMatch(
      /^M0 0h1v1h-1zM1 0h1v1h-1zM2 0h1v1h-1zM3 0h1v1h-1zM4 0h1v1h-1zM5 0h1v1h-1zM6 0h1v1h-1z(?!M7 0h)/,
    );
    expect(await textOf(page, '.join')).toContain(`ssh -L ${port}:127.0.0.1:${port} user@bench-computer`);
    expect(faults).toEqual([]);
    await end();
  });

  it('lists what is on record, newest first, and earlier pages when asked', async () => {
    const past = Array.from({ length: 130 }, (_, i) =>
      readingEvent(i + 1, Date.now() - (131 - i) * 1000, { id: i + 1 }),
    );
    const over = script({
      snapshot: () => snapshot(waiting(Date.now()), { event: 130, bench: BENCH }),
      past: () => past,
    });
    const { page, faults, end } = await stage.visit(over, { locale: 'en-GB' }, 'Ines', 'records');
    await page.locator('[data-kind=reading]').first().waitFor();
    expect(await page.locator('[data-kind=reading]').count()).toBe(100);
    expect(await textOf(page, '.records tbody tr:first-child')).toContain('Reading 130: 62.3 mm ±0.4 mm');
    await page.getByText('Show earlier').click();
    await page.locator('[data-kind=reading]').nth(129).waitFor();
    expect(await page.getByText('Show earlier').count()).toBe(0);
    expect(faults).toEqual([]);
    await end();
  });

  it('can be read from three metres on ten inches: capitals of the state and figures of both values', async () => {
    // 1280 × 800 on a diagonal of 10 inches: 5.94 px to the millimetre. 16 minutes of arc at 3 m are 14 mm; a usual least
    // height of capitals (common practice, no source).
    const pxPerMm = Math.hypot(1280, 800) / 254;
    const leastPx = 3000 * Math.tan((16 / 60) * (Math.PI / 180)) * pxPerMm;
    for (const locale of ['en-GB', 'de-DE'])
      for (const viewport of [
        { width: 1280, height: 800 },
        { width: 800, height: 1280 },
      ]) {
        const { page, end } = await stage.visit(script(), { locale, viewport }, 'Ines');
        await page.locator('.state .huge').waitFor();
        for (const part of [
          'h1 .word',
          '.state .huge',
          '[data-figure=temperature] .number',
          '[data-figure=level] .number',
        ]) {
          // Height of a digit or capital as the font draws it.
          const height = (await page.evaluate(`(() => {
            const style = getComputedStyle(document.querySelector(${JSON.stringify(part)}));
            const context = document.createElement('canvas').getContext('2d');
            context.font = style.fontWeight + ' ' + style.fontSize + ' ' + style.fontFamily;
            return context.measureText('H').actualBoundingBoxAscent;
          })()`)) as number;
          expect(height, `${part} ${locale} ${viewport.width}`).toBeGreaterThanOrEqual(leastPx);
        }
        const bottom = (await page.locator('.figures').boundingBox()) as { y: number; height: number };
        expect(bottom.y + bottom.height, 'one glance: nothing of it below the edge').toBeLessThanOrEqual(
          viewport.height,
        );
        await end();
      }
  }, 60_000);
});
