/** Asks axe-core about the page as it stands, by the rules of WCAG up to 2.2 AA and its own good practice. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const SOURCE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** Every violation with what it was found on; empty where there is none. Of `colours` alone where nothing else changed. */
export async function faultsOfAxe(page: Page, asked: 'all' | 'colours' = 'all'): Promise<string[]> {
  const only = asked === 'all' ? { type: 'tag', values: TAGS } : { type: 'rule', values: ['color-contrast'] };
  // Evaluated, not loaded as a script: the policy of the page forbids those.
  if (!(await page.evaluate('"axe" in window'))) await page.evaluate(SOURCE);
  return (await page.evaluate(`axe
    .run(document, { runOnly: ${JSON.stringify(only)} })
    .then(({ violations }) => violations.flatMap(({ id, nodes }) =>
      nodes.map(({ html, any, all, none }) => id + ': ' + html.slice(0, 160) + ' ' + [...any, ...all, ...none].map((c) => c.message).join('; '))))`)) as string[];
}
