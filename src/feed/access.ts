/**
 * Who may ask at all. The feed stands on loopback, so what is left to fear is a web page of somebody else in a browser
 * on this machine: it gives itself away by its Origin, or, when its name was re-pointed at us, by the Host it asks for.
 */
import type { IncomingMessage } from 'node:http';
import type { Refused } from './replies.ts';

/** Path of the WebSocket. */
export const FEED_PATH = '/feed';
/** Path of actions over HTTP. */
export const ACTIONS_PATH = '/api/actions';
/** Path of photos: sent to it, and read back below it by their SHA-256. */
export const PHOTOS_PATH = '/api/photos';

/** Where something is sent to. */
const TAKES: readonly string[] = [ACTIONS_PATH, PHOTOS_PATH];
const LOOPBACK_NAMES = ['localhost', '127.0.0.1', '[::1]'];

/** Host header values that mean this server on `port`. */
export function hostsOf(port: number): readonly string[] {
  const withPort = LOOPBACK_NAMES.map((name) => `${name}:${port}`);
  // Browsers leave the standard port out.
  return port === 80 ? [...withPort, ...LOOPBACK_NAMES] : withPort;
}

/** Null when the request may go on. Compared as whole strings: no parsing that could be fooled. */
export function refuse(request: IncomingMessage): Refused | null {
  const hosts = hostsOf(request.socket.localPort ?? 0);
  const host = request.headers.host?.toLowerCase();
  if (host === undefined || !hosts.includes(host) || countHosts(request) !== 1) {
    return {
      status: 421,
      code: 'foreign-host',
      words: 'This name does not lead here. Use http://localhost and the port.',
    };
  }
  const { origin } = request.headers;
  if (origin !== undefined && !hosts.some((name) => origin === `http://${name}`)) {
    return { status: 403, code: 'foreign-origin', words: 'A page from elsewhere may not ask here.' };
  }
  const allow = TAKES.includes(pathOf(request)) ? ['POST'] : ['GET', 'HEAD'];
  if (!allow.includes(request.method ?? '')) {
    return {
      status: 405,
      code: 'method-not-allowed',
      words: `Use ${allow.join(' or ')} here.`,
      headers: { Allow: allow.join(', ') },
    };
  }
  return null;
}

/** The path as sent, without the query and undecoded. */
export function pathOf(request: IncomingMessage): string {
  return (request.url ?? '').split('?', 1)[0] ?? '';
}

/** Node keeps the first of several Host headers; another reader could keep the last. */
function countHosts(request: IncomingMessage): number {
  return request.rawHeaders.filter((name, i) => i % 2 === 0 && name.toLowerCase() === 'host').length;
}
