/** Photos over HTTP: sent before the action that names them, read back by their SHA-256. */
import type { FastifyInstance, FastifyReply } from 'fastify';
import { PHOTOS_PATH } from './access.ts';
import type { RateLimit } from './rate.ts';
import { errorBody, JSON_TYPE } from './replies.ts';

export const MOST_PHOTO_BYTES = 5 * 1024 * 1024;
export const PHOTO_TYPES = ['image/jpeg', 'image/png', 'image/webp'];

/** Where photos are kept. */
export interface PhotoShelf {
  /** SHA-256 once it is on the disk; null where it is no picture. */
  keep(bytes: Uint8Array): string | null;
  read(sha256: string): { readonly type: string; readonly bytes: Buffer } | null;
}

/** A picture and nothing else: no script in it runs, nothing is fetched by it, and no browser guesses another type. */
const PICTURE_POLICY = "default-src 'none'; frame-ancestors 'none'; sandbox";

export function addPhotoRoutes(app: FastifyInstance, shelf: PhotoShelf, rate: RateLimit): void {
  // A room of its own, so that only here pictures come in.
  app.register(async (room) => {
    room.removeAllContentTypeParsers();
    room.addContentTypeParser(PHOTO_TYPES, { parseAs: 'buffer' }, (_request, body, done) => done(null, body));
    room.post(PHOTOS_PATH, { bodyLimit: MOST_PHOTO_BYTES }, (request, reply) => {
      if (!rate.take()) return refuse(reply, 429, 'too-many', 'Too many at once. Wait a second, then send it again.');
      const { body } = request;
      const sha256 = body instanceof Buffer && body.length > 0 ? shelf.keep(body) : null;
      if (sha256 === null)
        return refuse(reply, 415, 'not-a-photo', 'Send a JPEG, PNG or WebP picture with its Content-Type.');
      return json(reply.code(201), JSON.stringify({ sha256 }));
    });
  });
  app.get<{ Params: { sha256: string } }>(`${PHOTOS_PATH}/:sha256`, (request, reply) => {
    const photo = shelf.read(request.params.sha256);
    if (photo === null) return refuse(reply, 404, 'not-found', 'No photo of this SHA-256 is kept here.');
    return reply
      .header('Content-Type', photo.type)
      .header('Content-Security-Policy', PICTURE_POLICY)
      .header('Content-Disposition', 'inline')
      .header('Cache-Control', 'private, max-age=31536000, immutable')
      .send(photo.bytes);
  });
}

function json(reply: FastifyReply, text: string): FastifyReply {
  return reply.header('Content-Type', JSON_TYPE).header('Cache-Control', 'no-store').send(text);
}

function refuse(reply: FastifyReply, status: number, code: string, words: string): FastifyReply {
  return json(reply.code(status), errorBody(code, words, reply.request.id));
}
