/** The built page in a real browser, against a scripted feed whose every message is checked against the schemas. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ActionResult, Live, ServerMessage, Snapshot } from '../../src/feed/messages.ts';
import type { Script } from './fake-feed.ts';
import {
  alarm,
  BENCH,
  history,
  reading,
  readingEvent,
  ready,
  readyEvent,
  SILENT,
  snapshot,
  stale,
  TEMPERATURE,
  verdict,
  verdictEvent,
  waiting,
} from './scenes.ts';
import { goTo, NEEDS_BROWSER, NO_BROWSER, Stage, type Visit } from './stage.ts';

/** A script whose scene a test changes while the page looks on. */
class Play implements Script {
  live: () => Live | null = () => waiting(Date.now());
  over: Partial<Omit<Snapshot, 'type' | 'live'>> = {};
  missedEvents: ServerMessage[] = [];
  answers: ((actionId: string) => ActionResult)[] = [];

  snapshot(): Snapshot {
    return snapshot(this.live() ?? waiting(Date.now()), this.over);
  }

  history(channel: string, seconds: number) {
    return history(channel, seconds, Date.now(), 41.6);
  }

  missed(): readonly ServerMessage[] {
    return this.missedEvents;
  }

  answer({ actionId }: { actionId: string }): ActionResult | null {
    return this.answers.shift()?.(actionId) ?? null;
  }
}

/** A browser reports a refused socket on the console: that is expected where a test cuts the line. */
const ownFaults = ({ faults }: Visit) => faults.filter((fault) => !fault.includes('WebSocket connection to'));

/** Text as it is seen: laid out, without what is hidden. */
const textOf = async (part: Locator) => (await part.allInnerTexts()).join('\n').replaceAll('\u00a0', ' ');

