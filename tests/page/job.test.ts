/** A job in the hands of people: starting, ticking, typing, measuring, correcting, ending; on two devices, with a foot switch. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ActionBody, Refusal } from '../../src/core/events.ts';
import type { ActionResult, ClientMessage } from '../../src/feed/messages.ts';
import {
  ADJUST,
  FILL,
  FLUID,
  filling,
  JobPlay,
  nowStep,
  type Progress,
  progress,
  SET_UP,
  WARM_UP,
} from './job-scenes.ts';
import { ready, readyEvent } from './scenes.ts';
import { goTo, NEEDS_BROWSER, NO_BROWSER, Stage, type Visit } from './stage.ts';

/** Answers as the bench does: accepted unless told otherwise, each acceptance a new revision. */
class Bench extends JobPlay {
  refuse: (body: ActionBody) => Refusal | null = () => null;
  /** What the job looks like after an accepted action. */
  after: (body: ActionBody, before: Progress | null) => Progress | null = (_, before) => before;
  visit: Visit | null = null;

  answer = ({ actionId, expectedRevision, body }: ClientMessage): ActionResult => {
    const refusal = expectedRevision === this.revision ? this.refuse(body as ActionBody) : 'stale-revision';
    const base = { type: 'action-result', actionId, refusal, words: 'in English', event: null } as const;
    if (refusal !== null) return { ...base, accepted: false, revision: this.revision };
    this.revision++;
    this.visit?.feed.say(this.message(this.after(body as ActionBody, this.progress)));
    return { ...base, accepted: true, revision: this.revision };
  };

  get asked(): ActionBody[] {
    return (this.visit?.feed.actions ?? []).map(({ body }) => body as ActionBody);
  }
}

const press = (page: Page, name: string) => page.getByRole('button', { name, exact: true }).click();
const plain = (text: string) => text.replaceAll('\u00a0', ' ');
const told = async (page: Page, part: string) => plain((await page.locator(part).allInnerTexts()).join('\n'));
async function keys(page: Page, text: string): Promise<void> {
  for (const key of text) await page.locator('.number-keys').getByRole('button', { name: key, exact: true }).click();
}
const ticked = (ids: readonly string[]): Progress =>
  progress({ ...SET_UP, ticks: SET_UP.ticks.map((tick) => ({ ...tick, done: ids.includes(tick.id) })) });

