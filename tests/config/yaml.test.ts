/** Text that is no YAML, or more YAML than a bench file needs. */
import { describe, expect, test } from 'vitest';
import { broken, type Row, tell } from './bench-text.ts';

const YAML: readonly Row[] = [
  [
    'a tab for indentation, and a mistake after it',
    [
      ['    every: 500 ms', '\tevery: 500 ms'],
      ['unit: mm\n', 'unit: mn\n'],
    ],
    [
      '6:1 a tab stands at the beginning of the line: blanks: YAML takes no tabs there',
      '22:11 unknown unit "mn": a unit such as "°C", "°F", "K", "mm", "cm", "m", "kPa", "bar", "mbar", "V", "mV", "uV", "%", "L", "mL", "m³" → mm',
    ],
  ],
  [
    'a quote that is not closed',
    [['"T={temp} C"', '"T={temp} C']],
    ['7:14 this quote is not closed on its line: a closing quote of the same kind'],
  ],
  [
    'a text in quotes over two lines',
    [['"T={temp} C"', '"T={temp}\n      C"']],
    ['7:14 this quote is not closed on its line: a closing quote of the same kind'],
  ],
  [
    'a directive does not change how values are read',
    [
      ['bench: East hall', '%YAML 1.1\n---\nbench: East hall'],
      ['separator: semicolon', 'separator: semicolon\n    checked: yes'],
    ],
    ['1:1 a line that begins with % is not read: a key', '15:14 "yes" is not true or false: true or false'],
  ],
  [
    'a bracket that is not closed, twice',
    [
      ['4001" }', '4001"'],
      ['quality]', 'quality'],
    ],
    [
      '10:11 this bracket is not closed: a closing } or ] of the same kind',
      '13:14 this bracket is not closed: a closing } or ] of the same kind',
    ],
  ],
  [
    'a colon without a blank',
    [
      ['bench: East', 'bench:East'],
      ['settling: 6 s', 'settling:6 s'],
    ],
    [
      '1:1 a key stands without ": " after it: one "key: value" a line, with a blank after the colon',
      '32:5 a key stands without ": " after it: one "key: value" a line, with a blank after the colon',
    ],
  ],
  [
    'a key without a colon',
    [
      ['from: probe.temp', 'from probe.temp'],
      ['  gauge:\n', '  gauge\n'],
    ],
    [
      '8:3 a key stands without ": " after it: one "key: value" a line, with a blank after the colon',
      '16:5 a key stands without ": " after it: one "key: value" a line, with a blank after the colon',
    ],
  ],
  [
    'a line too deep',
    [['    unit: °C', '     unit: °C']],
    [
      '17:6 this line is indented under a key that already has its value: keys of one block beginning in the same column',
    ],
  ],
  [
    'a line too shallow',
    [['    unit: °C', '   unit: °C']],
    ['17:4 this line does not stand in the column of its block: keys of one block beginning in the same column'],
  ],
  [
    'text that wants quotes',
    [
      ['"T={temp} C"', '{temp} C'],
      ['East hall', '@hall'],
    ],
    [
      '1:8 a text cannot begin with this character: quotes around it',
      '7:21 this is not expected here: quotes around a text that holds { } [ ] , : # or quotes',
    ],
  ],
  [
    'two colons on a line',
    [['"T={temp} C"', 'T: {temp}']],
    ['7:14 a second key or a second ": " on one line: quotes around a text that holds { } [ ] , : # or quotes'],
  ],
  [
    'a backslash in double quotes',
    [['"T={temp} C"', '"T={temp}\\C"']],
    ["7:23 this backslash stands before nothing known: single quotes ('), in which a backslash is itself"],
  ],
  [
    'a reference and its mark',
    [
      ['every: 500 ms', 'every: &time 500 ms'],
      ['every: 200 ms', 'every: *time'],
    ],
    [
      '6:12 a mark for references (&) is not used: the value itself, or quotes around a text that begins with &',
      '11:12 a reference (*) is not followed: the value itself, or quotes around a text that begins with *',
    ],
  ],
  [
    'a type',
    [['bench: East hall', 'bench: !!str East hall']],
    ['1:8 a type (!) is not used: the value itself, or quotes around a text that begins with !'],
  ],
  [
    'a second document',
    [['channels:\n', '---\nchannels:\n']],
    ['14:1 a second document begins here: one document in one file'],
  ],
  [
    'a directive of another YAML',
    [['bench: East hall', '%YAML 1.1\n---\nbench: East hall']],
    ['1:1 a line that begins with % is not read: a key'],
  ],
  [
    'a merge key',
    [['    unit: mm', '    <<: { unit: mm }']],
    [
      '20:3 missing key "unit": a unit of temperature or length, or of what the law takes, such as unit: °C',
      '22:5 unknown key "<<": one of "from", "typed", "unit", "law", "resolution", "uncertainty", "range", "every", "valid", "scale", "sentinels", "echo"',
    ],
  ],
  [
    'a key that is no name',
    [['bench: East hall', '[a]: b\nbench: East hall']],
    ['1:1 this cannot be a key: a name before the colon'],
  ],
];

describe('the text itself', () => {
  test.each(YAML)('%s', (_name, changes, told) => {
    expect(tell(broken(...changes))).toEqual(told);
  });
});
