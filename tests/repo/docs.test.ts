import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { loadBench } from '../../src/config/load.ts';
import { DISCARD_REASONS } from '../../src/core/events.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../../src/core/version.ts';
import { PROTOCOL_VERSION } from '../../src/feed/messages.ts';
import { SOFTWARE } from '../../src/software.ts';
import { generatedDocs } from './generated-docs.ts';
import { ROOT } from './house.ts';

const read = (path: string) => readFileSync(join(ROOT, path), 'utf8');
const DOCS = [
  'README.md',
  'DEVELOPERS.md',
  ...readdirSync(join(ROOT, 'docs'))
    .filter((name) => name.endsWith('.md'))
    .map((name) => `docs/${name}`),
];

test.each(Object.entries(generatedDocs()))('%s is in step with the code (else: npm run docs)', (path, text) => {
  expect(read(path)).toBe(text);
});

test('the changelog begins with this version and names the numbers in force', () => {
  const [, version, body] = /^## (\S+)\n\n([^\n]*)/m.exec(read('docs/changelog.md')) ?? [];
  expect(`stillwell ${version}`).toBe(SOFTWARE);
  expect(body).toBe(`Schema ${SCHEMA_VERSION}, algorithm ${ALGORITHM_VERSION}, feed protocol ${PROTOCOL_VERSION}.`);
});

test('the bench in the README loads, and connecting a sensor takes less than ten lines', () => {
  const [, yaml] = /```yaml\n([\s\S]*?)```/.exec(read('README.md')) ?? [];
  const lines = (yaml ?? '').trim().split('\n');
  expect(lines.length).toBeLessThan(10);
  const loaded = loadBench(yaml ?? '', 'bench.yaml', drivers);
  expect(loaded.ok ? [] : loaded.mistakes).toEqual([]);
});

test('every reason for a discard is explained', () => {
  const text = read('docs/drivers.md');
  expect(DISCARD_REASONS.filter((reason) => !new RegExp(`^\\| ${reason} +\\|`, 'm').test(text))).toEqual([]);
});

test('links in the docs lead somewhere', () => {
  const dead = DOCS.flatMap((path) =>
    [...read(path).matchAll(/\]\((?!https?:|#)([^)#]+)[^)]*\)/g)]
      .map(([, target]) => join(dirname(path), target as string))
      .filter((target) => !existsSync(join(ROOT, target)))
      .map((target) => `${path} → ${target}`),
  );
  expect(dead).toEqual([]);
});

test('what the docs tell one to run exists', () => {
  const scripts = (JSON.parse(read('package.json')) as { scripts: Record<string, string> }).scripts;
  const builtIn = ['ci', 'start', 'test'];
  const named = DOCS.flatMap((path) =>
    [...read(path).matchAll(/npm (?:run )?([a-z:]+)/g)].map(([, name]) => name as string),
  );
  expect(named.filter((name) => !(name in scripts) && !builtIn.includes(name))).toEqual([]);
  const commands = [
    ...['main', 'main-procedure', 'main-job', 'main-records']
      .map((name) => read(`src/${name}.ts`))
      .join('')
      .matchAll(/program\s+\.command\('([a-z-]+)/g),
  ].map(([, name]) => name as string);
  const used = DOCS.flatMap((path) =>
    [...read(path).matchAll(/(?:npx |`)stillwell ([a-z-]+)/g)].map(([, name]) => name as string),
  );
  expect(used.filter((name) => !commands.includes(name) && name !== 'help')).toEqual([]);
  expect(commands.filter((name) => !used.includes(name) && name !== 'demo')).toEqual([]);
});
