/** The driver in the core: an answer makes room for the next question, and a lost connection for none. */
import { expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { SlaveLine } from '../../simulators/modbus-slave.ts';
import type { BenchDescription } from '../../src/core/description.ts';
import type { Output } from '../../src/core/events.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig } from '../support/core-rig.ts';
import { Marked } from './modbus-line.ts';

const NUMBERS = [1, 2, 3, 4, 5, 6, 7, 8];
const ANSWER_US = 10_000;

function lineBench(): BenchDescription {
  const [probe, sonar] = testBench.instruments;
  if (!probe || !sonar) throw new Error('the test bench has changed');
  const signals = Object.fromEntries(NUMBERS.map((slave) => [`s${slave}`, { slave, 'holding-register': 0 }]));
  const options: unknown = drivers.modbus?.options.parse({ signals, late: '300 ms' });
  return { ...testBench, instruments: [probe, { ...sonar, driver: 'modbus', options, intervalUs: 1_000_000 }] };
}

const sendsOf = (outputs: readonly Output[]) =>
  outputs.flatMap((output) => (output.kind === 'send' ? [output.bytes] : []));

test('eight slaves are asked one after the other, each as soon as the last has answered', () => {
  const rig = new CoreRig(lineBench());
  const slaves = new SlaveLine(NUMBERS.map((number) => new Marked(number)));
  const asked: { slave: number; tUs: number }[] = [];
  rig.open('sonar');
  while (asked.length < 24) {
    if (rig.wakeAtUs === null) throw new Error('it stops asking');
    rig.tUs = Math.max(rig.tUs, rig.wakeAtUs);
    for (const bytes of sendsOf(rig.admit({ kind: 'tick' }))) {
      asked.push({ slave: bytes[0] as number, tUs: rig.tUs });
      for (const reply of slaves.hear(bytes)) {
        rig.tUs += ANSWER_US;
        rig.line('sonar', reply.bytes);
      }
    }
  }
  expect(asked.slice(0, 8).map(({ slave }) => slave)).toEqual(NUMBERS);
  const turns = [0, 8, 16].map((from) => (asked[from + 7]?.tUs ?? 0) - (asked[from]?.tUs ?? 0));
  expect(turns).toEqual([1, 1, 1].map(() => 7 * (ANSWER_US + 5000)));
  expect((asked[8]?.tUs ?? 0) - (asked[0]?.tUs ?? 0)).toBe(1_000_000);
});

test('nothing is asked on a lost connection, and the next one begins anew', () => {
  const rig = new CoreRig(lineBench());
  rig.open('sonar');
  rig.advanceTo(400_000);
  const before = sendsOf(rig.outputs).length;
  expect(before).toBeGreaterThan(0);
  const link = { kind: 'link', instrument: 'sonar', reason: 'unplugged', connection: 1, detail: '' } as const;
  rig.admit({ ...link, state: 'closed' });
  rig.advanceTo(5_000_000);
  expect(sendsOf(rig.outputs)).toHaveLength(before);
  rig.open('sonar', 2);
  rig.advanceTo(5_299_999);
  expect(sendsOf(rig.outputs)).toHaveLength(before);
  rig.advanceTo(5_300_000);
  expect(sendsOf(rig.outputs)).toHaveLength(before + 1);
});
