/** Broken keys and the settings of drivers: the place, the words, what was expected, and after an arrow what was meant. */
import { describe, expect, test } from 'vitest';
import { broken, type Row, tell } from './bench-text.ts';

const KEYS: readonly Row[] = [
  [
    'an unknown key of a driver',
    [['    pattern: "T', '    patern: "T']],
    ['7:5 unknown key "patern": one of "driver", "link", "identity", "every", "pattern" → pattern'],
  ],
  [
    'a misspelt common key',
    [['    every: 500 ms', '    evry: 500 ms']],
    ['6:5 unknown key "evry": one of "driver", "link", "identity", "every", "pattern" → every'],
  ],
  [
    'a misspelt driver key',
    [['    driver: pattern', '    drivr: pattern']],
    ['4:5 unknown key "drivr": one of "driver", "identity" → driver'],
  ],
  [
    'an unknown key at the top',
    [['measure:\n', 'mesure:\n']],
    [
      '25:1 unknown key "mesure": one of "bench", "instruments", "channels", "measure", "fluid", "vessel", "circuit", "machine", "alarms", "journal", "procedures", "page" → measure',
    ],
  ],
  [
    'a key from nowhere',
    [['bench: East hall', 'bench: East hall\ncolour: red']],
    [
      '2:1 unknown key "colour": one of "bench", "instruments", "channels", "measure", "fluid", "vessel", "circuit", "machine", "alarms", "journal", "procedures", "page"',
    ],
  ],
  [
    'an unknown key in brackets',
    [['baud: 115200', 'boud: 115200']],
    [
      '5:35 unknown key "boud": one of "serial", "usb", "any", "baud", "parity", "stop-bits", "identify", "tcp", "stdin", "ble" → baud',
    ],
  ],
  [
    'unknown keys deep inside',
    [
      ['    settling: 6 s', '    setling: 6 s'],
      ['    longest: 2 min', '    longest: 2 min\n    noise: 1'],
    ],
    [
      '32:5 unknown key "setling": one of "tolerance", "confidence", "waves", "settling", "longest" → settling',
      '35:5 unknown key "noise": one of "tolerance", "confidence", "waves", "settling", "longest"',
    ],
  ],
  [
    'missing keys',
    [
      ['    every: 500 ms\n', ''],
      ['    from: gauge.level\n', ''],
    ],
    [
      '3:3 missing key "every": a time from 1 ms to 1 h, such as every: 500 ms',
      '19:3 missing key "from": an instrument and a signal with a point between, such as "probe.temp"',
    ],
  ],
  [
    'a missing top key',
    [['bench: East hall\n', '']],
    ['1:1 missing key "bench": a name of at most 80 characters, such as bench: North bay'],
  ],
  [
    'a key without a value',
    [
      ['    settling: 6 s', '    settling:'],
      ['bench: East hall', 'bench:'],
    ],
    [
      '1:1 nothing stands after "bench:": a name of at most 80 characters, such as bench: North bay',
      '32:5 nothing stands after "settling:": a time from 1 s to 10 min, such as settling: 30 s',
    ],
  ],
  [
    'a key that stands twice',
    [['    unit: mm', '    unit: mm\n    unit: cm']],
    ['23:5 the key "unit" stands here twice: each key once'],
  ],
  [
    'an instrument that stands twice',
    [
      ['  gauge:', '  probe:'],
      ['from: gauge.level', 'from: probe.temp'],
    ],
    ['8:3 the key "probe" stands here twice: each key once'],
  ],
  [
    'names in capitals, with underscores, or reserved',
    [
      ['  probe:', '  Oil_Probe:'],
      ['  depth:', '  constructor:'],
      ['level: depth', 'level: constructor'],
      ['from: probe.temp', 'from: Oil_Probe.temp'],
    ],
    [
      '3:3 "Oil_Probe" cannot be the name of an instrument: small letters, digits and hyphens, a letter first, at most 40 → oil-probe',
      '20:3 "constructor" cannot be the name of a channel: another name',
    ],
  ],
  [
    'no instruments',
    [['instruments:\n', 'instruments: {}\nothers:\n']],
    [
      '2:14 nothing stands here: at least one instrument',
      '3:1 unknown key "others": one of "bench", "instruments", "channels", "measure", "fluid", "vessel", "circuit", "machine", "alarms", "journal", "procedures", "page"',
    ],
  ],
  [
    'a block where a value belongs',
    [['    settling: 6 s', '    settling: { s: 6 }']],
    ['32:15 a block of keys does not fit here: a time from 1 s to 10 min such as "500 ms"'],
  ],
  [
    'a value where a block belongs',
    [
      ['    link: { tcp: "192.0.2.7:4001" }', '    link: 192.0.2.7'],
      ['  compensation: { slope: 0.25 mm/K, uncertainty: 0.03 mm/K }', '  compensation: 0.25 mm/K'],
    ],
    [
      '10:11 "192.0.2.7" is not a block of keys: the keys of a link: serial and baud, or usb, any, tcp, stdin, ble',
      '30:17 "0.25 mm/K" is not a block of keys: vessel-and-fluid, or chart, or the keys slope and uncertainty',
    ],
  ],
  [
    'a list where a block belongs',
    [['  steady:\n    settling: 6 s\n    tolerance: 1.2 mm\n    longest: 2 min', '  steady: [6 s, 1.2 mm]']],
    ['31:11 a list is not a block of keys: the key tolerance, and if need be confidence, waves, settling, longest'],
  ],
  [
    'a channel that is no block',
    [['measure:\n', '  extra: 5\nmeasure:\n']],
    ['25:10 5 is not a block of keys: a block of keys'],
  ],
  [
    'a name that YAML takes for a number',
    [['bench: East hall', 'bench: 12']],
    ['1:8 12 is not text: a name of at most 80 characters, in quotes: "12"'],
  ],
  [
    'a name that is a number in another notation',
    [['bench: East hall', 'bench: 0x1F']],
    ['1:8 "0x1F" is no plain decimal number: a number such as 12.5, or quotes around a text → 31'],
  ],
  [
    'a name that is too long, or empty',
    [['bench: East hall', 'bench: ""']],
    ['1:8 "" does not fit here: a name of at most 80 characters'],
  ],
];

