/** What the process holds on to. */
import { readdirSync } from 'node:fs';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';

setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc') as () => void;

export interface Held {
  readonly bytes: number;
  readonly descriptors: number;
}

/** Least of several looks: what finalizers still hold at one collection is free at a later one. */
export async function held(): Promise<Held> {
  let bytes = Number.POSITIVE_INFINITY;
  for (let look = 0; look < 8; look++) {
    await new Promise<void>((resolve) => setImmediate(resolve));
    collect();
    const { heapUsed, external } = process.memoryUsage();
    bytes = Math.min(bytes, heapUsed + external);
  }
  return { bytes, descriptors: readdirSync('/proc/self/fd').length };
}
