/** Thread of the sealer: one look at the journal, then it ends. */
import { type MessagePort, parentPort, workerData } from 'node:worker_threads';
import { sealJobs } from './seal-jobs.ts';
import type { SealerData } from './sealer.ts';

const { journal, software, stop } = workerData as SealerData;
const port = parentPort as MessagePort;

sealJobs(journal, (message) => port.postMessage(message), { software, stopped: () => Atomics.load(stop, 0) !== 0 });