describe.skipIf(NO_BROWSER)(`A job${NEEDS_BROWSER}`, () => {
  const stage = new Stage();
  beforeAll(() => stage.raise());
  afterAll(() => stage.strike());

  async function opened(bench: Bench, options: { view?: string; locale?: string; actor?: string } = {}): Promise<Page> {
    const { view = 'job', locale = 'en-GB', actor = 'Ines' } = options;
    bench.visit = await stage.visit(bench, { locale }, actor, view);
    await bench.visit.page.locator('.page.live').waitFor();
    return bench.visit.page;
  }
  async function ended(bench: Bench): Promise<void> {
    expect(bench.visit?.faults).toEqual([]);
    await bench.visit?.end();
  }
  const asks = (bench: Bench, n: number) => expect.poll(() => bench.asked.length).toBe(n);

  it('starts with two taps where only the job is new, with its cautions in sight', async () => {
    const bench = new Bench(null);
    bench.over = {
      bench: {
        ...bench.snapshot().bench,
        procedures: [{ ...bench.snapshot().bench.procedures[1], fields: [] }] as never,
      },
    };
    const page = await opened(bench, { view: 'now' });
    await goTo(page, 'job');
    expect(await told(page, '.job-start .cautions')).toMatch(/Hot oil burns/);
    await press(page, 'Start the job');
    await asks(bench, 1);
    expect(bench.asked[0]).toMatchObject({
      type: 'start-job',
      procedure: 'winch',
      machineType: 'sluice winch',
      fields: {},
    });
    expect((bench.asked[0] as { label: string }).label).toMatch(/^sluice winch, .*\d{2}:\d{2}/);
    await ended(bench);
  });

  it('asks for what the procedure needs, and keeps nothing of the last customer', async () => {
    const bench = new Bench(null);
    const page = await opened(bench);
    const begin = page.getByRole('button', { name: 'Start the job' });
    expect(await begin.isDisabled()).toBe(true);
    await page.getByText('Still needed: Number of the machine').waitFor();
    expect(await page.getByLabel('Customer').inputValue()).toBe('');
    await page.getByLabel('Kind of machine').fill('small lathe');
    expect(await page.locator('datalist option').count()).toBe(2);
    await page.getByLabel('Number of the machine').fill(' W 3 ');
    await page.getByLabel('Job number or name').fill('88');
    await begin.click();
    await page.getByLabel('Procedure').selectOption('');
    await begin.click();
    await asks(bench, 2);
    expect(bench.asked).toEqual([
      { type: 'start-job', label: '88', procedure: 'winch', machineType: 'small lathe', fields: { machine: 'W 3' } },
      { type: 'start-job', label: '88', machineType: 'small lathe' },
    ]);
    await ended(bench);
  });

  it('ticks go to the bench one by one and at once, the last with the word that it is done and the note', async () => {
    const bench = new Bench(ticked([]));
    bench.after = (body) => (body.type === 'confirm' && body.ticks.length < 3 ? ticked(body.ticks) : progress(WARM_UP));
    const page = await opened(bench);
    const rows = page.locator('[data-tick]');
    // Faster than the bench answers: none of them is refused as stale.
    await page.evaluate('document.querySelectorAll("[data-tick]").forEach((row) => row.click())');
    await page.getByText('3 of 3 ticked').waitFor();
    await page.getByLabel('Note for this step').fill('on ramps');
    await press(page, 'Done');
    await page.locator('[data-step=warm-up]').waitFor();
    expect(await rows.count()).toBe(0);
    const last = bench.asked.at(-1);
    expect(last).toEqual({ type: 'confirm', step: 'set-up', ticks: ['level', 'brake', 'couplant'], note: 'on ramps' });
    expect(bench.asked.slice(0, -1).flatMap((body) => (body.type === 'confirm' ? body.ticks : []))).not.toContain(
      'couplant',
    );
    await ended(bench);
  });

  it('a foot switch ticks on, and says that it is done; on Now as on Job', async () => {
    const bench = new Bench(ticked(['level']));
    bench.after = (body) =>
      body.type === 'confirm' && body.ticks.length < 3 ? ticked(['level', ...body.ticks]) : progress(WARM_UP);
    const page = await opened(bench, { view: 'now' });
    expect(await told(page, '.next-tick')).toBe('Brake on, drum pinned');
    await page.keyboard.press('Space');
    await page.locator('.next-tick', { hasText: 'Couplant' }).waitFor();
    await asks(bench, 1);
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Done' }).waitFor();
    await page.keyboard.press('Space');
    await page.locator('[data-lead=wait]').waitFor();
    expect(bench.asked).toEqual([
      { type: 'confirm', step: 'set-up', ticks: ['brake'] },
      { type: 'confirm', step: 'set-up', ticks: ['level', 'brake', 'couplant'] },
    ]);
    await ended(bench);
  });

  it('says when another device was faster, and shows what stands now', async () => {
    const bench = new Bench(ticked([]));
    const page = await opened(bench);
    bench.revision++;
    await page.locator('[data-tick=brake]').click();
    await page.getByText('Refused. Something changed meanwhile. Look again, then ask again.').waitFor();
    expect(await page.locator('[data-tick=brake]').getAttribute('aria-checked')).toBe('false');
    bench.visit?.feed.say(bench.message(ticked(['level', 'brake'])));
    await page.locator('[data-tick=brake][aria-checked=true]').waitFor();
    bench.visit?.feed.say(bench.message(progress(WARM_UP)));
    await page.locator('[data-step=warm-up]').waitFor();
    await ended(bench);
  });

  it('takes numbers from large keys or a keyboard, in the unit of the screen, within their range', async () => {
    const asksFresh = { ...FLUID, asks: FLUID.asks.filter(({ name }) => name === 'fresh') };
    const bench = new Bench(progress(asksFresh));
    const page = await opened(bench, { locale: 'de-DE' });
    await keys(page, '99');
    await page.getByText('Muss von −10 °C bis 60 °C sein.').waitFor();
    expect(await page.getByRole('button', { name: 'Festhalten' }).isDisabled()).toBe(true);
    await page.getByRole('button', { name: 'Letzte Ziffer löschen' }).click();
    await keys(page, ',5');
    await press(page, 'Plus oder minus');
    expect(await page.locator('[data-ask=fresh] input').inputValue()).toBe('−9,5');
    await page.locator('[data-ask=fresh] input').press('Enter');
    await asks(bench, 1);
    await page.evaluate(`localStorage.setItem('stillwell.settings', JSON.stringify({ temperature: 'F' }))`);
    await page.reload();
    await page.locator('[data-ask=fresh] input').fill('68');
    await page.locator('[data-ask=fresh] input').press('Enter');
    await asks(bench, 2);
    expect(bench.asked).toEqual([
      { type: 'enter', name: 'fresh', value: -9.5 },
      { type: 'enter', name: 'fresh', value: 20 },
    ]);
    await ended(bench);
  });

  it('asks why when a label does not say what it should, and sends the reason with it', async () => {
    const bench = new Bench(
      progress(FLUID, {
        entries: [{ event: 30, name: 'required', value: 'GL-W 75', actor: 'Ines', override: null, corrects: null }],
      }),
    );
    bench.refuse = (body) => (body.type === 'enter' && body.override === undefined ? 'mismatch' : null);
    const page = await opened(bench);
    await page.getByText('Must say the same as: GL-W 75').waitFor();
    await page.locator('[data-ask=label] input').fill('GL-W 80');
    await page.locator('[data-ask=label] input').press('Enter');
    await page.getByText(/^Refused\. It is not the same as it should be/).waitFor();
    await page.getByLabel('Why it is right all the same').fill('The maker allows both');
    await press(page, 'Keep it with this reason');
    await asks(bench, 2);
    expect(bench.asked).toEqual([
      { type: 'enter', name: 'label', value: 'GL-W 80' },
      { type: 'enter', name: 'label', value: 'GL-W 80', override: 'The maker allows both' },
    ]);
    await ended(bench);
  });

  it('drains by the mark: the advice is proposed, and what was drained is kept with its temperature', async () => {
    const bench = new Bench(progress(ADJUST));
    let levelMm = 62.3;
    bench.now = () => ({ ...ready(Date.now()), levelMm });
    const page = await opened(bench);
    expect(await told(page, '.job-lead')).toMatch(/DRAIN\s+0\.15 L[\s\S]*4\.2 mm above the mark/);
    levelMm = 58;
    await page.locator('[data-face=stop]').waitFor();
    expect(await told(page, '.job-lead')).toMatch(/SHUT THE TAP\s+0\.1 mm below the mark/);
    expect(await page.getByRole('textbox', { name: 'Amount' }).inputValue()).toBe('0.15');
    expect(await page.getByRole('textbox', { name: 'Temperature of the fluid' }).inputValue()).toBe('48.3');
    await keys(page, '.2');
    await press(page, 'Keep this amount');
    await asks(bench, 1);
    expect(bench.asked).toEqual([{ type: 'record-amount', kind: 'out', amount: 0.2, measure: 'jug', tC: 48.3 }]);
    await ended(bench);
  });

  it('adds several amounts up against the plan, says what is lacking, and ends when that is all', async () => {
    const bench = new Bench(filling());
    const page = await opened(bench);
    expect(await told(page, '.blocked')).toMatch(/3\.20 L are in, at least 3\.61 L must be\./);
    expect(await told(page, '.sum')).toBe('3.20 L of 4.25 L 1.05 L to go');
    expect(await page.getByRole('textbox', { name: 'Amount' }).inputValue()).toBe('1.05');
    expect(await page.getByRole('button', { name: 'That is all' }).isDisabled()).toBe(true);
    bench.visit?.feed.say(bench.message({ ...filling(), now: { ...FILL, blocked: [] } }));
    await press(page, 'That is all');
    await asks(bench, 1);
    expect(bench.asked).toEqual([{ type: 'confirm', step: 'fill', ticks: [] }]);
    await page.getByRole('radio', { name: 'Scale under the pan' }).check({ force: true });
    await page.getByText('The advice is in L.').waitFor();
    await ended(bench);
  });

  it('corrects amounts and entries by new ones; the old stay, struck through', async () => {
    const bench = new Bench(filling());
    const page = await opened(bench);
    expect(await told(page, '[data-told="51"] s')).toBe('15.00 L poured in, at 20.0 °C, Measuring jug');
    expect(await told(page, '[data-told="30"] s')).toBe('All the oil that it holds: 8 L');
    await page.locator('[data-told="55"] button').click();
    const line = page.locator('[data-told="55"]');
    expect(await line.getByRole('textbox', { name: 'Amount' }).inputValue()).toBe('1.70');
    await line.getByRole('textbox', { name: 'Amount' }).fill('0');
    await line.getByRole('button', { name: 'Keep the new value' }).click();
    await page.locator('[data-told="44"] button').click();
    await page.locator('[data-told="44"] input').fill('6,8');
    await page.locator('[data-told="44"] input').press('Enter');
    await asks(bench, 2);
    expect(bench.asked).toEqual([
      { type: 'record-amount', kind: 'in', amount: 0, measure: 'jug', tC: 20, corrects: 55 },
      { type: 'enter', name: 'held', value: 6.8, corrects: 44 },
    ]);
    await ended(bench);
  });

  it('goes back, leaves out, pauses and ends early only with a reason; the engine at a touch', async () => {
    const bench = new Bench(filling());
    const page = await opened(bench);
    await page.getByText('7 steps done').click();
    await page.getByText('Go back to a step').click();
    await page.getByLabel('To', { exact: true }).selectOption('drain');
    const back = page.locator('.back');
    expect(await back.getByRole('button').isDisabled()).toBe(true);
    await back.getByLabel('Reason').fill('more came out');
    await back.getByRole('button').click();
    await page.getByText('Leave this step out').click();
    await page.locator('details.skip').getByLabel('Reason').fill('filled before');
    await page.locator('details.skip').getByRole('button').click();
    await press(page, 'It was started');
    await page.getByText('Pause the job').click();
    await page.locator('.pause').getByLabel('Reason').fill('lunch');
    await page.locator('.pause').getByRole('button').click();
    await page.getByText('Close the job with steps left').click();
    await page.getByLabel('Why it ends here').fill('the customer leaves');
    await press(page, 'Close it unfinished');
    await asks(bench, 5);
    expect(bench.asked).toEqual([
      { type: 'go-back', to: 'drain', reason: 'more came out' },
      { type: 'skip-step', step: 'fill', reason: 'filled before' },
      { type: 'engine', running: true },
      { type: 'pause-job', reason: 'lunch' },
      { type: 'close-job', unfinished: 'the customer leaves' },
    ]);
    await ended(bench);
  });

  it('paused, it does nothing but go on', async () => {
    const bench = new Bench(progress(SET_UP, { paused: true }));
    bench.after = () => progress(SET_UP);
    const page = await opened(bench, { view: 'now' });
    expect(await page.locator('[data-tick]').count()).toBe(0);
    await page.keyboard.press('Space');
    await page.locator('[data-lead=list]').waitFor();
    expect(bench.asked).toEqual([{ type: 'resume-job' }]);
    await ended(bench);
  });

  it('says who did what and when, once the steps done are unfolded', async () => {
    const bench = new Bench(filling());
    const utcMs = Date.parse('2026-03-01T10:04:05Z');
    Object.assign(bench, { past: () => [readyEvent(20, utcMs, true), readyEvent(26, utcMs + 60_000, true)] });
    const page = await opened(bench);
    await page.getByText('7 steps done').click();
    await page.locator('[data-done=set-up]', { hasText: 'Ines, 1 Mar 2026' }).waitFor();
    expect(await told(page, '[data-done=warm-up]')).toMatch(/Warm up until a reading counts\s+by itself/);
    await ended(bench);
  });

  it('reads, checks the zero, answers and decides at the step that asks for it', async () => {
    const bench = new Bench(progress(nowStep('reading')));
    bench.now = () => ready(Date.now());
    const page = await opened(bench);
    await page.locator('button.take.ready').waitFor();
    await press(page, 'Read now');
    bench.visit?.feed.say(bench.message(progress(nowStep('sensor-zero', { optional: true }))));
    await page.getByText(/It shows 6\d\.\d\d.mm now\./).waitFor();
    await keys(page, '25');
    await press(page, 'Check the zero');
    await press(page, 'Not needed this time');
    const answers = [{ id: 'leak', words: 'A leak is seen' }];
    bench.visit?.feed.say(bench.message(progress(nowStep('worth', { answers }))));
    await press(page, 'A leak is seen');
    bench.visit?.feed.say(bench.message(progress(nowStep('verdict'))));
    const step = page.locator('[data-step=verdict]');
    expect(await told(page, '.big-verdict .result')).toBe('TOO NEAR TO TELL');
    await step.getByLabel('Accept it all the same, because').fill('the customer agrees');
    await step.getByRole('button', { name: 'Accept' }).click();
    bench.visit?.feed.say(bench.message(progress(null)));
    await press(page, 'Sign and close the job');
    await asks(bench, 6);
    expect(bench.asked).toEqual([
      { type: 'take-reading' },
      { type: 'check-zero', expectedMm: 25 },
      { type: 'skip-step', step: 'sensor-zero', reason: '' },
      { type: 'answer', step: 'worth', answer: 'leak' },
      { type: 'accept', reason: 'the customer agrees' },
      { type: 'close-job' },
    ]);
    await ended(bench);
  });

  it('shows what a step holds, live against its limit, and greys it with the connection', async () => {
    const bench = new Bench(progress(WARM_UP));
    const page = await opened(bench);
    expect(await told(page, '[data-hold=pick-up]')).toMatch(/tank-level above 24\.0 mm: now 6\d\.\d mm, kept/);
    expect(await told(page, '[data-hold=press]')).toMatch(/below 120\.0 kPa \(1\.20 bar\): .*watch the gauge/);
    bench.visit?.feed.cut();
    await page.locator('.state[data-state=lost]').waitFor();
    expect(await told(page, '[data-hold=pick-up]')).toMatch(/now ––$/);
    await goTo(page, 'now');
    await page.locator('.now .state[data-state=lost]').waitFor();
    bench.visit?.feed.mend();
    await page.locator('.now [data-lead=wait]').waitFor();
    await bench.visit?.end();
  });

  it('leads every view: its words stand in the strip of the others', async () => {
    const bench = new Bench(progress(FILL));
    const page = await opened(bench, { view: 'signals' });
    expect(await told(page, '.strip')).toMatch(/ADD\s+4\.25 L\s+Fill in what was drained/);
    await ended(bench);
  });
});