const DRIVERS: readonly Row[] = [
  [
    'an unknown driver',
    [['driver: pattern', 'driver: patern']],
    ['4:13 unknown driver "patern": one of "pattern", "columns", "moody" → pattern'],
  ],
  [
    'a driver called like a property of every object',
    [['driver: pattern', 'driver: constructor']],
    ['4:13 unknown driver "constructor": one of "pattern", "columns", "moody"'],
  ],
  [
    'an unknown value of an enumeration',
    [['separator: semicolon', 'separator: semicollon']],
    ['12:16 "semicollon" is not known here: one of "comma", "semicolon", "tab" → semicolon'],
  ],
  [
    'a bad item of a list',
    [['columns: [level, quality]', 'columns: [level, Qual]']],
    ['13:22 "Qual" does not fit here: a column is named in small letters'],
  ],
  [
    'an empty list',
    [
      ['columns: [level, quality]', 'columns: []'],
      ['from: gauge.level', 'from: probe.temp'],
      ['unit: mm\n    resolution: 0.01 mm\n    uncertainty: 0.1 mm', 'unit: mm\n    uncertainty: 0.1 mm'],
    ],
    ['13:14 a list does not fit here: a list of at least 1'],
  ],
  [
    'numbers out of bounds and of the wrong kind',
    [['separator: semicolon', 'separator: semicolon\n    skip: 10\n    checked: yes']],
    ['13:11 10 does not fit here: a number of at most 9', '14:14 "yes" is not true or false: true or false'],
  ],
  [
    'a number that is not whole',
    [['separator: semicolon', 'separator: semicolon\n    skip: 1.5']],
    ['13:11 1.5 is not a whole number: a whole number'],
  ],
  [
    'a union with the nearest branch',
    [['separator: semicolon', 'separator: semicolon\n    mode: { only: many }']],
    ['13:19 "many" is not a number: a number'],
  ],
  [
    'a union with two blocks: the one with fewer faults is meant',
    [['separator: semicolon', 'separator: semicolon\n    shape: { wide: 1, high: 2, deep: x }']],
    ['13:38 "x" is not a number: a number'],
  ],
  [
    'a union with no branch',
    [['separator: semicolon', 'separator: semicolon\n    mode: 5']],
    ['13:11 5 does not fit here: "all" or a block of keys'],
  ],
  [
    'keys and values of a record',
    [['separator: semicolon', 'separator: semicolon\n    labels: { ok: 1, Bad: 2, worse: x }']],
    ['13:22 "Bad" is no proper name: a label in small letters', '13:37 "x" is not a number: a number'],
  ],
  [
    'a union told apart by a key',
    [['separator: semicolon', 'separator: semicolon\n    kind: { of: fixd, width: 1 }']],
    ['13:17 "fixd" is not known here: one of "fixed", "free" → fixed'],
  ],
  [
    'a branch of a union told apart by a key',
    [['separator: semicolon', 'separator: semicolon\n    kind: { of: fixed, widht: 1 }']],
    ['13:24 unknown key "widht": one of "of", "width" → width'],
  ],
  [
    "a driver's own words",
    [['separator: semicolon', 'separator: semicolon\n    tail: "ok!"']],
    ['13:11 the tail holds a !: a tail without it'],
  ],
  [
    'a driver that throws',
    [
      ['driver: pattern', 'driver: moody'],
      ['    pattern: "T={temp} C"\n', ''],
    ],
    ['4:13 the driver "moody" fails on these keys: no mood for signals: a driver that can check its own keys'],
  ],
];

describe('keys', () => {
  test.each(KEYS)('%s', (_name, changes, told) => {
    expect(tell(broken(...changes))).toEqual(told);
  });
});

describe('settings of drivers', () => {
  test.each(DRIVERS)('%s', (_name, changes, told) => {
    expect(tell(broken(...changes))).toEqual(told);
  });
});
