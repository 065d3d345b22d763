/** Finding jobs, and the report of one: what it tells, that nothing in it runs, and that it prints. */
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type RecordsOptions, records } from '../../src/commands/records.ts';
import { type ReportOptions, report } from '../../src/commands/report.ts';
import { Decimator } from '../../src/report/decimate.ts';
import { html } from '../../src/report/html.ts';
import { localText } from '../../src/report/times.ts';
import { uniforms } from '../support/draws.ts';
import { BROWSER, BROWSER_FLAGS, WITHOUT_BROWSER } from '../support/parts.ts';
import { RecordedBench, writeJobs } from './recorded-bench.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-report-'));
const made = { by: 'stillwell test', utcMs: Date.UTC(2031, 2, 5) };
beforeAll(() => {
  writeJobs(join(dir, 'press.journal'));
  const other = new RecordedBench(join(dir, 'vat.journal'));
  other.startRun(Date.UTC(2031, 5, 1, 22, 30));
  other.act({ type: 'start-job', label: 'Vat 9' });
  other.stop();
});
afterAll(() => rmSync(dir, { recursive: true, force: true }));

function found(options: RecordsOptions, places = [dir]): { code: number; text: string } {
  let text = '';
  const code = records(places, options, 'Europe/Lisbon', { write: (words) => (text += words) });
  return { code, text };
}

function reported(job: string, options: ReportOptions = {}): { code: number; text: string; said: string } {
  let said = '';
  const out = join(dir, 'out.html');
  const code = report(job, [dir], { out, ...options }, made, { write: (words) => (said += words) }, null);
  return { code, text: readFileSync(out, 'utf8'), said };
}

describe('stillwell records', () => {
  test.each<[RecordsOptions, string[]]>([
    [{}, ['Press 4', 'Press 5', 'Vat 9']],
    [{ number: 1 }, ['Press 4', 'Vat 9']],
    [{ label: 'press' }, ['Press 4', 'Press 5']],
    [{ open: true }, ['Press 5', 'Vat 9']],
    [{ closed: true }, ['Press 4']],
    [{ closed: true, from: '2031-03-04', to: '2031-03-04' }, ['Press 4']],
    [{ closed: true, from: '2031-03-05' }, []],
    [{ to: '2031-03-04' }, ['Press 4', 'Press 5']],
    [{ number: 7 }, []],
  ])('%j finds %j', (options, labels) => {
    const { code, text } = found(options);
    expect(['Press 4', 'Press 5', 'Vat 9'].filter((label) => text.includes(label))).toEqual(labels);
    expect(code).toBe(labels.length > 0 ? 0 : 1);
  });

  test('a journal that cannot be read is told of, and the others go on', () => {
    const { code, text } = found({}, [join(dir, 'press.journal'), join(dir, 'none.journal')]);
    expect(code).toBe(0);
    expect(text).toMatch(/note: missing: .*none\.journal/);
    expect(() => found({}, [join(dir, 'none.journal')])).toThrow(/journal-unreachable/);
  });
});

