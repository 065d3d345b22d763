import { afterEach, beforeEach, expect, test } from 'vitest';
import { TcpPort } from '../../simulators/tcp-port.ts';
import { Reader } from './reader.ts';

const bytes = (text: string) => Buffer.from(text, 'latin1');

let port: TcpPort;
beforeEach(async () => {
  port = new TcpPort();
  await port.plug();
});
afterEach(async () => {
  await port.unplug();
});

/** A reader whose connection the board knows of. */
async function listen(): Promise<Reader> {
  const known = new Promise<void>((resolve) => port.onOpen(resolve));
  const reader = await Reader.open(port.address);
  await known;
  return reader;
}

test('a board on loopback TCP carries bytes both ways', async () => {
  const reader = await listen();
  await port.write(bytes('sonar;62.31;mm;q=87\n'));
  expect(await reader.until((text) => text.endsWith('\n'))).toBe('sonar;62.31;mm;q=87\n');
  const heard = new Promise<string>((resolve) => port.onData((chunk) => resolve(Buffer.from(chunk).toString())));
  reader.send('zero\n');
  expect(await heard).toBe('zero\n');
  await reader.close();
});

test('unplugged, it drops its readers, refuses new ones and refuses writes', async () => {
  const reader = await listen();
  const { address } = port;
  await port.unplug();
  await reader.end();
  await expect(Reader.open(address)).rejects.toThrow(/ECONNREFUSED/);
  await expect(port.write(bytes('x'))).rejects.toThrow(/no cable/);
  await port.unplug(); // twice does no harm
});

test('plugged again, it is at the same address with nothing left of before', async () => {
  const { address } = port;
  await port.write(bytes('nobody hears this\n'));
  await port.unplug();
  await port.plug();
  expect(port.address).toEqual(address);
  const reader = await listen();
  await port.write(bytes('anew\n'));
  expect(await reader.until((text) => text.endsWith('\n'))).toBe('anew\n');
  await reader.close();
});

test('it has no address before it was plugged for the first time, and cannot be plugged twice', async () => {
  expect(() => new TcpPort().address).toThrow(/before the first plug/);
  await expect(port.plug()).rejects.toThrow(/already plugged/);
});

test('what a reader does not take is counted, and its leaving harms nobody', async () => {
  const reader = await listen();
  const writing = port.write(Buffer.alloc(20_000_000, 'x'));
  expect(port.unread()).toBeGreaterThan(1_000_000);
  await reader.close();
  await writing;
  expect(port.unread()).toBe(0);
});
