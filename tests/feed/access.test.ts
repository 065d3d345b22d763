import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { anAction } from './fake-source.ts';
import { handshake, rawExchange, startTestFeed, type TestFeed } from './harness.ts';

let t: TestFeed;
beforeAll(async () => {
  t = await startTestFeed();
});
afterAll(() => t.close());

/** One request by hand; `PORT` in it stands for ours. */
function request(method: string, path: string, headers: readonly string[], body = ''): Promise<string> {
  const lines = [`${method} ${path} HTTP/1.1`, ...headers, 'Connection: close', '', body].join('\r\n');
  return rawExchange(t.port, lines.replaceAll('PORT', `${t.port}`));
}

const OWN_HOST = 'Host: 127.0.0.1:PORT';
const status = (answer: string): number => Number(answer.slice(9, 12));

const FOREIGN_HOSTS = [
  [],
  ['Host:'],
  ['Host: evil.example'],
  ['Host: evil.example:PORT'],
  ['Host: localhost.evil.example:PORT'],
  ['Host: notlocalhost:PORT'],
  ['Host: 127.0.0.1.evil.example:PORT'],
  ['Host: 127.0.0.1'],
  ['Host: localhost:1'],
  ['Host: 0.0.0.0:PORT'],
  ['Host: 127.0.0.2:PORT'],
  ['Host: localhost:PORT@evil.example'],
  ['Host: evil.example', 'X-Forwarded-Host: localhost:PORT'],
  [OWN_HOST, 'Host: evil.example'],
  ['Host: evil.example', OWN_HOST],
];

const FOREIGN_ORIGINS = [
  'null',
  'http://evil.example',
  'http://evil.example:PORT',
  'http://localhost.evil:PORT',
  'http://localhost:PORT.evil.example',
  'http://127.0.0.1:PORT.evil.example',
  'http://127.0.0.1',
  'http://localhost:1',
  'https://localhost:PORT',
  'http://localhost:PORT/',
  'http://user@localhost:PORT',
  'file://',
  'http://localhost:PORT, http://evil.example',
  'HTTP://LOCALHOST:PORT',
  '',
];

describe('the Host header', () => {
  test.each([[['Host: localhost:PORT']], [['Host: LOCALHOST:PORT']], [[OWN_HOST]], [['Host: [::1]:PORT']]])(
    'may be %s',
    async (headers) => {
      expect(status(await request('GET', '/', headers))).toBe(200);
    },
  );

  test.each(FOREIGN_HOSTS.map((headers) => [headers]))('may not be %s: 421', async (headers) => {
    expect(status(await request('GET', '/api/snapshot', headers))).toBe(421);
    const upgrade = handshake(t.port).replace(/Host: .*\r\n/, headers.map((line) => `${line}\r\n`).join(''));
    expect(status(await rawExchange(t.port, upgrade.replaceAll('PORT', `${t.port}`)))).toBe(421);
  });
});

describe('the Origin header', () => {
  test.each(['http://localhost:PORT', 'http://127.0.0.1:PORT', 'http://[::1]:PORT'])('may be %s', async (origin) => {
    expect(status(await request('GET', '/api/snapshot', [OWN_HOST, `Origin: ${origin}`]))).toBe(200);
    const client = t.client('', { origin: origin.replace('PORT', `${t.port}`) });
    await client.next('snapshot');
    client.ws.terminate();
  });

  test.each(FOREIGN_ORIGINS)('may not be "%s": 403, before the upgrade too', async (origin) => {
    const headers = [OWN_HOST, `Origin: ${origin}`];
    expect(status(await request('GET', '/api/snapshot', headers))).toBe(403);
    expect(status(await request('GET', '/', headers))).toBe(403);
    const body = JSON.stringify(anAction('action-0001'));
    const post = [...headers, 'Content-Type: application/json', `Content-Length: ${body.length}`];
    expect(status(await request('POST', '/api/actions', post, body))).toBe(403);
    const upgrade = await rawExchange(
      t.port,
      handshake(t.port, '/feed', { Origin: origin.replace('PORT', `${t.port}`) }),
    );
    expect(status(upgrade)).toBe(403);
    expect(t.source.acted).toEqual([]);
  });

  test('is never echoed: no page elsewhere is allowed to read', async () => {
    for (const origin of ['http://evil.example', 'http://localhost:PORT'])
      expect(await request('GET', '/api/snapshot', [OWN_HOST, `Origin: ${origin}`])).not.toMatch(/access-control/i);
  });
});

describe('methods', () => {
  test.each(['PUT', 'DELETE', 'PATCH', 'OPTIONS', 'TRACE', 'PROPFIND', 'POST'])(
    '%s is not for a page: 405',
    async (method) => {
      for (const path of ['/', '/api/snapshot', '/nowhere', '/feed']) {
        const answer = await request(method, path, [OWN_HOST, 'Content-Length: 0']);
        expect(status(answer)).toBe(405);
        expect(answer).toMatch(/^Allow: GET, HEAD\r$/m);
      }
    },
  );

  test.each(['GET', 'HEAD', 'PUT', 'OPTIONS'])('%s is not for actions: 405', async (method) => {
    const answer = await request(method, '/api/actions', [OWN_HOST]);
    expect(status(answer)).toBe(405);
    expect(answer).toMatch(/^Allow: POST\r$/m);
  });

  test('CONNECT opens no tunnel', async () => {
    expect(status(await request('CONNECT', 'evil.example:443', [OWN_HOST]))).toBe(405);
  });
});

