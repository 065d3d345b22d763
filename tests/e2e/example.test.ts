/** The bench file that the docs offer, run as it stands: only its two ports are replaced by simulated ones. */
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { ptysAvailable } from '../../simulators/libc.ts';
import { PtyPort } from '../../simulators/pty.ts';
import { TcpPort } from '../../simulators/tcp-port.ts';
import { ROOT } from '../repo/house.ts';
import { stillwell } from '../support/cli.ts';
import { Follower } from '../support/follower.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-example-'));
const probe = ptysAvailable() ? new PtyPort(join(dir, 'probe')) : new TcpPort();
const sonar = new TcpPort();
let talk: NodeJS.Timeout;
afterAll(async () => {
  clearInterval(talk);
  await probe.unplug();
  await sonar.unplug();
  rmSync(dir, { recursive: true, force: true });
});

test('docs/examples/bench.yaml runs, shows its values and comes to a reading', { timeout: 60_000 }, async () => {
  await probe.plug();
  await sonar.plug();
  let text = readFileSync(join(ROOT, 'docs/examples/bench.yaml'), 'utf8');
  const replace = (what: RegExp, by: string) => {
    expect(text).toMatch(what);
    text = text.replace(what, by);
  };
  if (sonar.address.kind !== 'tcp') throw new Error('the sonar has no address');
  replace(/tcp: "192\.0\.2\.7:4001"/g, `tcp: "${sonar.address.host}:${sonar.address.port}"`);
  if (probe.address.kind === 'serial') replace(/serial: \/dev\/serial\/\S+/, `serial: ${probe.address.path}`);
  else replace(/serial: \/dev\/serial\/\S+\n\s+baud: 115200/, `tcp: "${probe.address.host}:${probe.address.port}"`);
  const file = join(dir, 'bench.yaml');
  writeFileSync(file, text);
  copyFileSync(join(ROOT, 'docs/examples/north-bay-gearbox.yaml'), join(dir, 'north-bay-gearbox.yaml'));

  let n = 0;
  talk = setInterval(() => {
    n++;
    const wobble = ((n * 7) % 11) / 100;
    const say = (port: typeof sonar | typeof probe, line: string) => port.write(Buffer.from(line)).catch(() => {});
    // 119.40 Ω is 50 °C by IEC 60751; sound at 1440 − 3.5 · 30 = 1335 m/s goes 84 mm and back in 125.84 µs, and 2 µs late.
    if (n % 2 === 0) void say(probe, `R=${(119.4 + wobble / 10).toFixed(2)} ohm\r\n`);
    void say(sonar, `S1;${(127.84 + wobble).toFixed(2)};87\n`);
  }, 200);

  const run = stillwell('run', file, '--port', '0');
  const [url] = await run.says(/http:\S+/);
  const follower = new Follower(url);
  const reading = await follower.until('a reading', () =>
    follower.events.find(({ outcome }) => outcome.kind === 'reading'),
  );
  expect(reading.outcome.kind === 'reading' && reading.outcome.reading.levelMm).toBeCloseTo(87, 0);
  expect(follower.live?.volumeL).toBeGreaterThan(3);
  follower.close();
  expect(await run.stop()).toBe(0);
});
