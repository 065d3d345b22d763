import { once } from 'node:events';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import type { Port, PortAddress } from './port.ts';

const HOST = '127.0.0.1';

/** A board's port as a loopback TCP server: for platforms without pseudo-terminals. Every client hears the board. */
export class TcpPort implements Port {
  #server: Server | null = null;
  #tcpPort = 0;
  readonly #clients = new Set<Socket>();
  #onData: (bytes: Uint8Array) => void = () => {};
  #onOpen: () => void = () => {};

  get address(): PortAddress {
    if (this.#tcpPort === 0) throw new Error('tcp port: no address before the first plug()');
    return { kind: 'tcp', host: HOST, port: this.#tcpPort };
  }

  get plugged(): boolean {
    return this.#server !== null;
  }

  async plug(): Promise<void> {
    if (this.#server !== null) throw new Error('tcp port: already plugged');
    const server = createServer({ noDelay: true }, (client) => this.#welcome(client));
    this.#server = server;
    try {
      server.listen(this.#tcpPort, HOST);
      await once(server, 'listening');
    } catch (error) {
      this.#server = null;
      throw error;
    }
    this.#tcpPort = (server.address() as AddressInfo).port;
  }

  async unplug(): Promise<void> {
    const server = this.#server;
    if (server === null) return;
    this.#server = null;
    const closed = once(server, 'close');
    server.close();
    for (const client of this.#clients) client.destroy();
    await closed;
  }

  async write(bytes: Uint8Array): Promise<void> {
    if (this.#server === null) throw new Error('tcp port: no cable');
    await Promise.all([...this.#clients].map((client) => sent(client, bytes)));
  }

  unread(): number {
    return Math.max(0, ...[...this.#clients].map((client) => client.writableLength));
  }

  onData(listener: (bytes: Uint8Array) => void): void {
    this.#onData = listener;
  }

  onOpen(listener: () => void): void {
    this.#onOpen = listener;
  }

  #welcome(client: Socket): void {
    if (this.#server === null) {
      client.destroy();
      return;
    }
    this.#clients.add(client);
    client.on('error', () => {}); // a reset by the reader: 'close' follows
    client.on('close', () => this.#clients.delete(client));
    client.on('data', (bytes) => this.#onData(bytes));
    this.#onOpen();
  }
}

/** A reader that has gone takes nothing and does no harm; only pulling the cable rejects. */
async function sent(client: Socket, bytes: Uint8Array): Promise<void> {
  await new Promise<void>((resolve) => {
    if (client.destroyed) resolve();
    else client.write(bytes, () => resolve());
  });
}
