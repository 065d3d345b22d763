/** The long tests; `npm run soak`, or `npm run soak -- tests/report` for some of them. Writes what was seen to docs/soak.md. */
import { spawn } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { SOFTWARE } from '../../src/software.ts';
import { ROOT } from '../repo/house.ts';

/** Fewer to try it. */
const REAL_MINUTES = process.env.STILLWELL_REAL_MINUTES ?? '20';

const SOAKS = [
  {
    what: 'kill -9 at random moments, 300 rounds: no announced event missing, the journal opens, seal intact, replay equal',
    file: 'tests/e2e/kill.test.ts',
    env: { STILLWELL_KILL_ROUNDS: '300' },
  },
  {
    what: 'the cable of a serial port pulled 1000 times: noticed each time, descriptors and memory flat',
    file: 'tests/links/replug.test.ts',
    env: { STILLWELL_CYCLES: '1000', STILLWELL_ALL: '1' },
  },
  {
    what: '50 MB without a line end: memory flat, event loop never held up for 50 ms',
    file: 'tests/links/endless-line.test.ts',
    env: { STILLWELL_SOAK: '1' },
  },
  {
    what: 'a window over 100 million samples at a million with noise of a thousandth: no drift',
    file: 'tests/core/moments.test.ts',
    env: { STILLWELL_STREAMED: '100000000' },
  },
  {
    what: 'coverage: truth within ±U95 of 94 to 98 % of readings and of differences, 3000 benches of each kind',
    file: 'tests/core/uncertainty/coverage.test.ts',
    env: { STILLWELL_BENCHES: '3000' },
  },
  {
    what: 'Modbus against a peer that answers late, 10,000 reads over a serial line and 10,000 over TCP: no wrong value',
    file: 'tests/drivers/modbus-peer.test.ts',
    env: { STILLWELL_READS: '10000', STILLWELL_ALL: '1' },
  },
  {
    what: 'a mixed bench of eight instruments under faults, 24 virtual hours: no invented value, every gap marked, memory and descriptors flat',
    file: 'tests/e2e/mixed-bench.test.ts',
    env: { STILLWELL_VIRTUAL_HOURS: '24' },
  },
  {
    what: `the same bench on pseudo-terminals, sockets and a message bus, ${REAL_MINUTES} real minutes: the same`,
    file: 'tests/e2e/mixed-bench-real.test.ts',
    env: { STILLWELL_REAL_MINUTES: REAL_MINUTES, STILLWELL_ALL: '1' },
  },
  {
    what: 'one byte changed in 10,000 places of a sealed job: found each time; by recomputing alone wherever it hits what counts',
    file: 'tests/report/sealed.test.ts',
    env: { STILLWELL_PLACES: '10000' },
  },
  {
    what: 'one byte changed in 10,000 places of a journal at rest: found, or nothing of the record reads otherwise',
    file: 'tests/report/verify.test.ts',
    env: { STILLWELL_PLACES: '10000' },
  },
  {
    what: '10 million samples exported in less than 150 MB of memory',
    file: 'tests/report/export.test.ts',
    env: { STILLWELL_SAMPLES: '10000000' },
  },
] as const;

function run(file: string, env: Readonly<Record<string, string>>): Promise<{ ok: boolean; text: string }> {
  const child = spawn('npx', ['vitest', 'run', file, '--reporter=verbose', '--no-color'], {
    cwd: ROOT,
    env: { ...process.env, ...env },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let text = '';
  child.stdout.on('data', (chunk: Buffer) => {
    text += chunk.toString();
  });
  return new Promise((resolve) => child.on('close', (code) => resolve({ ok: code === 0, text })));
}

/** Of all where nothing is named, else of those whose file begins so. */
const wanted = process.argv[2] ?? '';
const PAGE = join(ROOT, 'docs/soak.md');
const today = new Date().toISOString().slice(0, 10);
const anew = `# Soak\n\nWhat \`npm run soak\` saw last: ${SOFTWARE}, Node ${process.version}, ${today}.\n`;
// What is not run again stays as it stands.
const [head = '', ...kept] = (wanted === '' ? anew : readFileSync(PAGE, 'utf8')).split('\n## ');
const sections = new Map(kept.map((section) => [section.slice(0, section.indexOf('\n')), section]));
let failed = false;
for (const { what, file, env } of SOAKS.filter((one) => one.file.startsWith(wanted))) {
  process.stdout.write(`${what} …\n`);
  const { ok, text } = await run(file, env);
  failed ||= !ok;
  const said = text.split('\n').filter((line) => /^(seed|\d+ (events|cycles|MB|places|samples)[ :,])/.test(line));
  const took = /Duration\s+(\S+)/.exec(text)?.[1] ?? 'unknown';
  const alone = wanted === '' ? '' : `Run by itself, ${today}; `;
  sections.set(what, `${what}\n\n${ok ? 'Passed' : 'FAILED'} in ${took}. ${alone}${said.join('; ')}.\n`);
  process.stdout.write(ok ? 'passed\n' : text);
  // After each, so that a night cut short has told something.
  writeFileSync(PAGE, [head, ...[...sections.values()].map((one) => one.replace(/\n*$/, '\n'))].join('\n## '));
}
process.exitCode = failed ? 1 : 0;
