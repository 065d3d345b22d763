/** `stillwell check`: the answer and the exit code. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { check } from '../../src/commands/check.ts';
import { ROOT } from '../repo/house.ts';

const folder = mkdtempSync(join(tmpdir(), 'stillwell-check-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function run(file: string): Promise<{ code: number; said: string }> {
  let said = '';
  const code = await check(file, {
    write(text) {
      said += text;
    },
  });
  return { code, said };
}

test('a good bench is summed up, exit code 0', async () => {
  const file = join(ROOT, 'docs/examples/bench.yaml');
  const { code, said } = await run(file);
  expect(code).toBe(0);
  expect(said).toBe(
    [
      `${file} is good.`,
      '',
      'Bench        North bay',
      'Instruments  probe: pattern on /dev/serial/by-id/usb-bath-probe-0001 at 115200 baud, every 500 ms',
      '             sonar: columns on 192.0.2.7:4001, every 200 ms',
      'Channels     temperature: temperature from probe.temp, -20 °C to 150 °C, standard uncertainty 0.3 K',
      '             level: length from sonar.level, 5 mm to 200 mm, standard uncertainty 0.1 mm',
      'Reading      level at 50 °C, corrected by 0.25 ± 0.03 mm/K',
      'Window       temperature from 46 °C to 54 °C, hysteresis 0.3 K',
      'Calm         over 6 s: spread up to 1.2 mm, drift up to 2 mm/min',
      `Journal      ${join(ROOT, 'docs/examples/north-bay.journal')}`,
      'Page         port 8720',
      '',
    ].join('\n'),
  );
});

test('all mistakes of a bad one are told, exit code 1', async () => {
  const file = join(folder, 'bad.yaml');
  writeFileSync(file, 'bench: 5\ninstruments: {}\nchannels: {}\nmeasure: {}\n');
  const { code, said } = await run(file);
  expect(code).toBe(1);
  const places = said.split('\n').filter((line) => line.startsWith(`${file}:`));
  expect(places).toHaveLength(9);
  expect(places[0]).toBe(`${file}:1:8  5 is not text: expected a name of at most 80 characters, in quotes: "5"`);
  expect(said.endsWith(`${file} has 9 mistakes.\n`)).toBe(true);
});

test('one mistake is one mistake', async () => {
  const file = join(folder, 'empty.yaml');
  writeFileSync(file, '');
  expect((await run(file)).said).toContain(`${file} has one mistake.\n`);
});

test('a file that is not there is an error with words', async () => {
  const missing = join(folder, 'none.yaml');
  await expect(run(missing)).rejects.toMatchObject({ code: 'config-unreadable', where: missing });
});
