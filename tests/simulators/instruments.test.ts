import { expect, test } from 'vitest';
import { damaged, FAULTS } from '../../simulators/faults.ts';
import { HexGauge, remainder } from '../../simulators/hex-gauge.ts';
import { instruments } from '../../simulators/instruments.ts';
import { frameCheck } from '../../simulators/press-board.ts';
import { Random } from '../../simulators/random.ts';
import { sentence } from '../../simulators/tank-sender.ts';
import { CHECK_TEXT, CHECK_VALUES, NMEA_SENTENCES } from '../reference/protocols.ts';

const SEED = 12;
const latin1 = (bytes: Uint8Array) => Buffer.from(bytes).toString('latin1');
const published = (kind: string) => CHECK_VALUES.find((one) => one.kind === kind)?.value;

test('the check values of the simulated instruments are the published ones', () => {
  expect(Number.parseInt(frameCheck(Buffer.from(CHECK_TEXT)), 16)).toBe(published('crc-16-modbus'));
  expect(remainder([...Buffer.from(CHECK_TEXT)])).toBe(published('crc-8-smbus'));
  for (const { sentence: known } of NMEA_SENTENCES)
    expect(sentence(...known.slice(1, known.indexOf('*')).split(','))).toBe(`${known}\r\n`);
});

/** One line of each instrument as its board's description prints it. */
const SHAPES: Readonly<Record<string, RegExp>> = {
  columns: /^sonar;\d+\.\d\d;mm;q=\d\d\n$/,
  gatt: /^(2a6[def]|2a1[c9]|6f1c0001-3d52-4c1e-9a6e-0b7d5c2f8a11) ([0-9a-f]{2})+\n$/,
  hexbytes: /^A5( [0-9A-F]{2}){7}\r$/,
  json: /^\{"n":\d+,"probe":\{"t":-?\d+(\.\d+)?\},"echo":\[\{"mm":(null|\d+(\.\d+)?),"q":\d+\}\],"ok":(true|false)\}\n$/,
  keyvalue: /^((n=\d+|T=-?\d+,\d\d Â°C|D=\d+,\d\dmm);?){2,3}\*[0-9A-F]{4}\r\n$/,
  modbus: new RegExp(`^${String.fromCharCode(17, 3, 12)}[^]{14}$`),
  nmea: /^\$II(XDR,C,-?\d+\.\d\d,C,OIL,D,(\d\.\d{5})?,M,SUMP|MTW,-?\d+\.\d,C)\*[0-9A-F]{2}\r\n$/,
  pattern: /^T=-?\d+\.\d\d C heater=(on|off)\r\n$/,
};

test.each(Object.entries(instruments))(
  `%s sends what its description says, the same for the same seed (${SEED})`,
  (name, send) => {
    const lines = send(SEED, 200);
    expect(send(SEED, 200)).toEqual(lines);
    expect(send(SEED + 1, 200)).not.toEqual(lines);
    const measured = lines.filter(({ values }) => values !== null);
    for (const { bytes } of measured) expect(latin1(bytes)).toMatch(SHAPES[name] as RegExp);
    expect(measured.length).toBeGreaterThan(150);
    if (name !== 'hexbytes') expect(measured.length).toBeLessThan(lines.length);
  },
);

test('the gauge answers only its question', () => {
  const gauge = new HexGauge(Random.of(SEED, 'gauge'));
  expect(latin1(gauge.answer('READ\n').bytes)).toBe('?\r');
  expect(gauge.answer('READ\n').values).toBeNull();
  expect(gauge.answer('READ\r').values).not.toBeNull();
});

test('faults hit the share of lines asked for, never the first, and all kinds of them', () => {
  const lines = instruments.pattern?.(SEED, 2000) ?? [];
  const { hits, bytes } = damaged(lines, 0.1, Random.of(SEED, 'faults'));
  expect(hits).toHaveLength(lines.length);
  expect(hits[0]).toBeNull();
  const struck = hits.filter((hit) => hit !== null);
  expect(struck.length / lines.length).toBeGreaterThan(0.08);
  expect(struck.length / lines.length).toBeLessThan(0.12);
  expect(new Set(struck)).toEqual(new Set(FAULTS));
  const doubled = lines.find((_, index) => hits[index] === 'duplicate' && hits[index - 1] === null);
  expect(latin1(bytes)).toContain(latin1(doubled?.bytes ?? bytes).repeat(2));
  const clean = damaged(lines, 0, Random.of(SEED, 'faults')).bytes;
  expect(latin1(clean)).toBe(lines.map((line) => latin1(line.bytes)).join(''));
  expect(latin1(bytes)).not.toBe(latin1(clean));
});
