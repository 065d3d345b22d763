/** A board that never ends its line, in a process of its own. */
import { once } from 'node:events';
import { type AddressInfo, createServer, type Socket } from 'node:net';
import { expect, it } from 'vitest';
import { startReader } from './reader.ts';
import type { Taken } from './reader-child.ts';

/** Other work on the machine holds the event loop up too: of several runs the quietest tells of our own. */
const RUNS = process.env.STILLWELL_SOAK === '1' ? 5 : 1;
const MB = 1_000_000;
const CHUNK = Buffer.alloc(65_536, 'u');
const SENT = Math.ceil((50 * MB) / CHUNK.length);

async function run(): Promise<Taken> {
  const server = createServer();
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const reader = startReader({ kind: 'tcp', host: '127.0.0.1', port: (server.address() as AddressInfo).port });
  const [client] = (await once(server, 'connection')) as [Socket];
  client.on('error', () => {});
  await reader.says(/^open connected/);
  client.write('\n');
  for (let i = 0; i < SENT; i++) if (!client.write(CHUNK)) await once(client, 'drain');
  client.write('\nT=20.5\n');
  await reader.says(/^frame T=20\.5 #1$/);
  const taken = await reader.stop();
  client.destroy();
  server.close();
  return taken;
}

it('S11: 50 MB without a line end take no more than 20 MB, and the next line is read', async () => {
  const lagsMs: number[] = [];
  for (let i = 0; i < RUNS; i++) {
    const { firstRss, mostRss, mostLagMs, cpuMs, discardedBytes } = await run();
    lagsMs.push(mostLagMs);
    console.log(
      `50 MB without a line end: +${((mostRss - firstRss) / MB).toFixed(1)} MB, event loop held up ${mostLagMs.toFixed(1)} ms at most, ${cpuMs.toFixed(0)} ms of processor time`,
    );
    expect(discardedBytes).toBe(SENT * CHUNK.length);
    expect(mostRss - firstRss).toBeLessThan(20 * MB);
    // work for a chunk is bounded: what one chunk costs cannot hold anything up
    expect(cpuMs / SENT).toBeLessThan(10);
  }
  if (RUNS > 1) expect(Math.min(...lagsMs)).toBeLessThan(50);
});
