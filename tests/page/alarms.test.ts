/** The alarms on the built page, in a real browser: told without colour, acted upon, and heard. */
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ActionResult, Snapshot } from '../../src/feed/messages.ts';
import type { Script } from './fake-feed.ts';
import { alarm, alarmEvent, SILENT, snapshot, waiting } from './scenes.ts';
import { NEEDS_BROWSER, NO_BROWSER, Stage, type Visit } from './stage.ts';

const accepted = (actionId: string): ActionResult => ({
  type: 'action-result',
  ...{ actionId, accepted: true, refusal: null, words: 'Done.', revision: 13, event: 41 },
});

const script = (alarms: Snapshot['alarms']): Script => ({
  live: () => waiting(Date.now()),
  snapshot: () => snapshot(waiting(Date.now()), { alarms }),
  answer: ({ actionId }) => accepted(actionId),
});

const textOf = async (part: Locator) => (await part.allInnerTexts()).join('\n');

/** Stands in for the browser's sound: keeps the pitch of every tone that is started. */
const EAR = `
  window.heard = [];
  window.AudioContext = class {
    currentTime = 0;
    destination = {};
    resume() { return Promise.resolve(); }
    createGain() {
      const gain = { setValueAtTime() {}, linearRampToValueAtTime() {} };
      return { gain, connect: (to) => to };
    }
    createOscillator() {
      const tone = { frequency: { value: 0 }, connect: (to) => to, stop() {} };
      tone.start = () => window.heard.push(tone.frequency.value);
      return tone;
    }
  };`;
const heard = (page: Page) => page.evaluate('window.heard') as Promise<number[]>;

