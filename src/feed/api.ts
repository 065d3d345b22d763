/** The routes of HTTP: the page's files and the same data as on the WebSocket, for programs that only want to look. */
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { z } from 'zod';
import type { Clock } from '../links/contract.ts';
import { ACTIONS_PATH, FEED_PATH, PHOTOS_PATH } from './access.ts';
import { type eventsPage, eventsQuery, historyQuery, httpAction } from './http-messages.ts';
import { take, wordsOf } from './intake.ts';
import { type FeedLog, thrownWords } from './log.ts';
import type { PageFile } from './page-files.ts';
import { addPhotoRoutes, MOST_PHOTO_BYTES, type PhotoShelf } from './photo-routes.ts';
import { RateLimit } from './rate.ts';
import { errorBody, JSON_TYPE } from './replies.ts';
import { feedSchema } from './schema.ts';
import type { FeedSource } from './source.ts';

/** Over all HTTP clients together. */
export const ACTIONS_PER_SECOND = 50;

export interface ApiParts {
  readonly source: FeedSource;
  readonly files: ReadonlyMap<string, PageFile>;
  readonly clock: Clock;
  readonly log: FeedLog;
  /** Absent: no photos are taken. */
  readonly photos?: PhotoShelf | undefined;
}

export function addRoutes(app: FastifyInstance, { source, files, clock, log, photos }: ApiParts): void {
  const rate = new RateLimit(clock, ACTIONS_PER_SECOND);
  const schemaText = JSON.stringify(feedSchema());

  // Only JSON comes in, and only through the checks of intake.ts.
  app.removeAllContentTypeParsers();
  app.addContentTypeParser('application/json', { parseAs: 'string' }, (_request, body, done) => done(null, body));
  answerErrors(app, log);

  app.get('/api/snapshot', (_request, reply) => sendJson(reply, JSON.stringify(source.snapshot())));

  app.get('/api/events', async (request, reply) => {
    const query = checkQuery(eventsQuery, request.query, reply);
    if (query === null) return reply;
    const { journal, lastEvent } = source.hello();
    const events = await source.events(query.since, query.limit);
    const page: z.infer<typeof eventsPage> = { journal, lastEvent, events: [...events] };
    return sendJson(reply, JSON.stringify(page));
  });

  app.get('/api/history', async (request, reply) => {
    const query = checkQuery(historyQuery, request.query, reply);
    if (query === null) return reply;
    const found = await source.history(query.channel, query.seconds, query.most);
    return found === null
      ? sendError(reply, 404, 'no-such-channel', 'No channel has this id; the snapshot lists them.')
      : sendJson(reply, JSON.stringify(found));
  });

  app.get('/api/schema', (_request, reply) => sendJson(reply, schemaText));

  app.post(ACTIONS_PATH, async (request, reply) => {
    if (!rate.take()) {
      return sendError(reply, 429, 'too-many', `More than ${ACTIONS_PER_SECOND} actions a second.`);
    }
    const taken = take(typeof request.body === 'string' ? request.body : '', httpAction);
    if (!taken.ok) return sendError(reply, 400, taken.code, taken.words);
    const { type: _type, ...action } = taken.value;
    return sendJson(reply, JSON.stringify(await source.act(action)));
  });

  if (photos !== undefined) addPhotoRoutes(app, photos, rate);

  app.get(FEED_PATH, (_request, reply) =>
    sendError(reply.header('Upgrade', 'websocket'), 426, 'websocket-only', 'This is a WebSocket.'),
  );

  app.get('/*', (request, reply) => {
    const file = files.get(request.raw.url?.split('?', 1)[0] ?? '');
    return file === undefined
      ? sendError(reply, 404, 'not-found', 'There is nothing here.')
      : reply.header('Content-Type', file.type).header('Cache-Control', file.cache).send(file.body);
  });
}

function answerErrors(app: FastifyInstance, log: FeedLog): void {
  app.setNotFoundHandler((_request, reply) => sendError(reply, 404, 'not-found', 'There is nothing here.'));
  app.setErrorHandler((error, request, reply) => {
    const status = statusOf(error);
    const known = KNOWN_ERRORS[status];
    const photo = request.routeOptions.url === PHOTOS_PATH ? PHOTO_ERRORS[status] : undefined;
    if (photo !== undefined) return sendError(reply, status, photo.code, photo.words);
    if (known !== undefined) return sendError(reply, status, known.code, known.words);
    log.error({ id: request.id, error: thrownWords(error), path: request.routeOptions.url }, 'a request failed');
    return sendError(reply, 500, 'failed', 'This failed here. The log has it under the id.');
  });
}

const KNOWN_ERRORS: Readonly<Record<number, { code: string; words: string }>> = {
  400: { code: 'bad-request', words: 'The request is not valid.' },
  413: { code: 'too-large', words: 'More than 64 KiB.' },
  415: { code: 'not-json', words: 'Send Content-Type: application/json.' },
};

const PHOTO_ERRORS: typeof KNOWN_ERRORS = {
  413: { code: 'too-large', words: `A photo has at most ${MOST_PHOTO_BYTES / 1024 / 1024} MiB.` },
  415: { code: 'not-a-photo', words: 'Send a JPEG, PNG or WebP picture with its Content-Type.' },
};

function statusOf(error: unknown): number {
  return error instanceof Error && 'statusCode' in error && typeof error.statusCode === 'number'
    ? error.statusCode
    : 500;
}

function checkQuery<S extends z.ZodType>(schema: S, query: unknown, reply: FastifyReply): z.output<S> | null {
  const result = schema.safeParse(query);
  if (result.success) return result.data;
  void sendError(reply, 400, 'bad-query', wordsOf(result.error));
  return null;
}

/** Data of this moment: never kept by a browser. */
function sendJson(reply: FastifyReply, text: string): FastifyReply {
  return reply.header('Content-Type', JSON_TYPE).header('Cache-Control', 'no-store').send(text);
}

export function sendError(reply: FastifyReply, status: number, code: string, words: string): FastifyReply {
  return sendJson(reply.code(status), errorBody(code, words, reply.request.id));
}