describe('stillwell report', () => {
  test('tells every reading in words and figures, and both checks', () => {
    const { code, text } = reported('leak');
    expect(code).toBe(0);
    expect(text.match(/<article>/g)?.length).toBe(4);
    expect(text.match(/<svg /g)?.length).toBe(5);
    // In the font of the report a digit is less than 6 units wide; a picture is 720.
    const ticks = [...text.matchAll(/text-anchor="middle" x="([\d.]+)" y="[\d.]+">([\d:-]+)</g)];
    expect(ticks.length).toBeGreaterThan(20);
    for (const [, x, words = ''] of ticks) expect(Number(x) + 3 * words.length).toBeLessThanOrEqual(720);
    expect(text.match(/Expanded uncertainty, ×/g)?.length).toBe(5);
    expect(text).toMatch(/chain of the record intact\? <strong>Yes/);
    expect(text).toMatch(/4 readings and \d+ other outcomes come out the same/);
    for (const words of [
      'idling',
      'lev-0007',
      'in date until',
      'instrument lost: probe',
      'Caution.',
      'Europe/Lisbon',
      'Started the job.',
    ])
      expect(text, words).toContain(words);
  });

  test('what people typed is text, and nothing is fetched or run', () => {
    const { text } = reported('leak');
    expect(text).not.toMatch(/<script|javascript:|\son\w+=|<b>|url\(|@import|https?:/i);
    expect(text).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
    expect(html`<i>${'<&>"'}${null}${[1, html`<b>`]}`.text).toBe('<i>&lt;&amp;&gt;&quot;1<b>');
  });

  test('an open job without a reading has a report too', () => {
    expect(reported('Press 5').text).toContain('No reading was taken yet.');
  });

  test('a number or label that fits several or none is told with what there is', () => {
    expect(() => reported('1')).toThrow(/fits 2:[\s\S]*press\.journal[\s\S]*vat\.journal/);
    expect(() => reported('Press 77')).toThrow(/job-unknown/);
  });

  test('a record that does not pass its checks says so on its first page', () => {
    const path = join(dir, 'forged', '..', 'forged.journal');
    const bench = new RecordedBench(path);
    bench.startRun(Date.UTC(2031, 2, 4, 9));
    bench.act({ type: 'start-job', label: 'forged one' });
    bench.forgeNextReading(0.4);
    bench.talk(
      25,
      () => 50,
      () => 60,
    );
    bench.act({ type: 'close-job' });
    bench.stop();
    const { code, text, said } = reported('forged one');
    rmSync(path);
    expect(code).toBe(3);
    expect(said).toContain('does not pass its checks');
    expect(text).toMatch(/does not pass its checks[\s\S]*record says reading 1 is/);
  });

  test.skipIf(BROWSER === null)(
    `prints on A4 and Letter, and nothing sticks out${WITHOUT_BROWSER}`,
    { timeout: 120_000 },
    async () => {
      for (const [paper, box] of [
        ['a4', /MediaBox ?\[ ?0 0 59[45][\d.]* 84[12]/],
        ['letter', /MediaBox ?\[ ?0 0 612[.\d]* 792/],
      ] as const) {
        const pdf = join(dir, `${paper}.pdf`);
        const { code } = reported('leak', { paper, pdf, browser: BROWSER as string });
        expect(code).toBe(0);
        expect(readFileSync(pdf, 'latin1')).toMatch(box);
        expect(statSync(pdf).size).toBeGreaterThan(20_000);
      }
      const browser = await chromium.launch({ executablePath: BROWSER as string, args: BROWSER_FLAGS });
      const page = await browser.newPage();
      const asked: string[] = [];
      page.on('request', (request) => asked.push(request.url()));
      const url = pathToFileURL(join(dir, 'out.html')).href;
      await page.goto(url);
      for (const [media, width] of [
        ['screen', 360],
        ['screen', 1280],
        ['print', 688],
      ] as const) {
        await page.emulateMedia({ media });
        await page.setViewportSize({ width, height: 900 });
        expect(await page.evaluate('document.documentElement.scrollWidth'), `${media} ${width}`).toBeLessThanOrEqual(
          width,
        );
      }
      expect(asked).toEqual([url]);
      await browser.close();
    },
  );

  test('without a Chromium there is a reason, and no half a report', () => {
    const out = join(dir, 'no-browser.html');
    expect(() => reported('leak', { out, pdf: true, browser: join(dir, 'none') })).toThrow(/print-failed/);
    expect(existsSync(`${out}.part`)).toBe(false);
  });
});

test('least and greatest survive the thinning', () => {
  const uniform = uniforms(5);
  const values = Array.from({ length: 5000 }, (_, i) => ({ utcMs: 1000 + i, value: uniform() }));
  const thin = new Decimator(1000, 6000, 50);
  for (const { utcMs, value } of values) thin.add(utcMs, value);
  const buckets = thin.buckets();
  expect(buckets.length).toBe(50);
  for (const { utcMs, min, max } of buckets) {
    const within = values
      .filter(
        (one) =>
          Math.abs(one.utcMs - utcMs) <= 50 &&
          Math.floor((one.utcMs - 1000) / 100) === Math.floor((utcMs - 1000) / 100),
      )
      .map(({ value }) => value);
    expect([min, max]).toEqual([Math.min(...within), Math.max(...within)]);
  }
});

test('local time follows the summer time of its zone, and an unknown zone its offset', () => {
  const lisbon = { name: 'Europe/Lisbon', offsetMin: 0 };
  expect(localText(Date.UTC(2031, 0, 15, 12), lisbon)).toBe('2031-01-15 12:00:00');
  expect(localText(Date.UTC(2031, 6, 15, 12), lisbon)).toBe('2031-07-15 13:00:00');
  expect(localText(Date.UTC(2031, 6, 15, 12), { name: 'Nowhere/Else', offsetMin: 330 })).toBe('2031-07-15 17:30:00');
});
