/** What every response carries, and how a request is refused: one form for HTTP and for a refused upgrade. */
import { randomUUID } from 'node:crypto';
import { STATUS_CODES } from 'node:http';
import type { Duplex } from 'node:stream';

/** A request that is not served: `code` for programs, `words` for people. */
export interface Refused {
  readonly status: number;
  readonly code: string;
  readonly words: string;
  readonly headers?: Readonly<Record<string, string>>;
}

/** On every response, errors included. Styles and scripts come from our own files only, so nothing inline can run. */
export const SECURITY_HEADERS: Readonly<Record<string, string>> = {
  'Content-Security-Policy':
    "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Cross-Origin-Opener-Policy': 'same-origin',
};

export const JSON_TYPE = 'application/json; charset=utf-8';

/** Names one refusal or failure in the reply and in the log. */
export function newErrorId(): string {
  return randomUUID();
}

/** Body of every HTTP error. Says nothing of paths, versions or stacks. */
export function errorBody(code: string, words: string, id: string): string {
  return JSON.stringify({ code, words, id });
}

/** All headers of a refusal: for `writeHead`, or written by hand on a bare socket. */
export function refusalHeaders(refused: Refused, body: string): Record<string, string> {
  return {
    ...SECURITY_HEADERS,
    ...refused.headers,
    'Cache-Control': 'no-store',
    'Content-Type': JSON_TYPE,
    'Content-Length': String(Buffer.byteLength(body)),
    Connection: 'close',
  };
}

/** Answers on a socket that has no response object (upgrade, unreadable request) and closes it. */
export function refuseOnSocket(socket: Duplex, refused: Refused, id = newErrorId()): void {
  if (socket.destroyed || !socket.writable) {
    socket.destroy();
    return;
  }
  const body = errorBody(refused.code, refused.words, id);
  const lines = Object.entries(refusalHeaders(refused, body)).map(([name, value]) => `${name}: ${value}\r\n`);
  socket.once('finish', () => socket.destroy());
  socket.end(`HTTP/1.1 ${refused.status} ${STATUS_CODES[refused.status] ?? 'Error'}\r\n${lines.join('')}\r\n${body}`);
}
