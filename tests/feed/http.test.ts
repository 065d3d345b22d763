import { mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { eventsPage } from '../../src/feed/http-messages.ts';
import * as messages from '../../src/feed/messages.ts';
import { readPageFiles } from '../../src/feed/page-files.ts';
import { anAction, FakeSource } from './fake-source.ts';
import { rawExchange, startTestFeed, type TestFeed } from './harness.ts';

let t: TestFeed;
beforeEach(async () => {
  t = await startTestFeed({ files: PAGE });
});
afterEach(() => t.close());

const PAGE = {
  'index.html': '<!doctype html><title>page</title>',
  'assets/app-B4x_9k-Z.js': 'export {};',
  'assets/app-B4x_9k-Z.css': 'body {}',
  'assets/plain.js': 'export {};',
  'icon.svg': '<svg xmlns="http://www.w3.org/2000/svg"/>',
  'with space.txt': 'text',
  'notes.secret': 'not a type of ours',
};

const get = (path: string): Promise<Response> => fetch(`${t.feed.url}${path}`);
const post = (body: string, type = 'application/json'): Promise<Response> =>
  fetch(`${t.feed.url}/api/actions`, { method: 'POST', body, headers: { 'content-type': type } });

describe('data', () => {
  test('the snapshot is the same as on the WebSocket', async () => {
    t.source.add(3);
    const client = t.client();
    const answer = await get('/api/snapshot');
    expect(answer.headers.get('cache-control')).toBe('no-store');
    expect(messages.snapshot.parse(await answer.json())).toEqual(await client.next('snapshot'));
  });

  test('all events can be had in pages', async () => {
    t.source.add(250);
    const events: number[] = [];
    for (let last = 0; ; ) {
      const page = eventsPage.parse(await (await get(`/api/events?since=${last}&limit=99`)).json());
      expect(page).toMatchObject({ journal: 'journal-one', lastEvent: 250 });
      events.push(...page.events.map(({ outcome }) => outcome.event));
      last = events.at(-1) ?? 0;
      if (last >= page.lastEvent) break;
    }
    expect(events).toEqual(Array.from({ length: 250 }, (_, i) => i + 1));
  });

  test.each([
    ['/api/events', { since: 0, limit: 100 }],
    ['/api/events?since=4&limit=1000', { since: 4, limit: 1000 }],
  ])('%s asks the record for just that', async (path, asked) => {
    await get(path);
    expect(t.source.asked).toEqual([asked]);
  });

  test('history gives columns, and 404 for a channel that is not there', async () => {
    const answer = await get('/api/history?channel=oil-level&seconds=30&most=50');
    expect(messages.history.parse(await answer.json()).utcMs).toEqual([30, 50]);
    const defaults = await get('/api/history?channel=oil-level');
    expect(messages.history.parse(await defaults.json()).utcMs).toEqual([600, 1000]);
    expect((await get('/api/history?channel=none')).status).toBe(404);
  });

  test.each([
    '/api/events?since=-1',
    '/api/events?since=1e2',
    '/api/events?since=+1',
    '/api/events?since=',
    '/api/events?since=1&since=2',
    '/api/events?limit=0',
    '/api/events?limit=1001',
    '/api/events?offset=1',
    '/api/events?__proto__=1',
    '/api/history',
    '/api/history?channel=',
    '/api/history?channel=oil-level&seconds=0',
    '/api/history?channel=oil-level&seconds=99999999',
    '/api/history?channel=oil-level&most=1',
    '/api/history?channel=oil-level&most=NaN',
  ])('%s is answered with 400 and what is wrong', async (path) => {
    const answer = await get(path);
    expect(answer.status).toBe(400);
    expect(await answer.json()).toMatchObject({
      code: 'bad-query',
      words: expect.stringMatching(/since|limit|key|channel|seconds|most/),
    });
    expect(t.source.asked).toEqual([]);
  });
});

describe('actions', () => {
  const { type: _type, ...envelope } = anAction('action-0001');

  test.each([
    ['the envelope', envelope],
    ['the message as on the WebSocket', anAction('action-0001')],
  ])('take %s, and everybody sees the outcome', async (_name, body) => {
    const client = t.client();
    await client.next('snapshot');
    const answer = await post(JSON.stringify(body), 'Application/JSON; charset=utf-8');
    expect(answer.status).toBe(200);
    expect(messages.actionResult.parse(await answer.json())).toMatchObject({ actionId: 'action-0001', event: 1 });
    expect(t.source.acted).toEqual([envelope]);
    await client.next('event');
  });

  test.each([
    'text/plain',
    'application/x-www-form-urlencoded',
    'multipart/form-data',
    'application/jsonp',
    'text/json',
  ])('as %s, which any page could send, are refused with 415', async (type) => {
    expect((await post(JSON.stringify(envelope), type)).status).toBe(415);
    expect(t.source.acted).toEqual([]);
  });

  test('without a content type are refused', async () => {
    const body = JSON.stringify(envelope);
    const head = `POST /api/actions HTTP/1.1\r\nHost: localhost:${t.port}\r\nConnection: close\r\nContent-Length: ${body.length}`;
    expect(await rawExchange(t.port, `${head}\r\n\r\n${body}`)).toMatch(/^HTTP\/1\.1 415 /);
    expect(await rawExchange(t.port, `${head.replace(/: \d+$/, ': 0')}\r\n\r\n`)).toMatch(/^HTTP\/1\.1 400 /);
    expect(t.source.acted).toEqual([]);
  });

  test.each([
    ['', 'not-json'],
    ['{', 'not-json'],
    ['['.repeat(5000) + ']'.repeat(5000), 'too-deep'],
    ['{"type":"action"}', 'not-understood'],
    [`{"__proto__":{"polluted":1},${JSON.stringify(envelope).slice(1)}`, 'not-understood'],
  ])('that are malformed are refused with 400 and what is wrong', async (body, code) => {
    const answer = await post(body);
    expect(answer.status).toBe(400);
    expect(await answer.json()).toMatchObject({ code });
    expect('polluted' in {}).toBe(false);
  });

  test('beyond 64 KiB are refused with 413', async () => {
    expect((await post(JSON.stringify('x'.repeat(64 * 1024 - 1)))).status).toBe(413);
    expect((await post(JSON.stringify('x'.repeat(64 * 1024 - 2)))).status).toBe(400);
  });

  test('beyond 50 a second are refused with 429', async () => {
    for (let i = 0; i < 50; i++) expect((await post('{')).status).toBe(400);
    expect((await post('{')).status).toBe(429);
    t.clock.advanceTo(1_000_000);
    expect((await post('{')).status).toBe(400);
  });
});

describe('the page', () => {
  test.each([
    ['/', 'text/html; charset=utf-8', 'no-cache'],
    ['/index.html', 'text/html; charset=utf-8', 'no-cache'],
    ['/?from=elsewhere', 'text/html; charset=utf-8', 'no-cache'],
    ['/assets/app-B4x_9k-Z.js', 'text/javascript; charset=utf-8', 'public, max-age=31536000, immutable'],
    ['/assets/app-B4x_9k-Z.css', 'text/css; charset=utf-8', 'public, max-age=31536000, immutable'],
    ['/assets/plain.js', 'text/javascript; charset=utf-8', 'no-cache'],
    ['/icon.svg', 'image/svg+xml; charset=utf-8', 'no-cache'],
    ['/with%20space.txt', 'text/plain; charset=utf-8', 'no-cache'],
  ])('%s is served as %s, %s', async (path, type, cache) => {
    const answer = await get(path);
    expect(answer.status).toBe(200);
    expect(answer.headers.get('content-type')).toBe(type);
    expect(answer.headers.get('cache-control')).toBe(cache);
    expect(Object.values(PAGE)).toContain(await answer.text());
  });

  test.each([
    '/..%2f..%2f..%2fetc%2fpasswd',
    '/../../../etc/passwd',
    '/assets/../index.html',
    '/assets/..%5cindex.html',
    '//etc/passwd',
    '/etc/passwd',
    '/%00',
    '/index.html%00.js',
    '/INDEX.HTML',
    '/notes.secret',
    '/assets/',
    '/__proto__',
    '/constructor',
    'http://evil.example/',
  ])('%s is not there: 404', async (path) => {
    const answer = await rawExchange(
      t.port,
      `GET ${path} HTTP/1.1\r\nHost: localhost:${t.port}\r\nConnection: close\r\n\r\n`,
    );
    expect(answer).toMatch(/^HTTP\/1\.1 404 /);
  });

  test('is read at the start only: its folder may be gone while it is served', async () => {
    // The harness removes the folder as soon as the feed has started.
    expect(await (await get('/')).text()).toContain('<title>page</title>');
  });
});

describe('the start', () => {
  test('says what to do when the page is not built', async () => {
    await expect(startTestFeed({ files: {} })).rejects.toThrow(/no index\.html.*npm run build.*\[page-missing\]/);
    expect(() => readPageFiles('/nowhere/page')).toThrow(/\/nowhere\/page.*\[page-missing\]/);
  });

  test('says what to do when the port is taken, and leaves nothing behind', async () => {
    const source = new FakeSource();
    await expect(startTestFeed({ port: t.port, source })).rejects.toThrow(/127\.0\.0\.1:\d+.*--port.*\[port-in-use\]/);
    expect(source.listeners).toBe(0);
  });

  test('a link in the folder of the page leads nowhere', () => {
    const dir = mkdtempSync(join(tmpdir(), 'feed-page-'));
    writeFileSync(join(dir, 'index.html'), 'page');
    symlinkSync('/etc/hostname', join(dir, 'link.txt'));
    expect([...readPageFiles(dir).keys()]).toEqual(['/index.html', '/']);
    rmSync(dir, { recursive: true });
  });
});
