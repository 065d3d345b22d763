/** The report tells alarms with what they called for, and who did what with them. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { report } from '../../src/commands/report.ts';
import { HOT, OVERHEATED } from '../support/alarm-rig.ts';
import { BEGAN_UTC_MS, BENCH, RecordedBench } from './recorded-bench.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-alarms-'));
afterAll(() => rmSync(dir, { recursive: true, force: true }));

/** The rows of the table under a heading, as plain text, without their times. */
function rowsUnder(text: string, heading: string): string[][] {
  const [, section = ''] = text.split(`<h2>${heading}</h2>`);
  const [table = ''] = section.split('</section>');
  return [...table.matchAll(/<tr>((?:(?!<\/tr>)[\s\S])*)<\/tr>/g)]
    .map(([, row = '']) =>
      [...row.matchAll(/<td[^>]*>([\s\S]*?)<\/td>/g)].map(([, cell = '']) => cell.replace(/<[^>]+>/g, '')).slice(2),
    )
    .filter((cells) => cells.length > 0);
}

let text: string;
beforeAll(() => {
  const bench = new RecordedBench(join(dir, 'hot.journal'), { ...BENCH, alarms: [HOT] });
  const at = (celsius: number) => () => celsius;
  bench.startRun(BEGAN_UTC_MS);
  bench.talk(5, at(80), at(60));
  bench.talk(10, at(95), at(60));
  bench.act({ type: 'start-job', label: 'Hot one' });
  bench.act({ type: 'acknowledge-alarm', ...OVERHEATED }, 'Mira');
  bench.act({ type: 'shelve-alarm', ...OVERHEATED, forS: 5400, reason: 'Heater <off>' }, 'Mira');
  bench.act({ type: 'unshelve-alarm', ...OVERHEATED });
  bench.act({ type: 'unshelve-alarm', ...OVERHEATED });
  bench.talk(15, at(80), at(60));
  bench.act({ type: 'close-job' });
  bench.stop();
  const out = join(dir, 'out.html');
  const made = { by: 'stillwell test', utcMs: BEGAN_UTC_MS };
  expect(report('1', [dir], { out }, made, { write: () => {} }, null)).toBe(0);
  text = readFileSync(out, 'utf8');
});

test('alarms, with what stood before the job began', () => {
  const name = 'overheated: temperature (high)';
  const rows = rowsUnder(text, 'Alarms');
  expect(rows).toEqual([
    [
      'Active, since before the job',
      name,
      expect.stringMatching(/^temperature 9\d\.\d °C is above 90\.0 °C\. Stop heating\.$/),
      '–',
    ],
    ['Acknowledged', name, expect.stringContaining('is above 90.0 °C'), 'Mira'],
    ['Shelved', name, 'for 1.5 h: “Heater &lt;off&gt;”', 'Mira'],
    ['Unshelved', name, 'by hand', 'Ines'],
    ['Returned to normal', name, expect.stringContaining('is down to 87.0 °C again'), '–'],
  ]);
});

test('and the actions, refused ones too', () => {
  const rows = rowsUnder(text, 'Notes, corrections and actions').filter(([, what]) => what?.includes('alarm'));
  expect(rows).toEqual([
    ['Mira', 'Acknowledged the alarm overheated: temperature.'],
    ['Mira', 'Shelved the alarm overheated: temperature for 1.5 h: “Heater &lt;off&gt;”'],
    ['Ines', 'Unshelved the alarm overheated: temperature.'],
    ['Ines', 'Unshelved the alarm overheated: temperature. Refused: not shelved.'],
  ]);
});
