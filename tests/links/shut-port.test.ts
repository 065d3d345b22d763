/** A port that this user may not open, or that another program has: a clear message, and it comes by itself later. */
import { chmodSync, chownSync, realpathSync } from 'node:fs';
import { expect, it } from 'vitest';
import type { LinkDescription } from '../../src/core/description.ts';
import { AS_NOBODY, bareUser, NOBODY } from '../support/bare-user.ts';
import { describeOnPtys, testPort } from './ptys.ts';
import { type ReaderProcess, startReader } from './reader.ts';

const linkTo = (path: string): LinkDescription => ({
  kind: 'serial',
  find: { by: 'path', path },
  baud: 115_200,
  identify: null,
});

const openAndHeard = async (reader: ReaderProcess, send: (text: string) => Promise<void>): Promise<void> => {
  await reader.says(/^open connected #1/);
  await send('x\nT=20.5\n');
  await reader.says(/^frame T=20\.5 #1/);
};

describeOnPtys('a port that is shut', () => {
  const missing = process.env.STILLWELL_ALL !== '1' && !bareUser();
  it.skipIf(missing)(
    'S7: a bare user is told what opens it, the process goes on, and it opens once the rights are given (needs root and setpriv)',
    async () => {
      const port = await testPort();
      const terminal = realpathSync(port.path);
      chownSync(terminal, 0, 5);
      chmodSync(terminal, 0o660);
      const reader = startReader(linkTo(terminal), AS_NOBODY);
      try {
        expect(await reader.says(/^closed/)).toMatch(
          new RegExp(
            `^closed forbidden #0 .*${terminal} belongs to root and group tty, mode 660: \`sudo usermod -aG tty \\$USER\``,
          ),
        );
        chownSync(terminal, NOBODY, 5);
        await openAndHeard(reader, port.send);
      } finally {
        await reader.stop();
        await port.dispose();
      }
    },
  );

  it('S5: the second of two processes is told who has it, and gets it once the first has gone', async () => {
    const port = await testPort();
    const terminal = realpathSync(port.path);
    const first = startReader(linkTo(terminal));
    await first.says(/^open connected/);
    const second = startReader(linkTo(terminal));
    try {
      expect(await second.says(/^closed/)).toMatch(
        new RegExp(`^closed busy #0 .*; held by .*\\(process ${first.process.pid}\\)`),
      );
      await port.send('x\nT=1\n');
      await first.says(/^frame T=1 #1/);
      await first.stop();
      await openAndHeard(second, port.send);
    } finally {
      await second.stop();
      await port.dispose();
    }
  });
});
