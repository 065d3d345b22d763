/**
 * A process that appends to a journal and says on its standard output what was announced, a line each. Started by the
 * tests of crashes: node append-child.js JOURNAL SEED [READINGS]; without READINGS it goes on until it is killed.
 */
import { writeSync } from 'node:fs';
import { openJournal } from '../../src/journal/journal.ts';
import { Scenario, seeded, type Turn } from './scenario.ts';

const [path, seed, readings] = process.argv.slice(2);
const random = seeded(Number(seed));
/** At once and unbuffered: a line that is out was said before the kill. */
const say = (line: string) => writeSync(1, `${line}\n`);

say('starting');
let wake = () => {};
let refused = false;
const journal = await openJournal(path as string, {
  onDurable({ event }) {
    say(`event ${event}`);
    wake();
  },
  onRefused(code) {
    say(`refused ${code}`);
    refused = true;
    wake();
  },
});
say(`opened run ${journal.opened.lastRun} event ${journal.opened.carried.lastEvent}`);
const scenario = new Scenario(Number(seed), journal.opened);
const append = ({ run, entries, points }: Turn, flush: boolean) => journal.append(run, entries, points, flush);
/** Settles when something is announced or refused. */
const heard = () =>
  new Promise<void>((resolve) => {
    wake = resolve;
  });

append(scenario.startRun(journal.opened), true);
await heard();
for (let i = 0; readings === undefined || i < Number(readings); i += 1) {
  append(scenario.frames(Math.floor(random() * 40), 25_000), false);
  if (readings === undefined && random() < 0.3) journal.flush();
  const next = heard();
  append(scenario.reading(), true);
  await next;
  while (refused) {
    refused = false;
    const again = heard();
    journal.flush();
    await again;
  }
}
await journal.close();
say('closed');
