import { once } from 'node:events';
import { type AddressInfo, createServer, type Server, Socket } from 'node:net';
import { afterEach, expect, it, vi } from 'vitest';
import { realClock, virtualClock } from '../../src/links/clock.ts';
import { lossReason, openReason, tcpDoor } from '../../src/links/tcp.ts';
import { describeDoor, type Rig } from './door-conformance.ts';
import { latin1, listener } from './listener.ts';
import { runFor } from './virtual-time.ts';

const servers: Server[] = [];
afterEach(() => {
  for (const server of servers.splice(0)) server.close();
});

async function listen(onClient: (client: Socket) => void, port = 0): Promise<Server> {
  const server = createServer({ noDelay: true }, (client) => {
    client.on('error', () => {});
    onClient(client);
  });
  servers.push(server);
  server.listen(port, '127.0.0.1');
  await once(server, 'listening');
  return server;
}

const portOf = (server: Server): number => (server.address() as AddressInfo).port;

async function makeRig(): Promise<Rig> {
  let received: Uint8Array[] = [];
  let clients: Socket[] = [];
  const welcome = (client: Socket): void => {
    clients.push(client);
    client.on('data', (chunk) => received.push(chunk));
  };
  let server = await listen(welcome);
  const port = portOf(server);
  const unplug = async (): Promise<void> => {
    for (const client of clients.splice(0)) client.destroy();
    if (!server.listening) return;
    server.close();
    await once(server, 'close');
  };
  return {
    door: tcpDoor({ host: '127.0.0.1', port, clock: realClock() }),
    async send(chunk) {
      await vi.waitFor(() => expect(clients.some((client) => !client.destroyed)).toBe(true));
      for (const client of clients) client.write(chunk);
    },
    received: () => latin1(...received),
    unplug,
    async plug() {
      received = [];
      clients = [];
      server = await listen(welcome, port);
    },
    whenGone: { end: 'remote-closed', open: 'refused' },
    dispose: unplug,
  };
}

describeDoor('tcp', makeRig);

it('a TCP connection that never comes is given up at the limit, and its socket is gone', async () => {
  const clock = virtualClock();
  const sockets: Socket[] = [];
  const door = tcpDoor({
    host: 'device.example',
    port: 4001,
    clock,
    dial: () => {
      const socket = new Socket();
      sockets.push(socket);
      return socket;
    },
  });
  const opening = door.open(listener());
  const outcome = expect(opening).rejects.toMatchObject({ reason: 'timed-out', message: 'no connection within 5 s' });
  await runFor(clock, 4_999_999);
  expect(sockets.map((socket) => socket.destroyed)).toEqual([false]);
  await runFor(clock, 1);
  await outcome;
  expect(sockets.map((socket) => socket.destroyed)).toEqual([true]);
  expect(clock.nextUs()).toBeNull();
});

it('a TCP door leaves no timer behind once it is open', async () => {
  const clock = virtualClock();
  const server = await listen(() => {});
  const connection = await tcpDoor({ host: '127.0.0.1', port: portOf(server), clock }).open(listener());
  expect(clock.nextUs()).toBeNull();
  await connection.close();
});

it('a name that is not known is unreachable', async () => {
  const dial = (): Socket => {
    const socket = new Socket();
    process.nextTick(() =>
      socket.destroy(Object.assign(new Error('getaddrinfo ENOTFOUND nowhere.invalid'), { code: 'ENOTFOUND' })),
    );
    return socket;
  };
  const door = tcpDoor({ host: 'nowhere.invalid', port: 1, clock: virtualClock(), dial });
  await expect(door.open(listener())).rejects.toMatchObject({
    reason: 'unreachable',
    message: 'getaddrinfo ENOTFOUND nowhere.invalid',
  });
});

it('a reset and an orderly end are both the other side closing', async () => {
  for (const close of [(client: Socket) => client.resetAndDestroy(), (client: Socket) => client.end()]) {
    const server = await listen((client) => {
      client.write('T=20.5\n');
      client.once('data', () => close(client));
    });
    const heard = listener();
    const connection = await tcpDoor({ host: '127.0.0.1', port: portOf(server), clock: virtualClock() }).open(heard);
    await vi.waitFor(() => expect(heard.text).toBe('T=20.5\n'));
    await connection.write(Buffer.from('bye'));
    await vi.waitFor(() => expect(heard.ends).toHaveLength(1));
    expect(heard.ends[0]?.reason).toBe('remote-closed');
  }
});

it('an address of six parts is bracketed in the name', () => {
  expect(tcpDoor({ host: '::1', port: 4001, clock: virtualClock() }).name).toBe('tcp [::1]:4001');
});

it('names a reason for every system error that a TCP connection meets', () => {
  const error = (code: string): Error => Object.assign(new Error(code), { code });
  const table = {
    ECONNREFUSED: ['refused', 'refused'],
    EHOSTUNREACH: ['unreachable', 'unreachable'],
    ENETUNREACH: ['unreachable', 'unreachable'],
    ENOTFOUND: ['unreachable', 'unreachable'],
    EAI_AGAIN: ['unreachable', 'unreachable'],
    ETIMEDOUT: ['timed-out', 'timed-out'],
    ECONNRESET: ['remote-closed', 'remote-closed'],
    EPIPE: ['io-error', 'remote-closed'],
    EMFILE: ['io-error', 'io-error'],
  };
  for (const [code, reasons] of Object.entries(table)) {
    expect([code, openReason(error(code)), lossReason(error(code))]).toEqual([code, ...reasons]);
  }
  // a name with several addresses, none of which answers
  expect(openReason(new AggregateError([error('ECONNREFUSED'), error('ENETUNREACH')]))).toBe('refused');
  expect(openReason('no error object')).toBe('io-error');
});
