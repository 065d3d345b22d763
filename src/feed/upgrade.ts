/** From HTTP to WebSocket: every check comes before the upgrade, and only this path leads there. */
import type { IncomingMessage, Server } from 'node:http';
import type { Duplex } from 'node:stream';
import { type ServerOptions, WebSocketServer } from 'ws';
import { FEED_PATH, pathOf, refuse } from './access.ts';
import { type Hub, MOST_CLIENTS } from './hub.ts';
import { type Refused, refuseOnSocket } from './replies.ts';
import { readSince } from './since.ts';

export const MOST_MESSAGE_BYTES = 64 * 1024;

/** `closeTimeout` is an option of ws that its published types do not list. */
const WS_OPTIONS: ServerOptions & { closeTimeout: number } = {
  noServer: true,
  clientTracking: false,
  perMessageDeflate: false,
  maxPayload: MOST_MESSAGE_BYTES,
  // A message of 64 KiB comes in one fragment, or a few.
  maxFragments: 16,
  maxBufferedChunks: 1024,
  /** ms for the other side to answer a close. */
  closeTimeout: 1_000,
};

export function serveWebSocket(server: Server, hub: Hub): void {
  const wss = new WebSocketServer(WS_OPTIONS);
  wss.on('wsClientError', (_error, socket) => refuseOnSocket(socket, BAD_HANDSHAKE));
  server.on('upgrade', (request: IncomingMessage, socket: Duplex, head: Buffer) => {
    const since = readSince(request.url ?? '');
    const refused = refuse(request) ?? refuseUpgrade(request, hub) ?? (since === undefined ? BAD_SINCE : null);
    if (refused !== null) {
      refuseOnSocket(socket, refused);
      return;
    }
    wss.handleUpgrade(request, socket, head, (ws) => hub.admit(ws, since ?? null));
  });
}

const BAD_HANDSHAKE: Refused = { status: 400, code: 'bad-handshake', words: 'This WebSocket handshake is not valid.' };
const BAD_SINCE: Refused = {
  status: 400,
  code: 'bad-query',
  words: `Use ${FEED_PATH} or ${FEED_PATH}?since=EVENT&journal=ID with a whole number.`,
};

function refuseUpgrade(request: IncomingMessage, hub: Hub): Refused | null {
  if (pathOf(request) !== FEED_PATH) {
    return { status: 404, code: 'not-found', words: `The WebSocket is at ${FEED_PATH}.` };
  }
  // Version 8 names its origin in another header.
  if (request.headers['sec-websocket-version'] !== '13') {
    return {
      status: 426,
      code: 'bad-handshake',
      words: 'Use WebSocket version 13.',
      headers: { 'Sec-WebSocket-Version': '13' },
    };
  }
  if (!hub.hasRoom) {
    return {
      status: 503,
      code: 'too-many-clients',
      words: `All ${MOST_CLIENTS} places are taken. Close a page and try again.`,
      headers: { 'Retry-After': '5' },
    };
  }
  return null;
}
