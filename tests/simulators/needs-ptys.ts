import { describe } from 'vitest';
import { ptysAvailable } from '../../simulators/libc.ts';

/**
 * Tests that need pseudo-terminals: skipped, with the reason in the title, where there are none; failing there when
 * the full set is asked for.
 */
export function describeWithPtys(title: string, tests: () => void): void {
  const missing = !ptysAvailable();
  const skip = missing && process.env.STILLWELL_ALL !== '1';
  describe.skipIf(skip)(skip ? `${title} (skipped: no pseudo-terminals here)` : title, tests);
}
