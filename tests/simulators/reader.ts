import fs from 'node:fs';
import net from 'node:net';
import tty from 'node:tty';
import type { PortAddress } from '../../simulators/port.ts';

/** A plain program at the other end of a simulated port, without any serial library. */
export class Reader {
  readonly #stream: tty.ReadStream | net.Socket;
  readonly #release: () => void;
  #text = '';
  #ended = false;
  readonly #waiting = new Set<() => void>();

  private constructor(stream: tty.ReadStream | net.Socket, release: () => void) {
    this.#stream = stream;
    this.#release = release;
    stream.on('data', (chunk: Buffer) => {
      this.#text += chunk.toString('latin1');
      this.#wake();
    });
    stream.on('error', () => {}); // a hang-up: 'close' follows
    stream.on('close', () => {
      this.#ended = true;
      this.#wake();
    });
  }

  static async open(address: PortAddress): Promise<Reader> {
    if (address.kind === 'tcp') {
      const socket = net.connect(address.port, address.host);
      await new Promise<void>((resolve, reject) => socket.once('connect', resolve).once('error', reject));
      return new Reader(socket, () => {});
    }
    const fd = fs.openSync(address.path, fs.constants.O_RDWR | fs.constants.O_NOCTTY | fs.constants.O_NONBLOCK);
    // the stream opens the terminal once more for itself
    return new Reader(new tty.ReadStream(fd), () => fs.closeSync(fd));
  }

  get text(): string {
    return this.#text;
  }

  /** Resolves once the text heard so far satisfies `enough`; rejects if the port ends before. */
  async until(enough: (text: string) => boolean): Promise<string> {
    await this.#wait(() => enough(this.#text));
    if (!enough(this.#text)) throw new Error(`the port ended after ${JSON.stringify(this.#text.slice(-200))}`);
    return this.#text;
  }

  /** Resolves when the port has gone. */
  async end(): Promise<void> {
    await this.#wait(() => false);
  }

  send(text: string): void {
    this.#stream.write(text);
  }

  async close(): Promise<void> {
    this.#stream.destroy();
    await this.end();
    this.#release();
  }

  async #wait(done: () => boolean): Promise<void> {
    while (!this.#ended && !done()) {
      await new Promise<void>((resolve) => this.#waiting.add(resolve));
    }
  }

  #wake(): void {
    const woken = [...this.#waiting];
    this.#waiting.clear();
    for (const resolve of woken) resolve();
  }
}
