/** Certificate files: what was appended comes back, and whatever else stands there is found and said. */
import { appendFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, test } from 'vitest';
import { appendCertificate, readCertificates } from '../../src/calibrations/file.ts';
import { certificateFile, loadCalibrations } from '../../src/calibrations/folder.ts';
import { identityOf } from '../../src/calibrations/identity.ts';
import type { CalibrationResult, CorrectionResult } from '../../src/core/calibration/certificate.ts';
import type { BenchDescription, ChannelDescription, LinkDescription } from '../../src/core/description.ts';
import { testBench } from '../support/bench.ts';
import { certificate, MADE_UTC_MS } from '../support/certificates.ts';

const top = mkdtempSync(join(tmpdir(), 'stillwell-certificates-'));
afterAll(() => rmSync(top, { recursive: true, force: true }));
let path: string;
let n = 0;
beforeEach(() => {
  path = join(top, `${n++}`, 'calibrations', 'probe.jsonl');
});

const zero: CorrectionResult = {
  kind: 'correction',
  low: 0,
  high: 0,
  centre: 0,
  halfSpan: 1,
  coefficients: [-0.2],
  covariance: [[0.0001]],
  degreesOfFreedom: null,
  residualSd: null,
  scatterDegreesOfFreedom: 0,
  lackOfFit: null,
};
const one = (id: string, result: CalibrationResult = zero) => certificate(result, { id });

function three(): string[] {
  for (const id of ['first', 'second', 'third']) appendCertificate(path, one(id));
  return readFileSync(path, 'utf8').trimEnd().split('\n');
}

test('what was appended comes back, line for line, and earlier lines stay as they were', () => {
  const lines = three();
  expect(readCertificates(path)).toEqual([one('first'), one('second'), one('third')]);
  appendCertificate(path, one('fourth'));
  expect(readFileSync(path, 'utf8').split('\n').slice(0, 3)).toEqual(lines);
  expect(readCertificates(join(top, 'none.jsonl'))).toEqual([]);
});

test('an id is given once', () => {
  three();
  expect(() => appendCertificate(path, one('second'))).toThrow(/stands there already/);
  expect(readCertificates(path)).toHaveLength(3);
});

test('what could not be read back is not written', () => {
  const odd = [
    { ...zero, covariance: [[Number.NaN]] },
    { ...zero, covariance: [[-1]] },
    { ...zero, coefficients: [1, 2] },
    { ...zero, low: 2, high: 1 },
    {
      ...zero,
      coefficients: [1, 1],
      covariance: [
        [1, 2],
        [2, 1],
      ],
    },
  ];
  for (const result of odd) expect(() => appendCertificate(path, one('odd', result))).toThrow(/file-unwritable/);
  expect(readCertificates(path)).toEqual([]);
});

const edited = (line: string, change: (text: string) => string) => (lines: string[]) =>
  lines.map((text, i) => (String(i) === line ? change(text) : text));

