/** Broken values, and values that do not go together. */
import { describe, expect, test } from 'vitest';
import { broken, type Row, tell } from './bench-text.ts';

const LINKS: readonly Row[] = [
  [
    'no port at all',
    [['{ tcp: "192.0.2.7:4001" }', '{}']],
    ['10:5 the link leads nowhere: serial with baud, or usb, any, tcp, stdin, ble'],
  ],
  [
    'both kinds',
    [['{ tcp: "192.0.2.7:4001" }', '{ tcp: "192.0.2.7:4001", serial: /dev/ttyUSB0, baud: 9600 }']],
    ['10:13 a link is either serial or tcp: one of them'],
  ],
  [
    'a serial port without its speed',
    [['{ serial: /dev/ttyACM0, baud: 115200 }', '{ serial: /dev/ttyACM0 }']],
    ['5:5 missing key "baud": the speed set in the board\'s program, such as 9600 or 115200'],
  ],
  [
    'a speed for a network address',
    [['{ tcp: "192.0.2.7:4001" }', '{ tcp: "192.0.2.7:4001", baud: 9600 }']],
    ['10:36 a tcp link has no speed to set: baud at a serial port only'],
  ],
  [
    'a link over the network with a parity',
    [['{ tcp: "192.0.2.7:4001" }', '{ tcp: "192.0.2.7:4001", parity: even, stop-bits: 2 }']],
    [
      '10:36 a tcp link has no parity: parity at a serial port only',
      '10:50 a tcp link has no stop bits: stop-bits at a serial port only',
    ],
  ],
  [
    'a port without its folder',
    [['/dev/ttyACM0', 'ttyACM0']],
    ['5:21 "ttyACM0" is no path of a port: the path of a port such as "/dev/serial/by-id/…" or "COM3" → /dev/ttyACM0'],
  ],
  [
    'speeds that are none',
    [['115200', 'fast']],
    ['5:41 "fast" is no plain number: a whole number from 50 to 12000000 such as 9600 or 115200'],
  ],
  [
    'a speed with a fraction',
    [['115200', '9600.5']],
    ['5:41 9600.5 does not fit here: a whole number from 50 to 12000000 such as 9600 or 115200'],
  ],
  [
    'a speed of nothing',
    [['115200', '0']],
    ['5:41 0 does not fit here: a whole number from 50 to 12000000 such as 9600 or 115200'],
  ],
  [
    'a speed in hexadecimal',
    [['115200', '0x2580']],
    ['5:41 "0x2580" is no plain decimal number: a number such as 12.5, or quotes around a text → 9600'],
  ],
  [
    'an address without a port',
    [['192.0.2.7:4001', '192.0.2.7']],
    ['10:18 "192.0.2.7" is no host with a port: a host and a port such as "192.0.2.7:4001"'],
  ],
  [
    'an address with a port too large',
    [['192.0.2.7:4001', '192.0.2.7:70000']],
    ['10:18 "192.0.2.7:70000" has a port outside 1 to 65535: a host and a port such as "192.0.2.7:4001"'],
  ],
  [
    'a port that is to be told by its answer, without one',
    [['{ tcp: "192.0.2.7:4001" }', '{ any: true, baud: 9600 }']],
    ['10:5 missing key "identify": the answer by which the device is known'],
  ],
  [
    'a port looked for by nothing',
    [['{ tcp: "192.0.2.7:4001" }', '{ usb: {}, baud: 9600 }']],
    ['10:18 nothing stands here: at least one of serial-number, vendor, product'],
  ],
  [
    'USB numbers without quotes and of other digits',
    [['{ tcp: "192.0.2.7:4001" }', '{ usb: { vendor: 43, product: "00g1" }, baud: 9600 }']],
    [
      '10:28 "43" is no number of four hexadecimal digits: four hexadecimal digits in quotes such as "0043" → "0043"',
      '10:41 "00g1" is no number of four hexadecimal digits: four hexadecimal digits in quotes such as "0043"',
    ],
  ],
  [
    'any port, but not true',
    [['{ tcp: "192.0.2.7:4001" }', '{ any: yes, baud: 9600, identify: { send: q, expect: a, within: 1 s } }']],
    ['10:18 "yes" is not known here: "true"'],
  ],
  [
    'a question with a lone backslash, and an answer too late',
    [['baud: 115200', "baud: 115200, identify: { send: 'a\\q', expect: probe, within: 1 min }"]],
    [
      '5:67 a backslash stands alone in "a\\q": a question such as "ID?\\n", with \\r, \\n, \\t, \\\\ and \\xNN for other bytes',
      '5:97 "1 min" is too large: a time from 10 ms to 30 s such as "500 ms"',
    ],
  ],
  [
    'a network address that is asked who it is',
    [['"192.0.2.7:4001" }', '"192.0.2.7:4001", identify: { send: q, expect: a, within: 1 s } }']],
    ['10:36 a tcp link is not asked who it is: identify at a serial port only'],
  ],
  [
    'standard input for two instruments, with a speed',
    [
      ['{ tcp: "192.0.2.7:4001" }', '{ stdin: true }'],
      ['{ serial: /dev/ttyACM0, baud: 115200 }', '{ stdin: true, baud: 9600 }'],
    ],
    [
      '5:26 a stdin link has no speed to set: baud at a serial port only',
      '10:20 standard input is used by "probe" already: a port of its own for each instrument',
    ],
  ],
  [
    'one device for two instruments',
    [
      ['{ tcp: "192.0.2.7:4001" }', '{ usb: { vendor: "12AB", serial-number: A1 }, baud: 9600 }'],
      ['{ serial: /dev/ttyACM0, baud: 115200 }', '{ usb: { serial-number: A1, vendor: "12ab" }, baud: 9600 }'],
    ],
    ['10:18 the device is used by "probe" already: a port of its own for each instrument'],
  ],
  [
    'one answer for two instruments',
    [
      ['{ tcp: "192.0.2.7:4001" }', '{ any: true, baud: 9600, identify: { send: q, expect: a, within: 1 s } }'],
      [
        '{ serial: /dev/ttyACM0, baud: 115200 }',
        '{ any: true, baud: 9600, identify: { send: q, expect: a, within: 1 s } }',
      ],
    ],
    ['10:46 the answer is used by "probe" already: a port of its own for each instrument'],
  ],
  [
    'one serial port for two instruments',
    [['{ tcp: "192.0.2.7:4001" }', '{ serial: /dev//ttyACM0, baud: 9600 }']],
    ['10:21 the port is used by "probe" already: a port of its own for each instrument'],
  ],
];

