/** `stillwell check`: the answer and the exit code. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
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
      'Channels     temperature: temperature from probe.resistance, -20 °C to 150 °C, standard uncertainty 0.3 K',
      '             level: length from sonar.flight, 5 mm to 120 mm, standard uncertainty 0.1 mm',
      '             vehicle: temperature typed by a person, -80 °C to 400 °C, standard uncertainty 1 K',
      'Reading      level at 50 °C, corrected by vessel and fluid',
      'Window       temperature from 46 °C to 54 °C, hysteresis 0.3 K',
      'Settled      within 1 mm of where it comes to rest, sure to 98 %',
      'Waves        up to 1.5 mm',
      'Match        ±1 mm of a target set in the job, 95 % sure; refitting 0.15 mm, new fluid 0.2 mm',
      `Journal      ${join(ROOT, 'docs/examples/north-bay.journal')}`,
      'Page         port 8720',
      'Procedures   north-bay-gearbox, version 4: North bay, fluid change on the small gearbox, 17 steps',
      '               note: pressure: no channel "filling-pressure", so a person watches a gauge: pressure below 110 kPa.',
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
  expect(places).toHaveLength(8);
  expect(places[0]).toBe(`${file}:1:8  5 is not text: expected a name of at most 80 characters, in quotes: "5"`);
  expect(said.endsWith(`${file} has 8 mistakes.\n`)).toBe(true);
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

test('a port named by the order of plugging is warned of, unless the device is asked who it is', async () => {
  const text = readFileSync(join(ROOT, 'docs/examples/bench.yaml'), 'utf8').replace(/^procedures:.*\n/m, '');
  const serial = 'serial: /dev/serial/by-id/usb-bath-probe-0001';
  expect(text).toContain(serial);
  const said = async (link: string) => {
    const file = join(folder, 'moving.yaml');
    writeFileSync(file, text.replace(serial, link));
    const result = await run(file);
    expect([link, result.code, result.said]).toEqual([link, 0, result.said]);
    return result.said;
  };
  const warning = 'Warning: probe is at /dev/ttyUSB0; this name may move to another device with the next plugging.';
  expect(await said('serial: /dev/ttyUSB0')).toContain(warning);
  const identify = 'identify: { send: "ID?\\n", expect: probe-7, within: 1 s }';
  const asked = await said(`serial: /dev/ttyUSB0\n      ${identify}`);
  expect(asked).toContain('probe: pattern on /dev/ttyUSB0 at 115200 baud, known by its answer "probe-7", every 500 ms');
  expect(asked).not.toContain('Warning');
  const usb = await said('usb: { serial-number: "A1", vendor: "1209" }');
  expect(usb).toContain('probe: pattern on USB 1209:* no. A1 at 115200 baud, every 500 ms');
  expect(await said(`any: true\n      ${identify}`)).toContain('probe: pattern on any at 115200 baud, known by');
  for (const still of ['/dev/ttyS0', '/dev/serial/by-path/usb-0:1', 'COM3']) {
    expect(await said(`serial: ${still}`)).not.toContain('Warning');
  }
});