describe('found and said, with the line', () => {
  test.each<[string, (lines: string[]) => string[], RegExp]>([
    ['a number changed in the first line', edited('0', (text) => text.replace('-0.2', '-0.1')), /:1: .*edited/s],
    ['a number changed in the last line', edited('2', (text) => text.replace('-0.2', '-0.1')), /:3: .*edited/s],
    ['another name', edited('1', (text) => text.replace('Mira', 'Mirko')), /:2: .*edited/s],
    ['blanks put in', edited('1', (text) => text.replace(',', ', ')), /:2: .*edited/s],
    ['a key twice', edited('1', (text) => text.replace('"who"', '"who":"Ines","who"')), /:2: .*edited/s],
    ['a line taken out', ([a, , c]) => [a ?? '', c ?? ''], /:2: .*taken out/s],
    ['the first line taken out', ([, b, c]) => [b ?? '', c ?? ''], /:1: .*taken out/s],
    ['two lines swapped', ([a, b, c]) => [a ?? '', c ?? '', b ?? ''], /:2: /],
    ['a line twice', ([a, b, c]) => [a ?? '', b ?? '', b ?? '', c ?? ''], /:3: /],
    ['an empty line between', ([a, b, c]) => [a ?? '', '', b ?? '', c ?? ''], /:2: .*no JSON/s],
    ['no JSON', edited('1', () => 'hello'), /:2: .*no JSON/s],
    ['a list', edited('0', () => '[]'), /:1: /],
    ['null', edited('0', () => 'null'), /:1: /],
    ['a key of its own', edited('2', (text) => text.replace('{', '{"__proto__":{"x":1},')), /:3: /],
    ['a number that is none', edited('0', (text) => text.replace('-0.2', '1e999')), /:1: /],
    ['a due date before its own', edited('0', (text) => text.replace(/"due":"2031/, '"due":"1931')), /:1: /],
    ['a date that is none', edited('0', (text) => text.replace('2031-05-06T', '2031-25-06T')), /:1: /],
  ])('%s', (_what, change, words) => {
    writeFileSync(path, `${change(three()).join('\n')}\n`);
    expect(() => readCertificates(path)).toThrow(words);
    expect(() => readCertificates(path)).toThrow(/calibration-damaged/);
    const before = readFileSync(path, 'utf8');
    expect(() => appendCertificate(path, one('more'))).toThrow(/calibration-damaged/);
    expect(readFileSync(path, 'utf8')).toBe(before);
  });

  test('a line cut off by a crash', () => {
    const lines = three();
    writeFileSync(path, lines.join('\n').slice(0, -20));
    expect(() => readCertificates(path)).toThrow(/:3: .*no end/s);
  });

  test('bytes that are no text, and a folder in its place', () => {
    three();
    appendFileSync(path, Buffer.from([0xff, 0xfe, 0x0a]));
    expect(() => readCertificates(path)).toThrow(/UTF-8/);
    mkdirSync(join(top, 'folder.jsonl'));
    expect(() => readCertificates(join(top, 'folder.jsonl'))).toThrow(/calibration-damaged/);
  });
});

describe('whose certificates', () => {
  const serial = (more: Partial<Extract<LinkDescription, { kind: 'serial' }>>): LinkDescription => ({
    kind: 'serial',
    find: { by: 'path', path: '/dev/ttyX' },
    baud: 9600,
    identify: null,
    ...more,
  });
  const bench = (link: LinkDescription, identity?: string): BenchDescription => ({
    ...testBench,
    instruments: testBench.instruments.map((instrument) =>
      instrument.id === 'probe' ? { ...instrument, link, ...(identity === undefined ? {} : { identity }) } : instrument,
    ),
  });
  const channel = testBench.channels[0] as ChannelDescription;
  const usb = serial({ find: { by: 'usb', serialNumber: 'A1', vendorId: null, productId: null } });
  const answer = serial({ identify: { send: 'ID?\n', expect: 'probe-7', withinUs: 1 } });

  test.each([
    ['the USB serial number', bench(usb), 'usb A1', true],
    ['the answer', bench(answer), 'answers probe-7', true],
    ['the name given before all', bench(usb, 'probe 17'), 'probe 17', true],
    ['the name on the bench', bench(serial({})), 'instrument probe', false],
  ])('known by %s', (_what, description, name, certain) => {
    expect(identityOf(description, channel)).toMatchObject({ name, certain });
  });

  test('they go with the device: to another name of its channel, not to another device, signal or unit', () => {
    const file = join(top, `${n++}`, 'bench.yaml');
    const own = bench(usb, 'probe 17');
    const at = certificateFile(file, 'probe 17');
    appendCertificate(at, one('old'));
    appendCertificate(at, { ...one('new'), atUtcMs: MADE_UTC_MS + 1000 });
    appendCertificate(at, { ...one('other-signal'), signal: 'humidity', atUtcMs: MADE_UTC_MS + 2000 });
    appendCertificate(at, { ...one('other-unit'), unit: 'kPa', atUtcMs: MADE_UTC_MS + 3000 });
    const ids = (description: BenchDescription) =>
      loadCalibrations(file, description).map((each) => [each.channel, each.certificate.id]);
    expect(ids(own)).toEqual([['temperature', 'new']]);
    const renamed = {
      ...own,
      channels: own.channels.map((each) => (each.id === 'temperature' ? { ...each, id: 'bath' } : each)),
    };
    expect(ids(renamed)).toEqual([['bath', 'new']]);
    expect(ids(bench(usb))).toEqual([]);
    // Another dead time since: the correction behind the old one is gone.
    const dead = { kind: 'dead-time', deadTimeUs: 5, u: 0.2, degreesOfFreedom: null } as const;
    appendCertificate(at, { ...one('block', dead), atUtcMs: MADE_UTC_MS + 4000 });
    expect(ids(own)).toEqual([['temperature', 'block']]);
  });

  test('names that read alike have files of their own', () => {
    expect(certificateFile('b.yaml', 'probe 17')).not.toBe(certificateFile('b.yaml', 'probe-17'));
    expect(certificateFile('b.yaml', '../../etc/x')).toMatch(/calibrations[\\/]etc-x-[\da-f]{8}\.jsonl$/);
  });
});
