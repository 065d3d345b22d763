/** Bluetooth LE links of a bench file. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { loadBench } from '../../src/config/load.ts';
import { ROOT } from '../repo/house.ts';
import { BENCH, tell } from './bench-text.ts';
import { REGISTRY } from './drivers.ts';

const withLink = (text: string): string => BENCH.replace('{ serial: /dev/ttyACM0, baud: 115200 }', text);
const linkOf = (text: string): unknown => {
  const loaded = loadBench(withLink(text), '/bay/bench.yaml', REGISTRY);
  return loaded.ok ? loaded.bench.instruments[0]?.link : loaded.mistakes;
};
const nothing = { address: null, service: null, serviceData: null, manufacturerData: null };

test('a device by its address, with values that it sends and values that are read', () => {
  expect(
    linkOf('{ ble: { address: "c0:ff:ee:00:00:01", notify: ["0x2A6E", 2a6f.2], read: ["2A19"], adapter: hci1 } }'),
  ).toEqual({
    kind: 'ble',
    find: { ...nothing, address: 'C0:FF:EE:00:00:01' },
    adapter: 'hci1',
    take: { kind: 'values', notify: ['2a6e', '2a6f.2'], read: ['2a19'], everyUs: 500_000 },
  });
});

test('a device by what it advertises, as text or without a connection', () => {
  const from = '8D5F0002-6B1C-4F6A-9A52-3D1C1E5B7A10';
  expect(linkOf(`{ ble: { service-data: { uuid: "181A", begins: "01 0F" }, text: { from: ${from} } } }`)).toEqual({
    kind: 'ble',
    find: { ...nothing, serviceData: { uuid: '181a', begins: '010f' } },
    adapter: null,
    take: { kind: 'text', from: from.toLowerCase(), to: null },
  });
  expect(
    linkOf(
      '{ ble: { service: "0000181a-0000-1000-8000-00805f9b34fb", manufacturer-data: { company: "05F1" }, advertised: true } }',
    ),
  ).toEqual({
    kind: 'ble',
    find: { ...nothing, service: '181a', manufacturerData: { company: 0x05f1, begins: '' } },
    adapter: null,
    take: { kind: 'advertised' },
  });
});

const ADDRESS = 'address: "C0:FF:EE:00:00:01"';
test.each([
  ['a service alone is none', '{ ble: { service: "181a", notify: ["2a6e"] } }', /nothing says which device it is/],
  ['nothing is taken', `{ ble: { ${ADDRESS} } }`, /nothing is taken from the device: notify, read, text or advertised/],
  [
    'two ways at once',
    `{ ble: { ${ADDRESS}, notify: ["2a6e"], advertised: true } }`,
    /advertised does not go together with notify/,
  ],
  ['no address', '{ ble: { address: "C0:FF:EE", notify: ["2a6e"] } }', /"C0:FF:EE" is no address/],
  ['no UUID', `{ ble: { ${ADDRESS}, notify: [2a6] } }`, /"2a6" is no UUID/],
  ['a number that YAML makes of a UUID', `{ ble: { ${ADDRESS}, notify: [2e19] } }`, /or quotes around a text/],
  ['an empty list', `{ ble: { ${ADDRESS}, notify: [] } }`, /nothing stands here: a UUID/],
  ['one value twice', `{ ble: { ${ADDRESS}, notify: ["2a6e"], read: ["2A6E"] } }`, /2a6e is named twice/],
  ['half a byte', '{ ble: { service-data: { uuid: "181a", begins: "0" }, advertised: true } }', /is not bytes/],
  ['a speed', `{ ble: { ${ADDRESS}, notify: ["2a6e"] }, baud: 9600 }`, /a ble link has no speed to set/],
  ['two ways to a device', `{ ble: { ${ADDRESS}, notify: ["2a6e"] }, tcp: "h:1" }`, /a link is either tcp or ble/],
])('%s', (_, link, words) => {
  const told = tell(withLink(link));
  expect(told).toHaveLength(1);
  expect(told[0]).toMatch(words);
});

test('one device is connected to once; what is advertised may be heard by several', () => {
  const both = (ble: string): string[] =>
    tell(withLink(`{ ble: ${ble} }`).replace('{ tcp: "192.0.2.7:4001" }', `{ ble: ${ble} }`));
  expect(both(`{ ${ADDRESS}, notify: ["2a6e"] }`)).toEqual([
    expect.stringMatching(/the device is used by "\w+" already: a port of its own for each instrument/),
  ]);
  expect(both(`{ ${ADDRESS}, advertised: true }`)).toEqual([]);
});

test('a name is no identity', () => {
  const told = tell(withLink('{ ble: { name: probe, notify: ["2a6e"] } }'));
  expect(told).toEqual([
    expect.stringMatching(/nothing says which device it is/),
    expect.stringMatching(/unknown key "name"/),
  ]);
});

test('the links that docs/bluetooth.md shows are understood', () => {
  const text = readFileSync(join(ROOT, 'docs/bluetooth.md'), 'utf8');
  const links = [...text.matchAll(/^link: (\{.*\})$/gm)].map(([, link]) => link as string);
  expect(links).toHaveLength(2);
  expect(links.flatMap((link) => tell(withLink(link)))).toEqual([]);
});
