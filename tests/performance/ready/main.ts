/**
 * Is ready right? Ours, what a shop would write itself and an oracle on seeded benches.
 *   --benches 3000   more of them
 *   --tune           the seeds for tuning, never those of the report; nothing is written
 *   --from 7001      other seeds than those of the report; nothing is written
 *   --readings       the first reading of each bench alone: how often ± U95 holds the truth
 *   --only 17        one bench as a timeline
 *   --cost           CPU time per sample with a window of 10 min against one of 10 s
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { ALGORITHM_VERSION } from '../../../src/core/version.ts';
import { ROOT } from '../../repo/house.ts';
import { coverage } from './coverage.ts';
import { mix } from './mix.ts';
import { evaluate } from './one-bench.ts';
import { page } from './page.ts';
import { readAll, scoreAll } from './pool.ts';
import { report, worst } from './report.ts';
import { timeline } from './timeline.ts';
import { windowCost } from './window-cost.ts';

/** Seeds 1 to 300 and 5001 to 5300 stood in earlier reports and were looked at since: they tell nothing fresh any more. */
const REPORT_SEED = 9001;
const TUNE_SEED = 1_000_001;

const { values } = parseArgs({
  options: {
    benches: { type: 'string', default: '300' },
    tune: { type: 'boolean', default: false },
    from: { type: 'string' },
    only: { type: 'string' },
    readings: { type: 'boolean', default: false },
    cost: { type: 'boolean', default: false },
  },
});
if (values.cost) {
  windowCost((text) => process.stdout.write(text));
} else if (values.only !== undefined) {
  process.stdout.write(timeline(await evaluate(whole('--only', values.only))));
} else {
  const count = whole('--benches', values.benches);
  const usual = values.tune ? TUNE_SEED : REPORT_SEED;
  const first = values.from === undefined ? usual : whole('--from', values.from);
  const seeds = Array.from({ length: count }, (_, i) => first + i);
  const onProgress = (done: number) => {
    if (done % 50 === 0) process.stderr.write(`${done} of ${count}\n`);
  };
  const drawn = `${count} benches, seeds ${first} to ${first + count - 1} (${first === REPORT_SEED ? `for the report; tuned on seeds from ${TUNE_SEED}` : 'not those of the report'}), algorithm ${ALGORITHM_VERSION}.\n\n`;
  if (values.readings) {
    process.stdout.write(drawn + coverage(await readAll(seeds, onProgress)));
  } else {
    const scores = await scoreAll(seeds, onProgress);
    const text = `${drawn}${mix(scores)}\n\n${report(scores)}\n`;
    process.stdout.write(text);
    process.stderr.write(worst(scores));
    if (first === REPORT_SEED && count >= 300) writeFileSync(join(ROOT, 'docs/ready-bench.md'), page(text));
  }
}

function whole(option: string, text: string): number {
  const value = Number(text);
  if (!(Number.isInteger(value) && value > 0)) throw new Error(`${option} takes a whole number above 0, not "${text}"`);
  return value;
}