describe.skipIf(NO_BROWSER)(`The alarms on the page${NEEDS_BROWSER}`, () => {
  const stage = new Stage();
  beforeAll(() => stage.raise());
  afterAll(() => stage.strike());

  async function opened(alarms: Snapshot['alarms'], actor = 'Ines'): Promise<Visit> {
    const visit = await stage.visit(script(alarms), { viewport: { width: 1280, height: 800 } }, actor);
    await visit.page.addInitScript(EAR);
    await visit.page.reload();
    await visit.page.locator('.page.live').waitFor();
    return visit;
  }

  it('says what, how urgent, in which state, since when, how much against which limit, and what to do', async () => {
    const since = new Date(Date.now() - 240_000).toISOString();
    const until = new Date(Date.now() + 600_000).toISOString();
    const shelved = { by: 'Mira', reason: 'The cable is being mended', until };
    const visit = await opened([
      alarm({ ...SILENT, state: 'shelved', shelved }),
      alarm({ utc: since }),
      alarm({ alarm: 'low-oil', state: 'acknowledged', acknowledgedBy: 'Mira', priority: 'low' }),
    ]);
    const { page } = visit;
    const rows = page.locator('.alarm');
    expect(await rows.evaluateAll((all) => all.map((one) => one.getAttribute('data-alarm')))).toEqual([
      'overheated',
      'low-oil',
      'instrument-lost',
    ]);
    const first = await textOf(rows.first());
    expect(first).toMatch(/!!! overheated: tank-temperature\s+High · Active, not acknowledged/);
    expect(first).toMatch(/Switch the heater off and keep clear\.[\s\S]*now 41\.6\s°C, limit 70\s°C · since 4 min ago/);
    expect(await textOf(rows.nth(1))).toMatch(/Low · Active, acknowledged[\s\S]*acknowledged by Mira/);
    expect(await textOf(rows.nth(2))).toMatch(
      /Medium · Shelved[\s\S]*shelved by Mira for another 10 min: The cable is/,
    );
    expect(await page.locator('.alarms [role=alert]').textContent()).toMatch(/High alarm\. overheated/);
    expect(visit.faults).toEqual([]);
    await visit.end();
  });

  it('acknowledges, shelves for a time with a reason, and unshelves', async () => {
    const visit = await opened([alarm()]);
    const { page, feed } = visit;
    await page.getByText('Acknowledge', { exact: true }).click();
    await page.locator('.alarm-answer', { hasText: 'Alarm acknowledged.' }).waitFor();
    feed.say(alarmEvent(41, Date.now(), { state: 'acknowledged', stands: 'acknowledged', by: 'Ines' }));
    await page.locator('.alarm[data-state=acknowledged]', { hasText: 'acknowledged by Ines' }).waitFor();
    expect(await page.getByText('Acknowledge', { exact: true }).count()).toBe(0);

    await page.getByText('Shelve …').click();
    expect(await page.getByText('Shelve it').isDisabled()).toBe(true);
    await page.getByLabel('For', { exact: true }).selectOption('1 hour');
    await page.getByLabel('Because').fill('The heater is off');
    await page.getByText('Shelve it').click();
    await expect.poll(() => feed.actions.length).toBe(2);
    const nowMs = Date.now();
    const tUs = (nowMs % 86_400_000) * 1000;
    feed.say(
      alarmEvent(42, nowMs, {
        ...{ state: 'shelved', stands: 'shelved', by: 'Ines', why: 'The heater is off', untilUs: tUs + 3600e6 },
      }),
    );
    await page.locator('.alarm[data-state=shelved]', { hasText: 'for another 60 min: The heater is off' }).waitFor();
    await page.getByText('Unshelve').click();
    await expect.poll(() => feed.actions.length).toBe(3);
    const which = { alarm: 'overheated', source: 'tank-temperature' };
    expect(feed.actions.map(({ body }) => body)).toEqual([
      { type: 'acknowledge-alarm', ...which },
      { type: 'shelve-alarm', ...which, forS: 3600, reason: 'The heater is off' },
      { type: 'unshelve-alarm', ...which },
    ]);
    feed.say(alarmEvent(43, Date.now(), { state: 'returned', stands: 'normal' }));
    await page.locator('.alarms').waitFor({ state: 'detached' });
    expect(visit.faults).toEqual([]);
    await visit.end();
  });

  it('sounds again and again while nobody acknowledges', async () => {
    const visit = await stage.visit(script([alarm({ priority: 'medium' })]), {}, 'Ines');
    const { page } = visit;
    await page.clock.install();
    await page.addInitScript(EAR);
    await page.reload();
    await page.locator('#alarms-title').click();
    await expect.poll(() => heard(page)).toEqual([660, 660, 660]);
    await page.clock.fastForward(8000);
    await expect.poll(() => heard(page)).toEqual([660, 660, 660, 660, 660, 660]);
    await visit.end();
  });

  it('asks for a name first', async () => {
    const visit = await opened([alarm()], '');
    const { page, feed } = visit;
    const button = page.getByText('Acknowledge', { exact: true });
    expect(await button.isDisabled()).toBe(true);
    await page.getByLabel('Your name, for the alarms').fill('Ines');
    await page.getByText('Keep this name').click();
    await button.click();
    await expect.poll(() => feed.actions.map(({ actor }) => actor)).toEqual(['Ines']);
    await visit.end();
  });

  it('sounds by priority after the first touch, is silent when muted, and when acknowledged', async () => {
    const visit = await opened([alarm()]);
    const { page, feed } = visit;
    await page.getByText('Sound comes after the first touch').waitFor();
    expect(await heard(page)).toEqual([]);
    await page.locator('#alarms-title').click();
    await expect.poll(() => heard(page)).toEqual([880, 880, 880, 880, 880]);
    expect(await page.getByText('Sound comes after the first touch').count()).toBe(0);
    feed.say(alarmEvent(41, Date.now(), { state: 'acknowledged', stands: 'acknowledged', by: 'Ines' }));
    await page.locator('.alarm[data-state=acknowledged]').waitFor();
    await page.evaluate('window.heard.length = 0');
    feed.say(alarmEvent(42, Date.now(), { ...SILENT, state: 'active', stands: 'unacknowledged' }));
    await expect.poll(() => heard(page)).toEqual([660, 660, 660]);
    await page.getByText('Sound is on').click();
    await page.getByText('Sound is off').waitFor();
    await page.evaluate('window.heard.length = 0');
    feed.say(alarmEvent(43, Date.now(), { state: 'active', stands: 'unacknowledged', alarm: 'other' }));
    await page.locator('[data-alarm=other]').waitFor();
    expect(await heard(page)).toEqual([]);
    await page.reload();
    await page.getByText('Sound is off').waitFor();
    expect(visit.faults).toEqual([]);
    await visit.end();
  });

  it('fits a telephone', async () => {
    const visit = await opened([alarm(), alarm({ ...SILENT, state: 'returned-unacknowledged', active: false })]);
    await visit.page.setViewportSize({ width: 360, height: 740 });
    expect(await visit.page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(360);
    await visit.end();
  });
});
