/** Links of a bench file, resolved. */
import { expect, test } from 'vitest';
import { loadBench } from '../../src/config/load.ts';
import { BENCH } from './bench-text.ts';
import { REGISTRY } from './drivers.ts';

function linkOf(text: string): unknown {
  const loaded = loadBench(BENCH.replace('{ serial: /dev/ttyACM0, baud: 115200 }', text), '/bay/bench.yaml', REGISTRY);
  return loaded.ok ? loaded.bench.instruments[0]?.link : loaded.mistakes;
}

test('a port by its path', () => {
  expect(linkOf('{ serial: /dev/serial/by-id/usb-X, baud: 9600 }')).toEqual({
    kind: 'serial',
    find: { by: 'path', path: '/dev/serial/by-id/usb-X' },
    baud: 9600,
    identify: null,
  });
});

test('parity and stop bits are kept where they are not what most boards take', () => {
  expect(linkOf('{ serial: /dev/ttyS1, baud: 19200, parity: even, stop-bits: 1 }')).toEqual({
    kind: 'serial',
    find: { by: 'path', path: '/dev/ttyS1' },
    baud: 19_200,
    parity: 'even',
    identify: null,
  });
  expect(linkOf('{ serial: /dev/ttyS1, baud: 19200, parity: none, stop-bits: 2 }')).toEqual({
    kind: 'serial',
    find: { by: 'path', path: '/dev/ttyS1' },
    baud: 19_200,
    stopBits: 2,
    identify: null,
  });
});

test('a port by what its device tells over USB', () => {
  expect(linkOf('{ usb: { serial-number: "A1", vendor: "12AB" }, baud: 9600 }')).toEqual({
    kind: 'serial',
    find: { by: 'usb', serialNumber: 'A1', vendorId: '12ab', productId: null },
    baud: 9600,
    identify: null,
  });
});

test('any port, by the answer of its device, with escapes and the line ends of YAML alike', () => {
  for (const send of ['"ID?\\n"', "'ID?\\n'", "'ID?\\x0a'"]) {
    expect(
      linkOf(`{ any: true, baud: 9600, identify: { send: ${send}, expect: " sonde-µ ", within: 500 ms } }`),
    ).toEqual({
      kind: 'serial',
      find: { by: 'answer' },
      baud: 9600,
      identify: { send: 'ID?\n', expect: 'sonde-\xc2\xb5', withinUs: 500_000 },
    });
  }
});

test('standard input', () => {
  expect(linkOf('{ stdin: true }')).toEqual({ kind: 'stdin' });
});
