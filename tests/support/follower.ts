/** A client of the feed that keeps what it hears. */
import { WebSocket } from 'ws';
import type { EventMessage, Live, ServerMessage, Snapshot } from '../../src/feed/messages.ts';

export class Follower {
  readonly messages: ServerMessage[] = [];
  readonly #socket: WebSocket;
  readonly #waiting = new Set<() => void>();
  #closed = false;

  constructor(url: string, query = '') {
    this.#socket = new WebSocket(`${url.replace(/^http/, 'ws').replace(/\/$/, '')}/feed${query}`);
    this.#socket.on('message', (data) => {
      this.messages.push(JSON.parse(String(data)));
      for (const look of this.#waiting) look();
    });
    this.#socket.on('error', () => {});
    this.#socket.on('close', () => {
      this.#closed = true;
      for (const look of this.#waiting) look();
    });
  }

  get events(): EventMessage[] {
    return this.messages.filter((message) => message.type === 'event');
  }

  /** The newest live values, from a live message or the snapshot. */
  get live(): Live | null {
    const newest = this.messages.findLast((message) => message.type === 'live' || message.type === 'snapshot');
    return newest === undefined ? null : newest.type === 'snapshot' ? (newest as Snapshot).live : (newest as Live);
  }

  send(message: unknown): void {
    this.#socket.send(JSON.stringify(message));
  }

  /** Resolves with what `look` finds, looking at every message; rejects when the connection ends before. */
  until<T>(what: string, look: () => T | undefined | null | false): Promise<T> {
    return new Promise((resolve, reject) => {
      const check = () => {
        const found = look();
        if (found) resolve(found);
        else if (this.#closed) reject(new Error(`the connection ended before: ${what}`));
        else return;
        this.#waiting.delete(check);
      };
      this.#waiting.add(check);
      check();
    });
  }

  close(): void {
    this.#socket.terminate();
  }
}
