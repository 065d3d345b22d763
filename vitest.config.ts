import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    testTimeout: 30_000,
    hookTimeout: 60_000,
    pool: 'forks',
    // Many tests wait for a board or a browser: two at a time, even on a small machine.
    maxWorkers: Math.max(2, availableParallelism() - 1),
  },
});
