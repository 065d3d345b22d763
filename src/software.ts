import { readFileSync } from 'node:fs';

/** "stillwell 0.1.0": what a record says it was made with. */
export const SOFTWARE = softwareName();

function softwareName(): string {
  const depth = import.meta.url.endsWith('.ts') ? '../package.json' : '../../package.json';
  const { name, version } = JSON.parse(readFileSync(new URL(depth, import.meta.url), 'utf8'));
  return `${name} ${version}`;
}