const QUANTITIES: readonly Row[] = [
  ['no unit', [['every: 500 ms', 'every: 500']], ['6:12 "500" has no unit: a time from 1 ms to 1 h such as "500 ms"']],
  [
    'the wrong dimension',
    [['every: 500 ms', 'every: 500 mm']],
    ['6:12 "mm" is a unit of length: a time from 1 ms to 1 h such as "500 ms"'],
  ],
  [
    'a decimal comma',
    [['tolerance: 1.2 mm', 'tolerance: 1,2 mm']],
    ['33:16 "1,2 mm" does not begin with a plain number: a length above 0 mm such as "1.2 mm" → 1.2 mm'],
  ],
  [
    'an unknown unit',
    [['settling: 6 s', 'settling: 6 sec']],
    ['32:15 unknown unit "sec": a time from 1 s to 10 min such as "500 ms" → s'],
  ],
  [
    'a unit in capitals',
    [['tolerance: 1.2 mm', 'tolerance: 1.2 MM']],
    ['33:16 unknown unit "MM": a length above 0 mm such as "1.2 mm" → mm'],
  ],
  [
    'no number',
    [['settling: 6 s', 'settling: little']],
    ['32:15 "little" does not begin with a plain number: a time from 1 s to 10 min such as "500 ms"'],
  ],
  [
    'a time that is none',
    [['settling: 6 s', 'settling: 2 mm']],
    ['32:15 "mm" is a unit of length: a time from 1 s to 10 min such as "500 ms"'],
  ],
  [
    'an interval of nothing, and one too long',
    [
      ['every: 500 ms', 'every: 0 s'],
      ['every: 200 ms', 'every: 2 h'],
    ],
    [
      '6:12 "0 s" is too small: a time from 1 ms to 1 h such as "500 ms"',
      '11:12 "2 h" is too large: a time from 1 ms to 1 h such as "500 ms"',
    ],
  ],
  [
    'a negative interval',
    [['every: 500 ms', 'every: -500 ms']],
    ['6:12 "-500 ms" is too small: a time from 1 ms to 1 h such as "500 ms"'],
  ],
  [
    'an uncertainty of nothing',
    [['uncertainty: 0.3 K', 'uncertainty: 0 K']],
    ['18:18 "0 K" is too small: a temperature difference above 0 K such as "0.3 K"'],
  ],
  [
    'a missing uncertainty',
    [['    uncertainty: 0.3 K\n', '']],
    ['15:3 missing key "uncertainty": a temperature difference or a length, above 0, such as uncertainty: 0.3 K'],
  ],
  [
    'a temperature for a length',
    [['uncertainty: 0.1 mm', 'uncertainty: 0.1 K']],
    ['24:18 "K" is a unit of temperature: a length above 0 mm such as "0.1 mm"'],
  ],
  [
    'an unknown unit of a channel',
    [['unit: °C', 'unit: celsius']],
    [
      '17:11 unknown unit "celsius": a unit such as "°C", "°F", "K", "mm", "cm", "m", "kPa", "bar", "mbar", "V", "mV", "uV", "%", "L", "mL", "m³" → °C',
    ],
  ],
  [
    'a unit of time for a channel',
    [['unit: mm\n', 'unit: ms\n']],
    [
      '22:11 "ms" is a unit of time: a unit such as "°C", "°F", "K", "mm", "cm", "m", "kPa", "bar", "mbar", "V", "mV", "uV", "%", "L", "mL", "m³"',
    ],
  ],
  [
    'a span from high to low',
    [['46 °C to 54 °C', '54 °C to 46 °C']],
    ['28:11 "54 °C to 46 °C" runs from high to low: a span such as "46 °C to 54 °C" → 46 °C to 54 °C'],
  ],
  [
    'a span without width',
    [['46 °C to 54 °C', '50 °C to 50 °C']],
    ['28:11 "50 °C to 50 °C" has no width: a span such as "46 °C to 54 °C"'],
  ],
  [
    'a span with a dash',
    [['46 °C to 54 °C', '46-54 °C']],
    ['28:11 "46-54 °C" is no span: a span such as "46 °C to 54 °C" → 46 °C to 54 °C'],
  ],
  ['one end of a span', [['46 °C to 54 °C', '46 °C']], ['28:11 "46 °C" is no span: a span such as "46 °C to 54 °C"']],
  [
    'below absolute zero',
    [['reference: 50 °C', 'reference: -300 °C']],
    ['29:14 "-300 °C" is below absolute zero: a temperature such as "50 °C", or first-reading'],
  ],
  [
    'a number in another notation',
    [['    uncertainty: 0.3 K', '    uncertainty: 0.3 K\n    scale: { gain: .5, offset: 1e3 }']],
    [
      '19:20 ".5" is no plain decimal number: a number such as 12.5, or quotes around a text → 0.5',
      '19:32 "1e3" is no plain decimal number: a number such as 12.5, or quotes around a text → 1000',
    ],
  ],
  [
    'a gain of nothing',
    [['    uncertainty: 0.3 K', '    uncertainty: 0.3 K\n    scale: { gain: 0 }']],
    ['19:20 0 does not fit here: a number other than 0'],
  ],
  [
    'a hysteresis below nothing',
    [['  reference: 50 °C', '  reference: 50 °C\n  hysteresis: -1 K']],
    ['30:15 "-1 K" is too small: a temperature difference from 0 K such as "0.3 K"'],
  ],
];

