import { describe, expect, it } from 'vitest';
import type { ClientMessage, ServerMessage } from '../../src/feed/messages.ts';
import {
  type Connection,
  connect,
  delayMs,
  parse,
  queryFor,
  SILENCE_MS,
  type World,
} from '../../src/page/connection.ts';
import { snapshot, waiting } from './scenes.ts';

/** A world whose time moves only when told, and whose sockets are lists. */
class Lab implements World {
  nowMs = 0;
  readonly opened: { query: string; sent: string[]; closed: boolean; hears: Parameters<World['open']>[1] }[] = [];
  #timers: { atMs: number; then: () => void }[] = [];

  open(query: string, hears: Parameters<World['open']>[1]) {
    const socket = { query, sent: [] as string[], closed: false, hears };
    this.opened.push(socket);
    return {
      send: (text: string) => {
        socket.sent.push(text);
        return true;
      },
      close: () => {
        socket.closed = true;
      },
    };
  }

  after(ms: number, then: () => void): () => void {
    const timer = { atMs: this.nowMs + ms, then };
    this.#timers.push(timer);
    return () => {
      this.#timers = this.#timers.filter((t) => t !== timer);
    };
  }

  pass(ms: number): void {
    const until = this.nowMs + ms;
    for (;;) {
      const next = this.#timers.filter((t) => t.atMs <= until).sort((a, b) => a.atMs - b.atMs)[0];
      if (next === undefined) break;
      this.#timers = this.#timers.filter((t) => t !== next);
      this.nowMs = next.atMs;
      next.then();
    }
    this.nowMs = until;
  }

  get newest() {
    const socket = this.opened.at(-1);
    if (socket === undefined) throw new Error('nothing was opened');
    return socket;
  }
}

const SNAPSHOT = JSON.stringify(snapshot(waiting(0)));
const ACTION = { type: 'action', actionId: 'abcdefgh' } as ClientMessage;

function start(resume: { since: number; journal: string } | null = null) {
  const lab = new Lab();
  const heard: ServerMessage[] = [];
  const lostAtMs: number[] = [];
  const connection: Connection = connect(lab, {
    resume: () => resume,
    message: (message) => heard.push(message),
    lost: () => lostAtMs.push(lab.nowMs),
  });
  return { lab, heard, lostAtMs, connection };
}

describe('The line to the bench', () => {
  it('is lost when nothing is heard for two seconds, and opened again', () => {
    const { lab, heard, lostAtMs } = start();
    lab.newest.hears.text(SNAPSHOT);
    lab.pass(1900);
    lab.newest.hears.text(SNAPSHOT);
    lab.pass(SILENCE_MS - 1);
    expect(lostAtMs).toEqual([]);
    lab.pass(1);
    expect(lostAtMs).toEqual([3900]);
    expect(lab.opened[0]?.closed).toBe(true);
    lab.pass(300);
    expect(lab.opened).toHaveLength(2);
    expect(heard).toHaveLength(2);
  });

  it('is lost at once when the socket closes', () => {
    const { lab, lostAtMs } = start();
    lab.newest.hears.text(SNAPSHOT);
    lab.pass(50);
    lab.newest.hears.closed();
    expect(lostAtMs).toEqual([50]);
  });

  it('is tried again after 0.3, 0.6, 1.2, 2.4 and then every 3 s, from the start after a success', () => {
    expect([0, 1, 2, 3, 4, 50].map(delayMs)).toEqual([300, 600, 1200, 2400, 3000, 3000]);
    const { lab } = start();
    for (const ms of [300, 600, 1200]) {
      lab.newest.hears.closed();
      const before = lab.opened.length;
      lab.pass(ms - 1);
      expect(lab.opened).toHaveLength(before);
      lab.pass(1);
      expect(lab.opened).toHaveLength(before + 1);
    }
    lab.newest.hears.text(SNAPSHOT);
    lab.newest.hears.closed();
    lab.pass(300);
    expect(lab.opened).toHaveLength(5);
  });

  it('gives up a socket that does not open', () => {
    const { lab, lostAtMs } = start();
    lab.pass(5000);
    expect(lostAtMs).toEqual([5000]);
  });

  it('takes up where it left off', () => {
    expect(start().lab.newest.query).toBe('');
    expect(start({ since: 41, journal: 'a/b' }).lab.newest.query).toBe('?since=41&journal=a%2Fb');
    expect(queryFor(null)).toBe('');
  });

  it('hears nothing more from a socket that it gave up', () => {
    const { lab, heard, lostAtMs } = start();
    const first = lab.newest;
    first.hears.closed();
    lab.pass(300);
    first.hears.text(SNAPSHOT);
    first.hears.closed();
    expect(heard).toEqual([]);
    expect(lostAtMs).toHaveLength(1);
  });

  it('sends nothing while lost, and nothing of it later', () => {
    const { lab, connection } = start();
    lab.newest.hears.closed();
    expect(connection.send(ACTION)).toBe(false);
    lab.pass(300);
    expect(connection.send(ACTION)).toBe(true);
    expect(lab.opened.map((s) => s.sent.length)).toEqual([0, 1]);
  });

  it('hurries when asked, once', () => {
    const { lab, connection } = start();
    lab.newest.hears.closed();
    connection.hurry();
    connection.hurry();
    expect(lab.opened).toHaveLength(2);
    lab.newest.hears.text(SNAPSHOT);
    lab.pass(1999);
    expect(lab.opened).toHaveLength(2);
  });

  it('stays closed once stopped', () => {
    const { lab, connection, lostAtMs } = start();
    connection.stop();
    lab.newest.hears.closed();
    lab.pass(60_000);
    connection.hurry();
    expect([lab.opened.length, lostAtMs.length, lab.newest.closed]).toEqual([1, 0, true]);
  });

  it('drops what is no message', () => {
    for (const text of ['', '{', 'null', '[]', '42', '{"type":7}']) expect(parse(text)).toBeNull();
    expect(parse('{"type":"hello"}')).toEqual({ type: 'hello' });
  });
});
