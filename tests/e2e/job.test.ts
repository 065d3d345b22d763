/** A whole matching job: typed on the command line, on a bench process of its own, at a simulated machine on real ports. */
import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type SumpBench, startSumpBench } from '../../simulators/sump-bench.ts';
import { type Cli, stillwell } from '../support/cli.ts';
import { Follower } from '../support/follower.ts';
import { PNG } from '../support/picture.ts';
import { Technician } from '../support/technician.ts';

const seed = Number(process.env.STILLWELL_SEED ?? 77);
const dir = mkdtempSync(join(tmpdir(), 'stillwell-e2e-job-'));
let machine: SumpBench;
let run: Cli;
let url = '';
beforeAll(async () => {
  machine = await startSumpBench(dir, seed);
  run = stillwell('run', machine.benchFile, '--port', '0', '--log', 'info');
  [url] = (await run.says(/http:[^\s"]+/)) as unknown as [string];
});
afterAll(async () => {
  await run.stop();
  await machine.stop();
  rmSync(dir, { recursive: true, force: true });
});

test('from the first reading to the sealed record, with one refusal, one correction and a photo', {
  timeout: 240_000,
}, async () => {
  console.log(`seed ${seed}`);
  const { sump } = machine;
  const follower = new Follower(url);
  const ines = new Technician(url, follower, sump);
  const photo = join(dir, 'marks.png');
  writeFileSync(photo, PNG);

  const begun = stillwell(
    ...['job', 'start', '--port', new URL(url).port, '--as', 'Ines', '--procedure', 'gearbox-matched'],
    ...['--label', 'Peat press 4', '--machine-type', 'peat press', '--field', 'machine=PP 4'],
  );
  expect(await begun.ended, begun.output()).toBe(0);
  expect(begun.output()).toMatch(/The job is begun\.\nStep 1 of \d+: Have the maker's service information at hand\n/);

  // Before anything is opened.
  await ines.ticks('papers');
  await ines.ticks('set-up', '--note', 'bay 2');
  await ines.checksZero('sensor-zero');
  await ines.ticks('sensor-on', '--photo', photo);
  await ines.ticks('first-run');
  sump.engineRuns = true;
  expect((await ines.tries('read')).said).toMatch(/Not done: Not ready to read[\s\S]*°C: too cold for the window/);
  await ines.arrives('cooler-first');
  const firstMm = sump.levelMm;
  await ines.types('enter', 'first-cooler', 'no cooler');
  await ines.types('answer', 'match');

  // Old fluid out.
  await ines.ticks('engine-off');
  sump.engineRuns = false;
  await ines.ticks('opening');
  await ines.drains(3, 'jug');
  await ines.drains(0.9, 'jug');
  sump.drain(0.05);
  await ines.types('spilled', '50 mL', '--with', 'jug', '--at', '44');
  await ines.types('done');
  await ines.types('enter', 'drained-look', 'dark');
  await ines.types('done');
  await ines.ticks('renew');
  await ines.ticks('sensor-again');

  // New fluid in: the wrong label is refused, a slip is corrected.
  await ines.types('enter', 'required-fluid', 'PX', '46');
  const wrong = await ines.tries('enter', 'label-fluid', 'PX 68');
  expect(wrong).toMatchObject({ code: 2, said: expect.stringContaining('It is not the same as it should be') });
  await ines.types('enter', 'label-fluid', 'PX-46');
  await ines.types('enter', 'batch', 'L 2207');
  const slip = await ines.types('enter', 'fresh-temperature', '2.2 °C');
  expect(slip).toContain('Temperature of the new fluid: 2.2 °C.');
  const entry = ines.progress?.entries.find(({ name }) => name === 'fresh-temperature');
  await ines.types('correct', String(entry?.event), '22 °C');
  await ines.types('enter', 'fluid-held', '6.3 L');
  await ines.arrives('fill');
  const plan = ines.progress?.refill?.litres ?? 0;
  expect((await ines.types()).toString()).toMatch(/The refill plan: \d\.\d\d ± \d\.\d\d L at 22 °C/);
  const early = await ines.tries('done');
  expect(early).toMatchObject({ code: 2, said: expect.stringContaining('at least') });
  await ines.pours(Number(plan.toFixed(2)), 'meter', 22);
  await ines.types('done');
  await ines.ticks('closed');
  sump.engineRuns = true;
  await ines.ticks('start');
  await ines.ticks('selector');
  await ines.arrives('cooler');
  await ines.types('answer', 'none');

  // The allowances went in besides: the level stands too high, and is brought down.
  const times = await ines.adjusts();
  expect(times).toBeGreaterThanOrEqual(1);
  expect(times).toBeLessThanOrEqual(2);
  expect(Math.abs(sump.levelMm - firstMm)).toBeLessThan(1);

  await ines.ticks('stop');
  sump.engineRuns = false;
  await ines.checksZero('zero-again');
  await ines.ticks('finish');
  await ines.types('enter', 'waste-container', 'W 12');
  await ines.types('enter', 'waste-amount', '3.9 L');
  const closing = await ines.types('done');
  expect(closing).toContain('All steps are done. Next: stillwell job close');
  expect(ines.progress?.balance).toMatchObject({ closed: true });
  expect(ines.progress?.fresh?.share).toBeGreaterThan(0.5);
  await ines.types('close');
  await run.says(/a closed job is sealed/);
  follower.close();

  const sealed = readdirSync(join(dir, 'sealed')).map((name) => join(dir, 'sealed', name));
  const verified = stillwell('verify', sealed[0] as string);
  expect(await verified.ended, verified.output()).toBe(0);
  const file = join(dir, 'job.html');
  const report = stillwell('report', '1', sealed[0] as string, '--out', file);
  expect(await report.ended, report.output()).toBe(0);
  const html = readFileSync(file, 'utf8');
  const lacks = [
    'Sealed gearbox, level matched to the first reading',
    'Misclosure',
    '<s>2.2\u00a0°C</s>',
    `data:image/png;base64,${PNG.toString('base64')}`,
    createHash('sha256').update(PNG).digest('hex'),
    'Caught',
    'Fresh fluid',
  ].filter((words) => !html.includes(words));
  expect(lacks).toEqual([]);
  const records = stillwell(
    'records',
    dir,
    '--machine-type',
    'peat',
    '--procedure',
    'gearbox-matched',
    '--field',
    'machine=PP 4',
  );
  expect(await records.ended, records.output()).toBe(0);
  expect(records.output()).toContain('Peat press 4');
});
