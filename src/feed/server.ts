/** The feed: page, HTTP and WebSocket on one loopback port. */
import { fastify } from 'fastify';
import { StillwellError } from '../errors.ts';
import type { Clock } from '../links/contract.ts';
import { addRoutes, sendError } from './api.ts';
import { Hub } from './hub.ts';
import { createListener, refuseUnreadable } from './listener.ts';
import { type FeedLog, thrownWords } from './log.ts';
import { readPageFiles } from './page-files.ts';
import type { PhotoShelf } from './photo-routes.ts';
import { newErrorId } from './replies.ts';
import type { FeedSource } from './source.ts';
import { serveWebSocket } from './upgrade.ts';

const MOST_BODY_BYTES = 64 * 1024;

export interface FeedOptions {
  readonly source: FeedSource;
  /** The built page; read once, at start. */
  readonly pageDir: string;
  /** Loopback only: there is no access control for anybody farther away. */
  readonly host: '127.0.0.1' | '::1';
  /** 0 for any free one. */
  readonly port: number;
  readonly log: FeedLog;
  readonly clock: Clock;
  /** Absent: no photos are taken. */
  readonly photos?: PhotoShelf;
}

export interface Feed {
  /** Address of the page, without a slash at its end. */
  readonly url: string;
  /** WebSocket clients now, and the bytes waiting in their sockets. */
  load(): { clients: number; bufferedBytes: number };
  close(): Promise<void>;
}

/**
 * Serves once it resolves.
 * @throws StillwellError page-missing, port-in-use, port-forbidden
 */
export async function startFeed({ source, pageDir, host, port, log, clock, photos }: FeedOptions): Promise<Feed> {
  const files = readPageFiles(pageDir);
  const app = fastify({
    serverFactory: (handler) => createListener(handler),
    clientErrorHandler: refuseUnreadable,
    frameworkErrors: (_error, _request, reply) => {
      void sendError(reply, 400, 'bad-request', 'This address is not valid.');
    },
    bodyLimit: MOST_BODY_BYTES,
    forceCloseConnections: true,
    genReqId: newErrorId,
    logger: false,
  });
  addRoutes(app, { source, files, clock, log, photos });
  const hub = new Hub({ source, clock, log });
  serveWebSocket(app.server, hub);
  let closing: Promise<void> | null = null;
  const close = (): Promise<void> => {
    closing ??= Promise.all([hub.close(), app.close()]).then(() => {});
    return closing;
  };
  try {
    return { url: await app.listen({ host, port }), load: () => hub.load(), close };
  } catch (error) {
    await close();
    throw listenFault(error, host, port);
  }
}

function listenFault(error: unknown, host: string, port: number): unknown {
  const code = error instanceof Error && 'code' in error ? error.code : '';
  const where = `${host}:${port}`;
  if (code === 'EADDRINUSE') return new StillwellError('port-in-use', where);
  return code === 'EACCES' ? new StillwellError('port-forbidden', where, thrownWords(error)) : error;
}
