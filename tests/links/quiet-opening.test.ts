/** A line that is left alone after opening is not taken for a silent one meanwhile. */
import { expect, test } from 'vitest';
import { virtualClock } from '../../src/links/clock.ts';
import { memoryTwin } from '../../src/links/memory.ts';
import { supervise } from '../../src/links/supervise.ts';
import { told } from './listener.ts';
import { runUntil } from './virtual-time.ts';

const S = 1_000_000;

test.each([0, 20])('with nothing asked for %d s, silence counts from then on', async (quietS) => {
  const clock = virtualClock();
  const lines: string[] = [];
  const link = supervise({
    door: memoryTwin().door,
    instrument: 'line',
    framing: { kind: 'modbus-rtu', capBytes: 256, shapes: [], quietUs: quietS * S },
    clock,
    intervalUs: 1 * S,
    onEvent: (event) => lines.push(`${clock.nowUs() / S} s ${told(event)}`),
  });
  await runUntil(clock, quietS * S + 5 * S - 1);
  expect(lines.filter((line) => line.includes('mute'))).toEqual([]);
  await runUntil(clock, quietS * S + 5 * S);
  expect(lines.filter((line) => line.includes('mute'))).toHaveLength(1);
  await link.stop();
});
