/** Parts that messages of all kinds are made of. */
import { z } from 'zod';

export const count = z.int().nonnegative();
export const utc = z.iso.datetime().describe('UTC, ISO 8601 with milliseconds');
export const tUs = count.describe('µs of the monotonic clock since the run began');
