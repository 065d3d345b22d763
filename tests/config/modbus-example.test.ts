/** The example bench with Modbus is one without mistakes, and `stillwell check` says so. */
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { check } from '../../src/commands/check.ts';
import { ROOT } from '../repo/house.ts';

test('the example bench with Modbus has no mistakes', async () => {
  let said = '';
  const out = { write: (text: string) => (said += text) };
  expect(await check(join(ROOT, 'docs/examples/modbus.yaml'), out), said).toBe(0);
  expect(said).toContain('line: modbus on /dev/serial/by-id/usb-rs485-0001 at 19200 baud, even parity, every 500 ms');
  expect(said).toContain('panel: modbus on 192.0.2.7:502, every 1 s');
});
