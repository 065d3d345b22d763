/** The reference of the bench file is what the schema says. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { benchDocs } from '../../src/config/docs.ts';
import { SECTIONS } from '../../src/config/schema.ts';
import { ROOT } from '../repo/house.ts';

test('docs/bench-file.md is in step with the schema: `npm run docs` writes it', () => {
  expect(readFileSync(join(ROOT, 'docs/bench-file.md'), 'utf8')).toBe(benchDocs());
});

test('each key has its row', () => {
  const docs = benchDocs();
  for (const { title, schema } of SECTIONS) {
    const section = docs.split(`## ${title}\n`)[1]?.split('\n## ')[0] ?? '';
    for (const name of Object.keys(schema.shape)) expect(section, title).toContain(`| \`${name}\` |`);
  }
});

test('defaults are read from the schema', () => {
  expect(benchDocs()).toMatch(/\| `hysteresis` \|.*\| `0\.3 K` \|/);
  expect(benchDocs()).toMatch(/\| `uncertainty` \|.*\| \*\*required\*\* \|/);
});
