/** Tests on real pseudo-terminals, and the port that they pull and plug. */
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe } from 'vitest';
import { ptysAvailable } from '../../simulators/libc.ts';
import { PtyPort } from '../../simulators/pty.ts';
import { latin1 } from './listener.ts';

/** Skips where there are none, except in the full set of tests, which must not pass without them. */
export function describeOnPtys(title: string, body: () => void): void {
  const skip = process.env.STILLWELL_ALL !== '1' && !ptysAvailable();
  describe.skipIf(skip)(`${title} (needs pseudo-terminals)`, body);
}

export interface TestPort {
  /** The symbolic link that stays. */
  readonly path: string;
  readonly pty: PtyPort;
  /** What the device has received since it was plugged in. */
  readonly received: () => string;
  readonly plug: () => Promise<void>;
  readonly send: (text: string) => Promise<void>;
  readonly dispose: () => Promise<void>;
}

/** Plugged in. */
export async function testPort(): Promise<TestPort> {
  const folder = mkdtempSync(join(tmpdir(), 'links-'));
  const path = join(folder, 'port');
  const pty = new PtyPort(path);
  let received: Uint8Array[] = [];
  pty.onData((chunk) => received.push(Uint8Array.from(chunk)));
  const plug = async (): Promise<void> => {
    received = [];
    await pty.plug();
  };
  await plug();
  return {
    path,
    pty,
    received: () => latin1(...received),
    plug,
    send: (text) => pty.write(Buffer.from(text, 'latin1')),
    async dispose() {
      await pty.unplug();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Open files of this process. */
export function openFiles(): number {
  return readdirSync('/proc/self/fd').length;
}
