import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { closeSync, constants, mkdtempSync, openSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { PtyPort } from '../../simulators/pty.ts';
import { describeOnPtys } from '../links/ptys.ts';
import { ROOT } from '../repo/house.ts';

const BENCH = `
bench: Two boards that are not there
instruments:
  probe: { driver: pattern, link: { serial: /dev/ttyUSB4711, baud: 9600 }, every: 500 ms, pattern: "T={temp}" }
  sonar: { driver: pattern, link: { serial: /dev/ttyUSB4712, baud: 9600 }, every: 500 ms, pattern: "L={level}" }
channels:
  temperature: { from: probe.temp, unit: °C, uncertainty: 0.3 K }
  level: { from: sonar.level, unit: mm, uncertainty: 0.2 mm }
measure: { level: level, temperature: temperature, window: 46 °C to 54 °C, reference: 50 °C, compensation: { slope: 0.25 mm/K, uncertainty: 0.03 mm/K }, steady: { tolerance: 1.2 mm } }
`;

describeOnPtys('the log of a running bench', () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'run-log-'));
    writeFileSync(join(folder, 'bench.yaml'), BENCH);
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  /** What comes out at standard error, up to the second line. */
  async function logged(err: number | 'pipe', hear: (listen: (bytes: Uint8Array) => void) => void): Promise<string[]> {
    const args = [join(ROOT, 'dist/src/main.js'), 'run', join(folder, 'bench.yaml'), '--port', '0', '--log', 'info'];
    const child = spawn(process.execPath, args, { stdio: ['ignore', 'ignore', err] });
    let said = '';
    const enough = new Promise<void>((resolve) => {
      const listen = (bytes: Uint8Array): void => {
        said += Buffer.from(bytes).toString();
        if (said.split('\n').length > 2) resolve();
      };
      child.stderr?.on('data', listen);
      hear(listen);
    });
    await Promise.race([enough, once(child, 'exit')]);
    child.kill('SIGTERM');
    if (child.exitCode === null) await once(child, 'exit');
    return said.split(/\r?\n/).slice(0, 2);
  }

  it('is one line for the eye on a terminal', async () => {
    const terminal = new PtyPort(join(folder, 'terminal'));
    await terminal.plug();
    const fd = openSync(join(folder, 'terminal'), constants.O_RDWR | constants.O_NOCTTY);
    try {
      for (const line of await logged(fd, (listen) => terminal.onData(listen)))
        expect(line).toMatch(/^\d\d:\d\d:\d\d info {3}link \w+ {2}instrument=(probe|sonar) reason=[a-z-]+ detail=/);
    } finally {
      closeSync(fd);
      await terminal.unplug();
    }
  });

  it('is JSON for anything else', async () => {
    for (const line of await logged('pipe', () => {}))
      expect(JSON.parse(line)).toMatchObject({ level: 30, msg: expect.stringMatching(/^link /) });
  });
});