describe('upgrades', () => {
  test.each<[string, string, Record<string, string>, number]>([
    ['another path', '/', {}, 404],
    ['a path below', '/feed/', {}, 404],
    ['an encoded path', '/%66eed', {}, 404],
    ['an absolute address', 'http://evil.example/feed', {}, 404],
    ['another protocol', '/feed', { Upgrade: 'h2c' }, 400],
    ['no key', '/feed', { 'Sec-WebSocket-Key': '' }, 400],
    ['a bad key', '/feed', { 'Sec-WebSocket-Key': 'short' }, 400],
    ['version 8, whose origin is elsewhere', '/feed', { 'Sec-WebSocket-Version': '8' }, 426],
  ])('%s is refused', async (_name, path, headers, code) => {
    const answer = await rawExchange(t.port, handshake(t.port, path, headers));
    expect(status(answer)).toBe(code);
    expectSafe(answer);
  });

  test('by another method are refused', async () => {
    expect(status(await rawExchange(t.port, handshake(t.port).replace('GET', 'POST')))).toBe(405);
  });
});

describe('every answer', () => {
  const json = 'Content-Type: application/json';
  test.each<[string, number, () => Promise<string>]>([
    ['the page', 200, () => request('GET', '/', [OWN_HOST])],
    ['data', 200, () => request('GET', '/api/snapshot', [OWN_HOST])],
    ['a HEAD', 200, () => request('HEAD', '/', [OWN_HOST])],
    ['a bad query', 400, () => request('GET', '/api/events?since=x', [OWN_HOST])],
    ['a bad address', 400, () => request('GET', '/%', [OWN_HOST])],
    ['a foreign origin', 403, () => request('GET', '/', [OWN_HOST, 'Origin: null'])],
    ['a missing page', 404, () => request('GET', '/nowhere', [OWN_HOST])],
    ['a wrong method', 405, () => request('PUT', '/', [OWN_HOST])],
    ['a large body', 413, () => request('POST', '/api/actions', [OWN_HOST, json, 'Content-Length: 65537'], 'x')],
    ['a form', 415, () => request('POST', '/api/actions', [OWN_HOST, 'Content-Length: 3'], 'a=b')],
    ['a foreign host', 421, () => request('GET', '/', ['Host: evil.example'])],
    ['the WebSocket by plain GET', 426, () => request('GET', '/feed', [OWN_HOST])],
    ['headers beyond 16 KiB', 431, () => request('GET', '/', [OWN_HOST, `X: ${'x'.repeat(17_000)}`])],
    ['an unknown expectation', 200, () => request('GET', '/', [OWN_HOST, 'Expect: more'])],
    ['two lengths', 400, () => request('POST', '/api/actions', [OWN_HOST, 'Content-Length: 1', 'Content-Length: 2'])],
    [
      'a length and chunks',
      400,
      () => request('POST', '/', [OWN_HOST, 'Content-Length: 1', 'Transfer-Encoding: chunked']),
    ],
    ['what is no HTTP', 400, () => rawExchange(t.port, '\x16\x03\x01 hello\r\n\r\n')],
  ])('to %s carries the security headers: %i', async (_name, code, ask) => {
    const answer = await ask();
    expect(status(answer)).toBe(code);
    expectSafe(answer);
  });

  test('to a failure says nothing of the inside, and the log has it under the same id', async () => {
    const snapshot = t.source.snapshot.bind(t.source);
    t.source.snapshot = () => {
      throw new Error('secret /home/bench');
    };
    const answer = await request('GET', '/api/snapshot', [OWN_HOST]);
    t.source.snapshot = snapshot;
    expect(status(answer)).toBe(500);
    expectSafe(answer);
    expect(answer).not.toContain('secret');
    const { id } = JSON.parse(answer.slice(answer.indexOf('{')));
    expect(t.log).toContainEqual({
      level: 'error',
      about: { id, error: 'secret /home/bench', path: '/api/snapshot' },
      words: 'a request failed',
    });
  });
});

function expectSafe(answer: string): void {
  expect(answer).toMatch(/^Content-Security-Policy: default-src 'self'; .*frame-ancestors 'none'\r$/m);
  expect(answer).not.toContain('unsafe');
  expect(answer).toMatch(/^X-Content-Type-Options: nosniff\r$/m);
  expect(answer).toMatch(/^Referrer-Policy: no-referrer\r$/m);
  expect(answer).toMatch(/^Content-Type: [a-z/]+; charset=utf-8\r$/im);
  expect(answer).not.toMatch(/at .*\.[tj]s|fastify|node_modules|FST_/);
  const body = answer.slice(answer.indexOf('\r\n\r\n') + 4);
  if (Number(answer.slice(9, 12)) >= 400)
    expect(JSON.parse(body)).toEqual({
      code: expect.stringMatching(/^[a-z-]+$/),
      words: expect.any(String),
      id: expect.stringMatching(/^[0-9a-f-]{36}$/),
    });
}
