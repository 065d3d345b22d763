import { connect } from 'node:net';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { WebSocket } from 'ws';
import { anAction } from './fake-source.ts';
import {
  eventually,
  handshake,
  type Listener,
  rawExchange,
  rawWebSocket,
  startTestFeed,
  type TestFeed,
} from './harness.ts';

let t: TestFeed;
let healthy: Listener;
beforeEach(async () => {
  t = await startTestFeed();
  healthy = t.client();
  await healthy.next('snapshot');
});
/** Whatever happened: the process is up and the others are served. */
afterEach(async () => {
  t.source.add();
  await healthy.next('event');
  expect(t.log.filter(({ level }) => level === 'error')).toEqual([]);
  await t.close();
});

const MASK = Buffer.from([1, 2, 3, 4]);

/** A frame as RFC 6455, 5.2 has it; `first` holds the flags and the opcode. */
function frame(first: number, payload: Buffer, masked = true): Buffer {
  const length =
    payload.length < 126
      ? Buffer.from([payload.length])
      : Buffer.from([126, payload.length >> 8, payload.length & 0xff]);
  const second = Buffer.from(length);
  if (masked) second[0] = (second[0] ?? 0) | 0x80;
  const body = masked ? Buffer.from(payload.map((byte, i) => byte ^ (MASK[i % 4] ?? 0))) : payload;
  return Buffer.concat([Buffer.from([first]), second, ...(masked ? [MASK] : []), body]);
}

/** The code of the last close frame among what the server sent. */
function closeCode(received: Buffer): number {
  const at = received.lastIndexOf(0x88);
  return received.readUInt16BE(at + 2);
}

const text = Buffer.from('{}');

describe('bad frames close their own connection only', () => {
  test.each<[string, Buffer, number]>([
    ['not masked', frame(0x81, text, false), 1002],
    ['a reserved bit', frame(0xc1, text), 1002],
    ['a reserved opcode', frame(0x83, text), 1002],
    ['text that is not UTF-8', frame(0x81, Buffer.from([0xc3, 0x28])), 1007],
    ['a ping longer than 125 bytes', frame(0x89, Buffer.alloc(126)), 1002],
    ['a continuation of nothing', frame(0x80, text), 1002],
    ['a ping in pieces', frame(0x09, text), 1002],
    ['a close code that does not exist', frame(0x88, Buffer.from([0x03, 0xe7])), 1002],
  ])('%s', async (_name, bytes, code) => {
    const { socket, closed } = await rawWebSocket(t.port);
    socket.write(bytes);
    expect(closeCode(await closed)).toBe(code);
  });

  test('a hundred of them, one after the other', async () => {
    for (let i = 0; i < 100; i++) {
      const { socket, closed } = await rawWebSocket(t.port);
      socket.write(frame(0x83, text));
      await closed;
    }
  });

  test('a message that claims 200 MiB', async () => {
    const { socket, closed } = await rawWebSocket(t.port);
    const head = Buffer.alloc(10);
    head[0] = 0x81;
    head[1] = 0xff;
    head.writeBigUInt64BE(200n * 1024n * 1024n, 2);
    socket.write(Buffer.concat([head, MASK]));
    expect(closeCode(await closed)).toBe(1009);
  });

  test('a message in a flood of pieces', async () => {
    const { socket, closed } = await rawWebSocket(t.port);
    const piece = frame(0x00, Buffer.from('x'));
    socket.write(Buffer.concat([frame(0x01, Buffer.from('x')), ...Array.from({ length: 200 }, () => piece)]));
    expect(closeCode(await closed)).toBe(1008);
  });

  test('a connection reset at any stage', async () => {
    const request = handshake(t.port);
    for (const part of ['', request.slice(0, 10), request.slice(0, -2), request]) {
      const socket = connect(t.port, '127.0.0.1');
      socket.on('error', () => {});
      await new Promise<void>((resolve) => socket.on('connect', () => socket.write(part, () => resolve())));
      socket.resetAndDestroy();
    }
    const { socket, closed } = await rawWebSocket(t.port);
    socket.write(frame(0x81, Buffer.alloc(100)).subarray(0, 40));
    socket.resetAndDestroy();
    await closed;
  });
});

