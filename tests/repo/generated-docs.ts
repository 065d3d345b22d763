/** Every generated part of the docs, by path: what must stand there. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { drivers } from '../../drivers/index.ts';
import { benchDocs } from '../../src/config/docs.ts';
import { procedureDocs } from '../../src/config/procedure-docs.ts';
import { ERRORS, type ErrorRow, LINK_WORDS } from '../../src/errors.ts';
import { feedDocs, feedSchemaFile } from '../../src/feed/docs.ts';
import { ROOT } from './house.ts';

export function generatedDocs(): Record<string, string> {
  return {
    'docs/bench-file.md': benchDocs(),
    'docs/procedures.md': procedureDocs(),
    'docs/feed.md': feedDocs(),
    'docs/feed.schema.json': feedSchemaFile(),
    'docs/drivers.md': filled('docs/drivers.md', { drivers: driverList() }),
    'docs/troubleshooting.md': filled('docs/troubleshooting.md', {
      errors: rows('error', ERRORS),
      links: rows('reason', LINK_WORDS),
    }),
  };
}

function driverList(): string {
  const lines = Object.values(drivers).map(
    ({ name, summary }) => `| [\`${name}\`](../drivers/${name}/README.md) | ${summary} |`,
  );
  return ['| driver | for |', '|---|---|', ...lines].join('\n');
}

function rows(head: string, table: Readonly<Record<string, ErrorRow>>): string {
  const lines = Object.entries(table).map(
    ([code, { words, cause, todo }]) => `| \`${code}\` | ${words} | ${cause} | ${todo} |`,
  );
  return [`| ${head} | what happened | likely cause | what to do |`, '|---|---|---|---|', ...lines].join('\n');
}

/** The file with its marked parts filled in. */
function filled(path: string, parts: Readonly<Record<string, string>>): string {
  let text = readFileSync(join(ROOT, path), 'utf8');
  for (const [name, part] of Object.entries(parts)) {
    const mark = new RegExp(`(<!-- generated: ${name} -->\n)[\\s\\S]*?(<!-- end -->)`);
    if (!mark.test(text)) throw new Error(`${path} has no mark "generated: ${name}"`);
    text = text.replace(mark, (_, open, close) => `${open}\n${part}\n\n${close}`);
  }
  return text;
}