const REFERENCES: readonly Row[] = [
  [
    'an unknown instrument',
    [['from: probe.temp', 'from: prob.temp']],
    ['16:11 no instrument is called "prob": one of "probe", "gauge" → probe.temp'],
  ],
  [
    'an unknown signal',
    [['from: gauge.level', 'from: gauge.levl']],
    ['21:11 the instrument "gauge" has no signal "levl": one of "level", "quality" → gauge.level'],
  ],
  [
    'both misspelt',
    [['from: gauge.level', 'from: gage.levl']],
    ['21:11 no instrument is called "gage": one of "probe", "gauge" → gauge.level'],
  ],
  [
    'a reference without a point',
    [['from: gauge.level', 'from: gauge']],
    ['21:11 "gauge" does not fit here: an instrument and a signal with a point between, such as "probe.temp"'],
  ],
  [
    'an unknown channel',
    [
      ['level: depth', 'level: dept'],
      ['temperature: oil', 'temperature: temp'],
    ],
    [
      '26:10 no channel is called "dept": a channel of length, "depth" → depth',
      '27:16 no channel is called "temp": a channel of temperature, "oil"',
    ],
  ],
  [
    'channels in the wrong place',
    [
      ['level: depth', 'level: oil'],
      ['temperature: oil', 'temperature: depth'],
    ],
    [
      '26:10 "oil" is a channel of temperature: a channel of length, "depth" → depth',
      '27:16 "depth" is a channel of length: a channel of temperature, "oil" → oil',
    ],
  ],
  [
    'a channel faster than its instrument',
    [['    uncertainty: 0.3 K', '    uncertainty: 0.3 K\n    every: 100 ms']],
    ['19:12 values cannot come more often than lines: a time not below the 500 ms of "probe"'],
  ],
  [
    'a reference far away',
    [['reference: 50 °C', 'reference: 135 °C']],
    ['29:14 the reference lies 81 K outside the window: a temperature within 80 K of the window'],
  ],
  [
    'a hysteresis as wide as the window',
    [['  reference: 50 °C', '  reference: 50 °C\n  hysteresis: 4 K']],
    ['30:15 the hysteresis fills the window: less than half of the window, which is 8 K wide'],
  ],
  [
    'a window beyond the range',
    [['range: -20 °C to 150 °C', 'range: -20 °C to 50 °C']],
    ['28:11 the window reaches beyond the range of the temperature channel: temperatures from -20 °C to 50 °C'],
  ],
  [
    'a window beyond the usual range',
    [
      ['    range: -20 °C to 150 °C\n', ''],
      ['46 °C to 54 °C', '380 °C to 420 °C'],
      ['reference: 50 °C', 'reference: 400 °C'],
    ],
    ['27:11 the window reaches beyond the range of the temperature channel: temperatures from -80 °C to 400 °C'],
  ],
  [
    'a time too short for ten values',
    [
      ['longest: 2 min', 'longest: 6 s'],
      ['every: 200 ms', 'every: 1 s'],
    ],
    ['34:14 that is too short to judge a level by: at least 10 s: a value comes every 1 s'],
  ],
  [
    'a tolerance finer than the step',
    [['tolerance: 1.2 mm', 'tolerance: 0.005 mm']],
    ['33:16 the tolerance is finer than one step of the level channel: at least 0.01 mm'],
  ],
  [
    'a step as large as the range',
    [['resolution: 0.01 mm', 'resolution: 0.5 mm\n    range: 5 mm to 5.5 mm']],
    [
      '23:17 the resolution is as large as the range: the range to be many times as wide',
      '34:16 the tolerance is as large as the range of the level channel: a small part of 0.5 mm',
    ],
  ],
];

describe('links', () => {
  test.each(LINKS)('%s', (_name, changes, told) => {
    expect(tell(broken(...changes))).toEqual(told);
  });
});

describe('quantities', () => {
  test.each(QUANTITIES)('%s', (_name, changes, told) => {
    expect(tell(broken(...changes))).toEqual(told);
  });
});

describe('what must go together', () => {
  test.each(REFERENCES)('%s', (_name, changes, told) => {
    expect(tell(broken(...changes))).toEqual(told);
  });
});