describe.skipIf(NO_BROWSER)(`The page${NEEDS_BROWSER}`, () => {
  const stage = new Stage();
  beforeAll(() => stage.raise());
  afterAll(() => stage.strike());

  async function opened(play: Play, actor = 'Ines', view = 'now'): Promise<Visit> {
    const visit = await stage.visit(play, { viewport: { width: 1280, height: 800 }, locale: 'en-GB' }, actor, view);
    await visit.page.locator('.page.live').waitFor();
    return visit;
  }

  it('waits with a reason and a countdown, becomes ready, and shows the reading', async () => {
    const play = new Play();
    const visit = await opened(play);
    const { page, feed } = visit;
    const state = page.locator('.state');
    await page.locator('.state[data-state=wait]').waitFor();
    expect(await textOf(state.locator('h1'))).toMatch(/WAIT/);
    expect(await textOf(state.locator('.words'))).toBe('41.6 °C: too cold for the window of 45.0 °C to 55.0 °C.');
    expect(await textOf(state.locator('.rest'))).toBe('too cold');
    expect(await textOf(state.locator('.countdown'))).toMatch(/about\s+0:40\s+to go\s+0:30–0:55/);
    expect(await textOf(page.locator('[role=status][aria-live]'))).toMatch(/WAIT .*Temperature window/);
    expect(await page.title()).toMatch(/^WAIT/);
    await goTo(page, 'signals');
    expect(await textOf(page.locator('[data-gate=window]'))).toMatch(/Shut[\s\S]*41.6\s°C[\s\S]*limit 45.0\s°C/);
    expect(await textOf(page.locator('[data-gate=calm]'))).toMatch(/Open/);
    expect(await textOf(page.locator('.strip'))).toMatch(/WAIT\s+too cold\s+about 0:40 to go\s+41.6 °C\s+62.\d mm/);
    await page.goBack();

    play.live = () => waiting(Date.now(), 12);
    await state.locator('.countdown', { hasText: /about\s*0:10/ }).waitFor();

    play.live = () => ready(Date.now());
    await page.locator('.state[data-state=ready]').waitFor();
    expect(await textOf(state.locator('h1'))).toMatch(/READ\s+now/);
    expect(await textOf(state)).toContain('may be read now');
    expect(await page.title()).toMatch(/^READ now/);

    // The record tells of both a little earlier than the first live values that showed it.
    const atMs = Date.now() - 3000;
    feed.say(readyEvent(41, atMs, true));
    feed.say(readingEvent(42, atMs));
    await page.locator('.sure-value').waitFor();
    expect(await textOf(state)).toMatch(/62.3\smm\s+±0.4\smm\s+Reading 17 is taken/);
    expect(await textOf(page.locator('.sure-panel'))).toMatch(/How sure\s+62.3 mm ±0.4 mm[\s\S]*No. 17, at 50 °C/);
    await goTo(page, 'job');
    await page.locator('[data-reading="17"]').waitFor();
    expect((await textOf(page.locator('.told'))).replace(/\s+/g, ' ')).toBe(
      '62.3 mm at 50 °C, sure to four tenths of a millimetre',
    );
    expect(await textOf(page.locator('.facts'))).toMatch(/±0.4\smm, for about 95 of 100 readings/);
    expect(await textOf(page.locator('.facts'))).toMatch(/196 samples over 20 s, 4 set aside/);
    await page.locator('main summary').first().click();
    expect(await page.locator('tbody tr').count()).toBe(5);
    expect(await textOf(page.locator('tfoot'))).toMatch(/× 2.03 for about 95 %[\s\S]*±0.370\smm/);
    expect(visit.faults).toEqual([]);
    await visit.end();
  });

  it('says so at once when the connection is cut, greys everything, and recovers with what was missed', async () => {
    const play = new Play();
    play.live = () => ready(Date.now());
    const visit = await opened(play);
    const { page, feed } = visit;
    await page.locator('.state[data-state=ready]').waitFor();
    const ink = () => page.evaluate(`getComputedStyle(document.querySelector('[data-figure=level] .value')).color`);
    const liveInk = await ink();

    const cutAtMs = Date.now();
    feed.cut();
    await page.locator('.state[data-state=lost]').waitFor({ timeout: 2500 });
    expect(Date.now() - cutAtMs).toBeLessThan(2500);
    expect(await textOf(page.locator('.state'))).toMatch(/LOST[\s\S]*Do not read from it/);
    for (const name of ['temperature', 'level'])
      expect(await textOf(page.locator(`[data-figure=${name}].old`))).toMatch(/old · \d+ s/);
    expect(await ink()).not.toBe(liveInk);
    expect(await page.locator('button.take').isDisabled()).toBe(true);
    for (const [view, parts] of Object.entries({ signals: ['.charts', '.gates'], instruments: ['.health'] })) {
      await goTo(page, view);
      await page.locator('.state.strip[data-state=lost]').waitFor();
      for (const part of parts) expect(await textOf(page.locator(`${part}.old`)), part).toMatch(/\bold\b/);
    }

    play.over = { event: 41 };
    play.missedEvents = [readingEvent(41, Date.now())];
    feed.mend();
    await page.locator('.page.live').waitFor({ timeout: 5000 });
    expect(feed.opened.at(-1)).toBe('/feed?since=40&journal=journal-of-the-test');
    expect(await page.locator('.old').count()).toBe(0);
    const missed = page.locator('.missed');
    expect(await textOf(missed)).toMatch(/While the connection was away[\s\S]*Reading 17: 62.3 mm ±0.4 mm/);
    await missed.getByText('Seen').click();
    await missed.waitFor({ state: 'detached' });
    expect(ownFaults(visit)).toEqual([]);
    await visit.end();
  });

  it('takes a line that says nothing for two seconds for lost', async () => {
    const play = new Play();
    const visit = await opened(play);
    const { page, feed } = visit;
    play.live = () => null;
    feed.refuse();
    await page.locator('.state[data-state=lost]').waitFor({ timeout: 4000 });
    play.live = () => waiting(Date.now());
    feed.mend();
    await page.locator('.state[data-state=wait]').waitFor({ timeout: 5000 });
    expect(feed.opened).toHaveLength(2);
    expect(ownFaults(visit)).toEqual([]);
    await visit.end();
  });

  it('greys a stale value and what rests on it, and tells which instrument is gone', async () => {
    const play = new Play();
    play.live = () => stale(Date.now());
    const visit = await opened(play);
    const { page } = visit;
    expect(await textOf(page.locator('[data-figure=temperature].old'))).toMatch(/old · 7 s/);
    expect(await page.locator('[data-figure=level].old').count()).toBe(1);
    expect(await textOf(page.locator('.state .words'))).toBe(`No new ${TEMPERATURE} value for 7.4 s.`);
    await goTo(page, 'instruments');
    expect(await textOf(page.locator(`[data-channel=${TEMPERATURE}].old`))).toMatch(/41.6 °C[\s\S]*old · 7 s/);
    const probe = await textOf(page.locator('[data-instrument="dip probe"]'));
    expect(probe).toMatch(/Not connected[\s\S]*Unplugged\. Plug it in again[\s\S]*Last heard 7 s ago/);
    expect(await textOf(page.locator('[data-instrument="echo board"]'))).toMatch(/7 × does not fit the pattern/);
    play.live = () => waiting(Date.now());
    await goTo(page, 'now');
    await page.locator('[data-figure=temperature]:not(.old)').waitFor();
    await visit.end();
  });

  it('says that nothing is recorded, and which alarms are active', async () => {
    const play = new Play();
    play.live = () => ({ ...waiting(Date.now()), recording: false });
    play.over = { alarms: [alarm(SILENT)] };
    const visit = await opened(play);
    const { page } = visit;
    const notices = page.locator('.notices');
    expect(await textOf(notices)).toMatch(/^Not recording: /);
    expect(await textOf(page.locator('.alarms'))).toMatch(/instrument lost: dip probe[\s\S]*Silent\./);
    play.live = () => waiting(Date.now());
    await notices.getByText('Not recording').waitFor({ state: 'detached' });
    await visit.end();
  });

  it('names the instrument that floods, above everything and beside its plug', async () => {
    const play = new Play();
    play.live = () => {
      const live = { ...waiting(Date.now()), recording: false };
      Object.assign(live.instruments['echo board'] ?? {}, { floods: true, words: 'Sends 4000 messages a second.' });
      return live;
    };
    const visit = await opened(play);
    const { page } = visit;
    expect(await textOf(page.locator('.notices'))).toMatch(/^Not recording: echo board sends more than can be kept/);
    await goTo(page, 'instruments');
    expect(await textOf(page.locator('[data-instrument="echo board"]'))).toContain('Sends 4000 messages a second.');
    expect(await textOf(page.locator('[data-instrument="dip probe"]'))).not.toContain('Sends');
    await visit.end();
  });

  it('asks for a name once, sends a reading request in the envelope, and shows what the bench answers', async () => {
    const play = new Play();
    const answer = (accepted: boolean, words: string, revision: number) => (actionId: string) =>
      ({
        type: 'action-result',
        actionId,
        accepted,
        refusal: accepted ? null : 'not-ready',
        words,
        revision,
        event: 41,
      }) as const;
    play.answers = [answer(false, 'A gate is shut.', 13), answer(true, 'Done.', 14), answer(true, 'Done.', 15)];
    const visit = await opened(play, '');
    const { page, feed } = visit;
    const said = page.locator('.answer');

    await page.locator('button.take').click();
    expect(await textOf(said)).toMatch(/name first/);
    expect(feed.actions).toEqual([]);
    await page.locator('#actor').fill('  Ines  ');
    await page.locator('button.take').click();
    await said.getByText('Refused. A gate is shut: the level could not be read yet.').waitFor();
    await page.locator('button.take').click();
    await said.getByText('Reading taken.').waitFor();
    await goTo(page, 'job');
    await page.getByText('Add a note').click();
    await page.getByLabel('Note').fill('Topped up a little');
    await page.getByText('Keep note').click();
    await said.getByText('Note kept.').waitFor();

    expect(feed.actions).toMatchObject([
      { actor: 'Ines', role: 'technician', expectedRevision: 12, body: { type: 'take-reading' } },
      { actor: 'Ines', role: 'technician', expectedRevision: 13, body: { type: 'take-reading' } },
      { actor: 'Ines', role: 'technician', expectedRevision: 14, body: { type: 'note', text: 'Topped up a little' } },
    ]);
    expect(new Set(feed.actions.map((a) => a.actionId)).size).toBe(3);

    await page.reload();
    await page.locator('.actor', { hasText: 'As Ines' }).waitFor();
    expect(visit.faults).toEqual([]);
    await visit.end();
  });

  it('starts and closes a job, states the machine, and asks for a reading anyway with a reason', async () => {
    const play = new Play();
    const done = (actionId: string) =>
      ({
        type: 'action-result',
        actionId,
        accepted: true,
        refusal: null,
        words: 'Done.',
        revision: 13,
        event: 41,
      }) as const;
    play.answers = [done, done, done, done];
    play.over = { job: null, bench: { ...BENCH, machineStates: ['idling in park', 'idling in neutral'] } };
    const visit = await opened(play, '', 'job');
    const { page, feed } = visit;
    await page.locator('#actor').fill('Ines');
    await page.getByText('Keep name').click();
    await page.getByText('Take a reading anyway').click();
    expect(await page.getByText('Take it anyway').isDisabled()).toBe(true);
    await page.getByLabel('Reason').fill('The customer leaves now');
    await page.getByText('Take it anyway').click();
    await page.getByLabel('The machine is now').selectOption('idling in neutral');
    await page.getByLabel('Job number or name').fill('Lift 4');
    await page.getByRole('button', { name: 'Start the job' }).click();
    await expect.poll(() => feed.actions.length).toBe(3);
    expect(feed.actions.map(({ body }) => body)).toEqual([
      { type: 'take-reading', anyway: 'The customer leaves now' },
      { type: 'state-machine', state: 'idling in neutral' },
      { type: 'start-job', label: 'Lift 4' },
    ]);
    expect(visit.faults).toEqual([]);
    await visit.end();
  });

  it('tells a verdict plainly, and lets one that cannot be settled be accepted for a reason', async () => {
    const play = new Play();
    const utc = new Date().toISOString();
    play.over = { lastReading: { event: 40, utc, reading: reading() }, verdict: verdict(), target: verdict().target };
    const done = (actionId: string): ActionResult => ({
      type: 'action-result',
      ...{ actionId, accepted: true, refusal: null, words: 'Done.', revision: 13, event: 41 },
    });
    play.answers = [done, done];
    const visit = await opened(play, 'Ines', 'job');
    const { page, feed } = visit;
    const match = page.locator('.match');
    expect(await textOf(match)).toMatch(
      /Target: reading 12[\s\S]*TOO NEAR TO TELL[\s\S]*As near as this bench can tell/,
    );
    await match.locator('summary').click();
    expect(await textOf(match.locator('tfoot'))).toMatch(/±0.420\smm/);
    expect(await match.getByText('Accept', { exact: true }).isDisabled()).toBe(true);
    await match.getByLabel('Accept it all the same, because').fill('The dipstick agrees.');
    await match.getByText('Accept', { exact: true }).click();
    await page.locator('.answer', { hasText: 'Accepted, and on record.' }).waitFor();
    feed.say(verdictEvent(41, Date.now(), { accepted: { actor: 'Ines', reason: 'The dipstick agrees.' } }));
    await match.getByText('Accepted by Ines: The dipstick agrees.').waitFor();
    expect(await match.locator('form').count()).toBe(0);
    await match.getByText('Make reading 17 the target').click();
    await page.locator('.answer', { hasText: 'Target set.' }).waitFor();
    expect(feed.actions.map(({ body }) => body)).toEqual([
      { type: 'accept', reason: 'The dipstick agrees.' },
      { type: 'set-target', target: { from: 'reading', reading: 17 } },
    ]);
    feed.say(verdictEvent(42, Date.now(), { result: 'within', words: 'Within: as good as at the target.' }));
    await match.getByText('WITHIN', { exact: true }).waitFor();
    expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(1280);
    expect(visit.faults).toEqual([]);
    await visit.end();
  });

  it('speaks of a match only in a job, on a bench with a tolerance', async () => {
    const play = new Play();
    play.over = { bench: { ...BENCH, matchToleranceMm: null } };
    const visit = await opened(play, 'Ines', 'job');
    await visit.page.locator('.job-panel').waitFor();
    expect(await visit.page.locator('.match').count()).toBe(0);
    await visit.end();
  });

  it('takes a value that a person reads from another display, with a comma or a point', async () => {
    const play = new Play();
    const channels = BENCH.channels.map((channel) =>
      channel.id === TEMPERATURE ? { ...channel, instrument: 'typed' } : channel,
    );
    play.over = { bench: { ...BENCH, channels } };
    const accepted = (actionId: string): ActionResult => ({
      type: 'action-result',
      actionId,
      accepted: true,
      refusal: null,
      words: 'Done.',
      revision: 13,
      event: 41,
    });
    play.answers = [accepted];
    const visit = await opened(play, 'Ines', 'job');
    const { page, feed } = visit;
    const field = page.getByLabel(`${TEMPERATURE} as another display shows it, °C`);
    await field.fill('4x');
    expect(await page.getByText('Keep value').isDisabled()).toBe(true);
    await field.fill('47,5');
    await page.getByText('Keep value').click();
    await page.getByText('Value kept.').waitFor();
    expect(feed.actions).toMatchObject([{ body: { type: 'type-value', channel: TEMPERATURE, value: 47.5 } }]);
    await visit.end();
  });

  it('shows names and words as text, whatever they hold', async () => {
    const evil = '<img src=x onerror="document.title=1"><script>document.title=2</script>';
    const play = new Play();
    play.live = () => {
      const live = waiting(Date.now());
      for (const gate of live.gates) Object.assign(gate, { why: 'unknown', words: evil });
      const [first] = Object.values(live.instruments);
      if (first !== undefined) live.instruments[evil] = { ...first, state: 'closed', words: evil };
      return live;
    };
    const { outcome, utc } = readingEvent(40, Date.now(), { machineState: evil });
    const lastReading = outcome.kind === 'reading' ? { event: 40, utc, reading: outcome.reading } : null;
    if (lastReading?.reading.budget[0] !== undefined) lastReading.reading.budget[0].component = evil;
    play.over = {
      bench: { ...snapshot(waiting(0)).bench, name: evil },
      lastReading,
      job: { id: 1, label: evil, readings: 1, referenceC: null },
      alarms: [alarm({ alarm: evil, source: evil, why: evil, message: evil, acknowledgedBy: evil })],
    };
    const visit = await opened(play, evil);
    const { page } = visit;
    const holds = async (...parts: string[]) => {
      for (const part of parts) expect(await textOf(page.locator(part).first()), part).toContain('<img src=x');
    };
    await holds('.bench', '.job', '.state .words', '.alarms', '.actor');
    await goTo(page, 'job');
    await page.locator('main summary').first().click();
    await holds('.facts', 'tbody', '.actor');
    await goTo(page, 'instruments');
    await holds('.health');
    expect(await page.locator('img').count()).toBe(0);
    expect(await page.locator('script').count()).toBe(1);
    expect(await page.title()).toContain('<img');
    expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(1280);
    expect(visit.faults).toEqual([]);
    await visit.end();
  });

  describe('at rest', () => {
    let visit: Visit;
    let page: Page;
    beforeAll(async () => {
      visit = await opened(new Play());
      page = visit.page;
    });
    afterAll(async () => {
      await visit.end();
    });

    it('shows temperature and level, large, with units, as live', async () => {
      expect(await textOf(page.locator('[data-figure=temperature] .value'))).toMatch(/41.6\s*°C/);
      expect(await textOf(page.locator('[data-figure=temperature]'))).toMatch(/live/);
      expect(await textOf(page.locator('[data-figure=level] h2'))).toMatch(/Level at 50\s°C/);
      expect(await textOf(page.locator('[data-figure=level] .value'))).toMatch(/62.\d\s*mm/);
      expect(await textOf(page.locator('[data-figure=level]'))).toMatch(/as measured 6\d\.\d\smm · about 2\.41\sL/);
    });

    it('draws both charts from the history of the bench, and on with live values', async () => {
      await goTo(page, 'signals');
      const painted = (chart: string) =>
        page.waitForFunction(`(() => {
          const canvas = document.querySelector('[data-chart=${chart}] canvas');
          const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
          let line = 0;
          // The colour of the line as measured, anti-aliased edges left out.
          for (let i = 0; i < data.length; i += 4) if (data[i] === 0xa8 && data[i + 1] === 0x48 && data[i + 2] === 0x0b) line++;
          return line > 100;
        })()`);
      await painted('temperature');
      await painted('level');
      const said = await page.locator('[data-chart=temperature]').getAttribute('aria-label');
      expect(said).toMatch(/^Temperature over the last 10 minutes, between \d+.\d and \d+.\d °C\.$/);
    });

    it('can be worked with the keyboard, and shows where it is', async () => {
      await goTo(page, 'now');
      const focused = page.locator(':focus');
      const passed: string[] = [];
      for (let i = 0; i < 7; i++) {
        await page.keyboard.press('Tab');
        passed.push(await textOf(focused));
      }
      expect(passed.join(' ')).toMatch(/Signals Records Instruments Screen Take reading now/);
      expect(await page.evaluate('getComputedStyle(document.activeElement).outlineWidth')).toBe('3px');
    });

    it('carries the cautions', async () => {
      const words = await textOf(page.locator('footer'));
      for (const part of [
        'no safety device',
        'Hot fluid',
        'running engine',
        'raised machine',
        'service information',
        'licensed',
      ])
        expect(words).toContain(part);
    });

    it('made no fault on the way', () => {
      expect(visit.faults).toEqual([]);
    });
  });

  it('weighs at most 150 kB compressed, without the schemas of the feed, and names nothing from elsewhere', () => {
    const files = readdirSync(stage.pageDir, { recursive: true, withFileTypes: true }).filter((f) => f.isFile());
    const bodies = files.map((f) => readFileSync(join(f.parentPath, f.name)));
    const bytes = bodies.reduce((sum, body) => sum + gzipSync(body).length, 0);
    console.info(`the page: ${(bytes / 1000).toFixed(1)} kB compressed`);
    expect(bytes).toBeLessThan(150_000);
    const text = bodies.join('\n');
    expect(text).toContain('WAIT');
    expect(text.toLowerCase()).not.toContain('zod');
    expect([...text.matchAll(/https?:\/\/(?!www\.w3\.org\/)[\w.-]+/g)].map((m) => m[0])).toEqual([]);
  });
});
