import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { keptByNpm } from '../../src/commands/npm-options.ts';

/** What a script named `start` gets from npm, which is asked itself. */
function asNpmCalls(...options: string[]) {
  const dir = mkdtempSync(join(tmpdir(), 'npm-options-'));
  try {
    const start = 'node -p "JSON.stringify({ env: process.env, rest: process.argv.slice(1) })" --';
    writeFileSync(join(dir, 'package.json'), JSON.stringify({ name: 'x', version: '1.0.0', scripts: { start } }));
    const said = execFileSync('npm', ['start', '--silent', ...options], {
      cwd: dir,
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    return JSON.parse(String(said)) as { env: Record<string, string>; rest: string[] };
  } finally {
    rmSync(dir, { recursive: true, force: true });
  }
}

test.each([
  [['--port', '1234'], 'npm start -- --port 1234'],
  [['--port=1234'], 'npm start -- --port 1234'],
  [['--seed', '7', '--port=0'], 'npm start -- --port 0 --seed 7'],
])('npm start %j: says what to type instead', (options, words) => {
  const { env, rest } = asNpmCalls(...options);
  expect(keptByNpm(env, rest)).toContain(words);
});

test('nothing is said where the options arrived, or npm is not there', () => {
  const { env, rest } = asNpmCalls('--', '--port', '1234');
  expect(rest).toEqual(['--port', '1234']);
  expect(keptByNpm(env, rest)).toBeNull();
  expect(keptByNpm({ npm_config_port: '1234' }, [])).toBeNull();
});
