import { spawnSync } from 'node:child_process';
import { describe } from 'vitest';
import { dbusDaemonAvailable } from '../../simulators/private-bus.ts';

/** Tests that need dbus-daemon: skipped, with the reason in the title, where it is missing; failing there when the full set is asked for. */
export function describeWithDbus(title: string, tests: () => void): void {
  withPart('dbus-daemon', dbusDaemonAvailable(), title, tests);
}

/** The same for python3-dbusmock, which Debian installs for its own Python. */
export const MOCK_PYTHON = '/usr/bin/python3';

export function describeWithDbusmock(title: string, tests: () => void): void {
  const there =
    dbusDaemonAvailable() &&
    spawnSync(MOCK_PYTHON, ['-c', 'import dbusmock.templates.bluez5'], { stdio: 'ignore' }).status === 0;
  withPart('python3-dbusmock', there, title, tests);
}

function withPart(part: string, there: boolean, title: string, tests: () => void): void {
  const skip = !there && process.env.STILLWELL_ALL !== '1';
  describe.skipIf(skip)(skip ? `${title} (skipped: no ${part} here)` : title, tests);
}
