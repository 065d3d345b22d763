/** The same eight instruments on pseudo-terminals, sockets and a message bus, as long as is asked for. */
import { expect, test } from 'vitest';
import { ptysAvailable } from '../../simulators/libc.ts';
import { dbusDaemonAvailable } from '../../simulators/private-bus.ts';
import { realRun } from '../support/mixed-bench/real.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 6);
const MINUTES = Number(process.env.STILLWELL_REAL_MINUTES ?? 0);

const missing = [
  ...(MINUTES > 0 ? [] : ['STILLWELL_REAL_MINUTES']),
  ...(ptysAvailable() || process.env.STILLWELL_ALL === '1' ? [] : ['pseudo-terminals']),
  ...(dbusDaemonAvailable() || process.env.STILLWELL_ALL === '1' ? [] : ['dbus-daemon']),
].join(', ');

test.skipIf(missing !== '')(
  `${MINUTES} real minutes of eight instruments under faults: nothing invented, every gap marked, memory and descriptors flat${missing === '' ? ` (seed ${SEED})` : ` (skipped: no ${missing})`}`,
  { timeout: 7_200_000 },
  async () => {
    const { judge, faults, entries, events, early, late, sealed, residentMB } = await realRun(SEED, MINUTES);
    const { tally } = judge;
    const grownMB = (late.bytes - early.bytes) / 1e6;
    console.log(
      `seed ${SEED}, ${MINUTES} real minutes, ${entries} entries, ${events} events; ${JSON.stringify(tally)}`,
    );
    console.log(
      `seed ${SEED}, faults: ${JSON.stringify(faults)}; ${grownMB.toFixed(2)} MB more, resident ${residentMB.map((mb) => mb.toFixed(0)).join(' to ')} MB, descriptors ${early.descriptors} to ${late.descriptors}`,
    );
    expect(judge.faults).toEqual([]);
    expect(sealed).toBe(true);
    expect(tally.good).toBeGreaterThan(MINUTES * 60 * 5);
    expect(late.descriptors).toBe(early.descriptors);
    expect(grownMB).toBeLessThan(5);
  },
);
