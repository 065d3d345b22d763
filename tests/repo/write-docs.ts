/** Writes the generated parts of the docs; `npm run docs`. A test compares them with what stands there. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { generatedDocs } from './generated-docs.ts';
import { ROOT } from './house.ts';

for (const [path, text] of Object.entries(generatedDocs())) {
  writeFileSync(join(ROOT, path), text);
  process.stdout.write(`${path}\n`);
}