describe('size and rate', () => {
  test('64 KiB are taken, one byte more is closed with 1009', async () => {
    const client = t.client();
    await client.next('snapshot');
    client.send(JSON.stringify('x'.repeat(64 * 1024 - 2)));
    expect(await client.next('error')).toMatchObject({ code: 'not-understood' });
    client.send(JSON.stringify('x'.repeat(64 * 1024 - 1)));
    expect(await client.closed).toBe(1009);
  });

  test('compression is not negotiated', async () => {
    const ws = new WebSocket(`ws://127.0.0.1:${t.port}/feed`, { perMessageDeflate: true });
    await new Promise((resolve) => ws.on('open', resolve));
    expect(ws.extensions).toBe('');
    ws.terminate();
  });

  test('50 messages at once are answered, the next within the second is closed with 1008', async () => {
    const client = t.client();
    await client.next('snapshot');
    for (let i = 0; i < 50; i++) client.send('?');
    await client.next('error', 50);
    t.clock.advanceTo(20_000);
    client.send('?');
    await client.next('error', 51);
    client.send('?');
    expect(await client.closed).toBe(1008);
    expect(client.of('error')).toHaveLength(51);
  });

  test('40 messages a second go on for ever', async () => {
    const client = t.client();
    await client.next('snapshot');
    for (let second = 1; second <= 10; second++) {
      for (let i = 0; i < 40; i++) client.send('?');
      await client.next('error', 40 * second);
      t.clock.advanceTo(second * 1_000_000);
    }
  });

  test('a flood of pings is closed with 1008', async () => {
    const client = t.client();
    await client.next('snapshot');
    for (let i = 0; i < 60; i++) client.ws.ping();
    expect(await client.closed).toBe(1008);
  });

  test('after the close nothing of a flood is acted upon', async () => {
    const client = t.client();
    await client.next('snapshot');
    for (let i = 0; i < 500; i++) client.send(anAction(`action-${1000 + i}`));
    expect(await client.closed).toBe(1008);
    expect(t.source.acted.length).toBeLessThanOrEqual(50);
  });

  test('a flooder that ignores the close is not heard any more, and is cut off', async () => {
    const { socket, closed } = await rawWebSocket(t.port);
    const closing = new Promise<void>((resolve) => {
      socket.on('data', (data) => {
        if (data.includes(Buffer.from([0x03, 0xf0]))) resolve();
      });
    });
    for (let i = 0; i < 51; i++) socket.write(frame(0x81, Buffer.from('?')));
    await closing;
    t.clock.advanceTo(1_000_000);
    socket.write(frame(0x81, Buffer.from(JSON.stringify(anAction('action-0001')))));
    await closed;
    expect(t.source.acted).toEqual([]);
  });

  test('the 65th client is refused with 503, the others are unharmed, and a place that is left is given again', async () => {
    const others = Array.from({ length: 63 }, () => t.client());
    for (const client of others) await client.next('snapshot');
    await expect(t.client().next('hello')).rejects.toThrow('503');
    t.source.add();
    for (const client of others) await client.next('event');
    others[0]?.ws.close();
    await eventually(() => t.feed.load().clients === 63);
    await t.client().next('snapshot');
  });
});

describe('messages that are not of the protocol are answered, and the connection stays', () => {
  const act = anAction('action-0001');
  test.each<[string, string, string]>([
    ['no JSON', '{"type":', 'not-json'],
    ['nothing', '', 'not-json'],
    ['a number that JSON does not have', '{"type":NaN}', 'not-json'],
    ['a list', '[]', 'not-understood'],
    ['null', 'null', 'not-understood'],
    ['an unknown type', '{"type":"reboot"}', 'not-understood'],
    ['a message of the server', '{"type":"hello"}', 'not-understood'],
    ['a missing field', JSON.stringify({ ...act, actor: undefined }), 'not-understood'],
    ['an unknown field', JSON.stringify({ ...act, admin: true }), 'not-understood'],
    ['an unknown field inside', JSON.stringify({ ...act, body: { type: 'close-job', force: true } }), 'not-understood'],
    ['an unknown role', JSON.stringify({ ...act, role: 'root' }), 'not-understood'],
    ['an infinite revision', JSON.stringify(act).replace(':3', ':1e999'), 'not-understood'],
    ['half a revision', JSON.stringify(act).replace(':3', ':3.5'), 'not-understood'],
    [
      'a note that is too long',
      JSON.stringify({ ...act, body: { type: 'note', text: 'x'.repeat(2001) } }),
      'not-understood',
    ],
    ['__proto__', `{"__proto__":{"polluted":1},${JSON.stringify(act).slice(1)}`, 'not-understood'],
    [
      '__proto__ inside',
      JSON.stringify(act).replace('"body":{', '"body":{"__proto__":{"polluted":1},'),
      'not-understood',
    ],
    ['constructor', JSON.stringify({ ...act, constructor: { prototype: { polluted: 1 } } }), 'not-understood'],
    ['30 000 lists in each other', '['.repeat(30_000) + ']'.repeat(30_000), 'too-deep'],
    ['10 000 objects in each other', '{"a":'.repeat(10_000), 'too-deep'],
    ['10 000 fields', `{${Array.from({ length: 6000 }, (_, i) => `"${i}":0`).join()}}`, 'not-understood'],
  ])('%s', async (_name, message, code) => {
    const client = t.client();
    await client.next('snapshot');
    client.send(message);
    const error = await client.next('error');
    expect(error.code).toBe(code);
    expect(error.words.length).toBeLessThanOrEqual(300);
    expect(t.source.acted).toEqual([]);
    expect('polluted' in {}).toBe(false);
    client.send(act);
    await client.next('action-result');
  });

  test('brackets in a text are no depth', async () => {
    const client = t.client();
    await client.next('snapshot');
    client.send({ ...act, body: { type: 'note', text: '[[[[[[[[[[ "\\{{{{{{{{{{{' } });
    await client.next('action-result');
  });

  test('binary', async () => {
    const client = t.client();
    await client.next('snapshot');
    client.ws.send(Buffer.from(JSON.stringify(act)));
    expect(await client.next('error')).toMatchObject({ code: 'not-text' });
  });
});

describe('requests that do not come to an end', () => {
  test('headers that drip are answered with 408 and closed', { timeout: 20_000 }, async () => {
    const answer = await rawExchange(t.port, `GET / HTTP/1.1\r\nHost: 127.0.0.1:${t.port}\r\nX-Slow: `);
    expect(answer).toMatch(/^HTTP\/1\.1 408 /);
  });
});
