/** The HTTP server under the feed: access and headers before anything else, time limits, no socket without a listener. */
import { createServer, type IncomingMessage, type RequestListener, type Server, type ServerResponse } from 'node:http';
import type { Duplex } from 'node:stream';
import { refuse } from './access.ts';
import { errorBody, newErrorId, type Refused, refusalHeaders, refuseOnSocket, SECURITY_HEADERS } from './replies.ts';

const HEADERS_MS = 5_000;
const REQUEST_MS = 10_000;
/** Sockets of all kinds. Well above the feed's clients, well below what the system gives one process. */
const MOST_SOCKETS = 256;

/** `handler` sees only requests that may be served. */
export function createListener(handler: RequestListener): Server {
  const server = createServer({
    headersTimeout: HEADERS_MS,
    requestTimeout: REQUEST_MS,
    connectionsCheckingInterval: 1_000,
    // A missing Host is refused in access.ts like a wrong one.
    requireHostHeader: false,
  });
  server.maxConnections = MOST_SOCKETS;
  const serve = (request: IncomingMessage, response: ServerResponse): void => {
    for (const [name, value] of Object.entries(SECURITY_HEADERS)) {
      response.setHeader(name, value);
    }
    const refused = refuse(request);
    if (refused === null) {
      handler(request, response);
      return;
    }
    const body = errorBody(refused.code, refused.words, newErrorId());
    response.writeHead(refused.status, refusalHeaders(refused, body)).end(body);
  };
  server.on('request', serve);
  // Without this Node answers an unknown `Expect` by itself, without our headers.
  server.on('checkExpectation', serve);
  server.on('connect', (_request: IncomingMessage, socket: Duplex) =>
    refuseOnSocket(socket, { status: 405, code: 'method-not-allowed', words: 'No tunnels here.' }),
  );
  // A socket that breaks at any stage is an everyday matter: it closes, and nothing else happens.
  server.on('connection', (socket) => socket.on('error', () => socket.destroy()));
  return server;
}

/** For requests that could not even be read. */
export function refuseUnreadable(error: Error & { code?: string }, socket: Duplex): void {
  refuseOnSocket(socket, UNREADABLE[error.code ?? ''] ?? UNREADABLE_OTHER);
}

const UNREADABLE: Readonly<Record<string, Refused>> = {
  ERR_HTTP_REQUEST_TIMEOUT: { status: 408, code: 'too-slow', words: 'The request did not arrive in time.' },
  HPE_HEADER_OVERFLOW: { status: 431, code: 'too-large', words: 'The headers are too large.' },
};
const UNREADABLE_OTHER: Refused = { status: 400, code: 'not-http', words: 'This is no HTTP request.' };
