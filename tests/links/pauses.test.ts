/** After a pause of the computer or of the process, nothing that waited in a port is stamped with the present. */
import { readFileSync, realpathSync } from 'node:fs';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import type { Clock } from '../../src/links/contract.ts';
import { supervise } from '../../src/links/supervise.ts';
import { describeOnPtys, testPort } from './ptys.ts';
import { startReader } from './reader.ts';
import { clock, events, lines, MS, reset, S, start, twin } from './supervised-twin.ts';
import { runFor, settle } from './virtual-time.ts';

beforeEach(reset);

describe('S15: opening anew', () => {
  it('closes the connection for the reason given and opens the next one soon', async () => {
    const link = start();
    await settle();
    twin.send('\nT=20.5\nT=2');
    link.reopen('resumed', 'asleep for 600 s');
    await runFor(clock, 250 * MS);
    twin.send('0.6\nT=20.7\n');
    expect(lines().slice(2)).toEqual([
      'frame T=20.5 #1',
      'discard cut-tail 3 T=2 #1',
      'closed resumed #1',
      'open connected #2',
      'discard first-partial 3 0.6 #2',
      'frame T=20.7 #2',
    ]);
    await link.stop();
  });

  it('looks at once where no connection stands, and once only', async () => {
    twin.unplug();
    const link = start();
    await runFor(clock, 20 * S);
    twin.plug();
    const { knocks } = twin;
    link.reopen('resumed', '');
    link.reopen('resumed', '');
    await settle();
    expect([twin.knocks - knocks, twin.open, lines().at(-1)]).toEqual([1, 1, 'open connected #1']);
    await runFor(clock, 4 * S);
    expect(twin.knocks - knocks).toBe(1);
    await link.stop();
    expect(clock.nextUs()).toBeNull();
  });

  it('leaves an opening that is under way alone, and does nothing once stopped', async () => {
    twin.hold();
    const link = start();
    await settle();
    link.reopen('resumed', '');
    twin.release();
    await settle();
    expect(lines()).toEqual(['opening starting #0', 'open connected #1']);
    await link.stop();
    link.reopen('resumed', '');
    await runFor(clock, 10 * S);
    expect(twin.knocks).toBe(1);
  });
});

describe('what arrives right after a pause', () => {
  /** A clock whose two hands can be put forward apart from each other. */
  const hands = { slept: 0, heldUp: 0 };
  const uneven: Clock = {
    nowUs: () => clock.nowUs() + hands.heldUp,
    utcMs: () => clock.utcMs() + (hands.slept + hands.heldUp) / 1000,
    zone: () => clock.zone(),
    at: (us, run) => clock.at(us - hands.heldUp, run),
    endOfTurn: (run) => clock.endOfTurn(run),
  };
  const startUneven = () => {
    hands.slept = 0;
    hands.heldUp = 0;
    return supervise({
      door: twin.door,
      instrument: 'probe',
      framing: { kind: 'lines', capBytes: 64 },
      clock: uneven,
      intervalUs: 500 * MS,
      onEvent: (event) => events.push({ atUs: clock.nowUs(), event }),
    });
  };

  it.each(['slept', 'heldUp'] as const)(
    'is thrown away and counted, and the next whole line counts again (%s)',
    async (hand) => {
      const link = startUneven();
      await settle();
      twin.send('\nT=20.5\nT=2');
      await runFor(clock, 700 * MS);
      hands[hand] = 600 * S;
      twin.send('0.6\nT=20.7\nT=20.8\n');
      twin.send('T=2');
      await runFor(clock, 150 * MS);
      twin.send('0.9\nT=21.0\n');
      expect(lines().slice(2)).toEqual([
        'frame T=20.5 #1',
        'discard cut-tail 3 T=2 #1',
        'discard cut-tail 18 0.6\nT=20.7\nT=20.8\n #1',
        'discard cut-tail 3 T=2 #1',
        'discard first-partial 3 0.9 #1',
        'frame T=21.0 #1',
      ]);
      await link.stop();
    },
  );

  it('counts where nothing had waited', async () => {
    const link = startUneven();
    await settle();
    twin.send('\nT=20.5\nT=2');
    hands.slept = 600 * S;
    await runFor(clock, 700 * MS);
    twin.send('0.6\n');
    expect(lines().slice(2)).toEqual(['frame T=20.5 #1', 'frame T=20.6 #1']);
    await link.stop();
  });

  it('counts where the clock was set back, or held up for less than a second', async () => {
    const link = startUneven();
    await settle();
    twin.send('\n');
    hands.slept = -600 * S;
    twin.send('T=20.5\n');
    await runFor(clock, 600 * MS);
    hands.heldUp = 900 * MS;
    twin.send('T=20.6\n');
    expect(lines().slice(2)).toEqual(['frame T=20.5 #1', 'frame T=20.6 #1']);
    await link.stop();
  });
});

describeOnPtys('S15: a process that was stopped', () => {
  it('stamps nothing of what came meanwhile with the present', async () => {
    const port = await testPort();
    const reader = startReader({
      kind: 'serial',
      find: { by: 'path', path: realpathSync(port.path) },
      baud: 115_200,
      identify: null,
    });
    try {
      await reader.says(/^open connected/);
      await port.send('\nT=20.5\n');
      await reader.says(/^frame T=20\.5/);
      reader.process.kill('SIGSTOP');
      await stands(reader.process.pid ?? 0, 'T');
      await port.send('OLD=1\nOLD=2\nOLD=3\n');
      await new Promise((resolve) => setTimeout(resolve, 2_000)); // the pause itself
      reader.process.kill('SIGCONT');
      await reader.says(/^discard cut-tail 18 /);
      // as a board that goes on printing
      const printing = setInterval(() => void port.send('NEW=1\n').catch(() => {}), 50);
      await reader.says(/^frame NEW=1/).finally(() => clearInterval(printing));
      expect(reader.lines().filter((line) => /^frame OLD/.test(line))).toEqual([]);
    } finally {
      reader.process.kill('SIGCONT');
      await reader.stop();
      await port.dispose();
    }
  });
});

/** Waits until the process is in this state (proc(5)). */
async function stands(pid: number, state: string): Promise<void> {
  await vi.waitFor(() => expect(readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.[0]).toBe(state), {
    timeout: 5_000,
    interval: 5,
  });
}
