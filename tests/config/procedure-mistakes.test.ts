/** What is wrong in a procedure file: the place, the words, what was expected, and after an arrow what was meant. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { formatMistakes } from '../../src/config/format.ts';
import { loadProcedure } from '../../src/config/load-procedure.ts';
import { afterChange, mistakesIn, PROCEDURE } from './procedure-text.ts';

test('the procedure of these tests has no mistake', () => {
  expect(mistakesIn(PROCEDURE)).toEqual([]);
});

const KEYS: readonly (readonly [name: string, from: string, to: string, told: readonly string[]])[] = [
  [
    'a key from nowhere',
    'purpose: For tests.',
    'purpose: For tests.\ncolour: red',
    [
      '5:1 unknown key "colour": one of "procedure", "title", "version", "purpose", "result", "cautions", "fields", "measures", "allowances", "holds", "steps"',
    ],
  ],
  [
    'a misspelt key is one mistake',
    'title: A small job',
    'titel: A small job',
    [
      '2:1 unknown key "titel": one of "procedure", "title", "version", "purpose", "result", "cautions", "fields", "measures", "allowances", "holds", "steps" → title',
    ],
  ],
  [
    'a name in capitals',
    'procedure: bay-test',
    'procedure: Bay Test',
    ['1:12 "Bay Test" cannot be a name here: small letters, digits and hyphens, a letter first, at most 40 → bay-test'],
  ],
  [
    'a version with a point and no quotes',
    'version: 2',
    'version: 2.10',
    ['3:10 2.1 does not fit here: a whole number, or a text in quotes such as "2.1"'],
  ],
  [
    'a pressure without unit',
    'below: 1.5 bar',
    'below: 1.5',
    ['14:40 "1.5" has no unit: a quantity with its unit such as "120 kPa"'],
  ],
  [
    'a word that is none of few',
    'by: jug',
    'by: jugg',
    ['9:25 "jugg" is not known here: one of "jug", "scale", "meter", "hand" → jug'],
  ],
  [
    'a key of a step',
    '    say: >',
    '    says: >',
    [
      `19:5 unknown key "says": one of ${'step title say cautions tick note photo enter wait-for read dose zero decide ask needs engine go-to optional'
        .split(' ')
        .map((name) => `"${name}"`)
        .join(', ')} → say`,
    ],
  ],
  ['an empty tick list', 'tick: [Runs]', 'tick: []', ['46:11 a list does not fit here: a list of texts, one at least']],
  [
    'a gate that there is none of',
    'wait-for: ready',
    'wait-for: redy',
    [
      '51:15 "redy" does not fit here: ready, one of fresh, record, window, answers, air, calm, settled, or a list of them → ready',
    ],
  ],
  [
    'a gate in a list',
    'wait-for: ready',
    'wait-for: [calm, setled]',
    [
      '51:22 "setled" is not known here: one of "fresh", "record", "window", "answers", "air", "calm", "settled" → settled',
    ],
  ],
  [
    'a range that runs down',
    'range: 50 °F to 104 °F',
    'range: 104 °F to 50 °F',
    ['30:53 "104 °F to 50 °F" runs from high to low: a span such as "20 mm to 90 mm" → 50 °F to 104 °F'],
  ],
  [
    'no steps',
    PROCEDURE.slice(PROCEDURE.indexOf('steps:')),
    'steps: []\n',
    ['16:8 a list does not fit here: a list of steps, one at least'],
  ],
  [
    'a step that is a word',
    '  - step: settle\n    title: Wait\n    wait-for: ready',
    '  - settle',
    ['49:5 this is no step: a block of keys that begins with "step:" and a name'],
  ],
  [
    'the same key twice',
    'title: Fill',
    'title: Fill\n    title: Fill up',
    ['42:5 the key "title" stands here twice: each key once'],
  ],
  [
    'a text with a control character',
    'title: Fill',
    'title: "Fi\\x07ll"',
    ['41:12 "Fi�ll" does not fit here: a text of at most 100 characters'],
  ],
];

describe('keys and values', () => {
  test.each(KEYS)('%s', (_, from, to, told) => {
    expect(afterChange(from, to)).toEqual(told);
  });
});

const TOGETHER: readonly (readonly [name: string, from: string, to: string, told: readonly string[]])[] = [
  [
    'a step that does nothing',
    '    wait-for: ready\n',
    '',
    ['49:5 this step does nothing: one of "tick", "enter", "wait-for", "read", "dose", "zero", "decide", "ask"'],
  ],
  [
    'a step that does two things',
    'wait-for: ready',
    'wait-for: ready\n    zero: true',
    ['52:5 a step does one thing, and this one does "wait-for" already: a step of its own'],
  ],
  [
    'a misspelt kind of step is one mistake',
    'tick: [Runs]',
    'tik: [Runs]',
    [
      '46:5 unknown key "tik": one of "step", "title", "say", "cautions", "tick", "note", "photo", "enter", "wait-for", "read", "dose", "zero", "decide", "ask", "needs", "engine", "go-to", "optional" → tick',
    ],
  ],
  [
    'a photo beside a dose',
    'plan: refill, with: [jug] }',
    'plan: refill, with: [jug] }\n    photo: true',
    ['43:5 "photo" stands beside "tick" only: no such key here'],
  ],
  [
    'a question with one answer',
    '      wet: { answer: A drip, go-to: ready-to-go }\n',
    '',
    ['69:5 a question with one answer: two answers at least'],
  ],
  ['two steps of one name', 'step: again', 'step: first', ['52:11 there is a step "first" already: another name']],
  [
    'two entries of one name',
    '      look:',
    '      wanted:',
    ['31:7 the key "wanted" stands here twice: each key once'],
  ],
  [
    'an entry of a name that another step has',
    'tick: [Runs]',
    'enter: { wanted: { ask: Again } }',
    ['46:14 there is an entry "wanted" already: another name'],
  ],
  [
    'an answer that leads nowhere',
    'go-to: ready-to-go',
    'go-to: redy-to-go',
    ['71:37 no step is called "redy-to-go": a step of this file → ready-to-go'],
  ],
  [
    'an answer that leads to its own question',
    'go-to: ready-to-go',
    'go-to: dry',
    ['71:37 this leads to the step itself: another step'],
  ],
  [
    'a decision that leads nowhere',
    'otherwise: adjust',
    'otherwise: adjustment',
    ['57:26 no step is called "adjustment": a step of this file → adjust'],
  ],
  [
    'a decision that leads to itself',
    'otherwise: adjust',
    'otherwise: verdict',
    ['57:26 this leads to the step itself: another step'],
  ],
  [
    'a step that leads nowhere',
    'go-to: settle',
    'go-to: setle',
    ['62:12 no step is called "setle": a step of this file → settle'],
  ],
  [
    'a hold at a step that there is none of',
    'during: [fill]',
    'during: [fil]',
    ['14:113 no step is called "fil": a step of this file → fill'],
  ],
  [
    'a hold without limit',
    ', below: 1.5 bar, deadband: 0.2 bar',
    '',
    ['14:3 a hold without a limit: below or above, such as below: 120 kPa'],
  ],
  [
    'a hold with two limits',
    'above: 2 cm',
    'above: 2 cm, below: 90 mm',
    ['15:27 a hold is below or above a limit: one of them; the other in a hold of its own'],
  ],
  [
    'a deadband of another kind',
    'deadband: 0.2 bar',
    'deadband: 2 mm',
    ['14:59 the deadband is not of the kind of the limit: a pressure such as "101.3 kPa"'],
  ],
  [
    'a deadband below 0',
    'deadband: 0.2 bar',
    'deadband: -0.2 bar',
    ['14:59 a deadband below 0: how far the channel must come back'],
  ],
  [
    'an entry that should agree with none',
    'same-as: wanted',
    'same-as: wnated',
    ['29:50 no earlier text is called "wnated": "wanted" → wanted'],
  ],
  [
    'an entry that should agree with a later one',
    'wanted: { ask: Wanted fluid }',
    'wanted: { ask: Wanted fluid, same-as: label }',
    ['28:45 no earlier text is called "label": an earlier text of this file'],
  ],
  [
    'an entry of two forms',
    'choices: [clear, dark]',
    'choices: [clear, dark], same-as: label',
    ['31:58 an entry has choices or same-as: one of them'],
  ],
  [
    'a meaning of another kind',
    'means: fresh-temperature',
    'means: target-level',
    ['30:77 "target-level" is not a length here: a range of length, such as range: 12 mm to …'],
  ],
  [
    'a meaning of a text',
    'wanted: { ask: Wanted fluid }',
    'wanted: { ask: Wanted fluid, means: fluid-held }',
    ['28:43 "fluid-held" is not a volume here: a range of volume, such as range: 2.4 L to …'],
  ],
  [
    'a measure that there is none of',
    'way: advice, with: [jug]',
    'way: advice, with: [jgu]',
    ['61:33 no measure is called "jgu": one of "jug", "scale"'],
  ],
  ['a measure twice', '[scale, jug]', '[jug, jug]', ['38:50 "jug" stands here twice: each measure once']],
  ['a scale in litres', 'step: 12 g', 'step: 12 mL', ['10:42 a scale shows a mass: a mass such as "5 g"']],
  ['a step of nothing', 'step: 50 mL', 'step: 0 mL', ['9:36 a step of nothing: a volume above 0']],
  [
    'an uncertainty of another kind',
    'each: 10 mL',
    'each: 10 g',
    ['9:67 "each" and "step" are of two kinds: a volume, as the step'],
  ],
  ['an uncertainty below 0', 'each: 10 mL', 'each: -10 mL', ['9:67 an uncertainty below 0: a volume, not below 0']],
  [
    'a need for an entry that comes later',
    'tick: [Level ground, Brake on, Brake on]',
    'tick: [Level ground]\n    needs: { entered: label }',
    ['24:23 no earlier entry is called "label": an earlier entry of this file'],
  ],
  [
    'a need for entries in a list',
    'entered: label',
    'entered: [label, lable]',
    ['35:53 no earlier entry is called "lable": one of "wanted", "label", "pour", "look" → label'],
  ],
  [
    'a refill drained',
    'way: in, plan: refill',
    'way: out, plan: refill',
    [
      '42:23 a refill is poured in: "way: in" beside it',
      '43:22 nothing has been poured in by then: a step before with "dose: { way: in, … }"',
      '48:22 nothing has been poured in by then: a step before with "dose: { way: in, … }"',
    ],
  ],
  [
    'a refill of nothing drained',
    'way: out, several: true',
    'way: in, several: true',
    ['42:28 a refill plan without fluid that was drained: a step before with "dose: { way: out, … }"'],
  ],
  [
    'a share of no plan',
    'way: in, plan: refill',
    'way: in',
    ['43:22 a share of a refill that nothing plans: litres, or a step before that pours in with "plan: refill"'],
  ],
  [
    'a share of more than all',
    'filled: 80 %',
    'filled: 120 %',
    ['43:22 this is more than the whole refill: a share up to 100 %'],
  ],
  ['a share of nothing', 'filled: 80 %', 'filled: 0 %', ['43:22 this asks for nothing: an amount above 0']],
  [
    'litres before any are poured in',
    'needs: { gate: [window, calm], entered: label }',
    'needs: { filled: 2 L }',
    ['35:22 nothing has been poured in by then: a step before with "dose: { way: in, … }"'],
  ],
  [
    'a step that cannot be reached',
    'title: Fill\n',
    'title: Fill\n    go-to: settle\n',
    ['45:11 no way leads to this step: an answer or another step to lead here'],
  ],
  [
    'a ring without a way out',
    '      dry: { answer: All dry }\n',
    '      dry: { answer: All dry, go-to: fill }\n',
    ['67:11 no way leads from this step to the end: a way out of its ring'],
  ],
  [
    'a decision without a target',
    'read: target',
    'read: level',
    [
      '57:5 a decision can come before a target: "read: target", or an entry that means target-level, on every way here',
      '61:5 a dose by advice can come before a target: "read: target", or an entry that means target-level, on every way here',
    ],
  ],
  [
    'a target that may be left out',
    'read: target',
    'read: target\n    optional: true',
    [
      '58:5 a decision can come before a target: "read: target", or an entry that means target-level, on every way here',
      '62:5 a dose by advice can come before a target: "read: target", or an entry that means target-level, on every way here',
    ],
  ],
  [
    'a loop in which nothing is done',
    'title: Adjust',
    'title: Adjust\n    optional: true',
    ['57:26 nothing is done between "adjust" and here: a dose or a tick list on the way back here'],
  ],
  [
    'a loop in which nothing is read',
    'go-to: settle',
    'go-to: verdict',
    ['57:26 nothing is read between "adjust" and here: a step that reads on the way back here'],
  ],
  [
    'a reading where fluid overflows',
    'purpose: For tests.',
    'purpose: For tests.\nresult: overflow',
    [
      '5:1 nobody enters how warm the fluid was at the lip: an entry that means overflow-temperature',
      '35:5 no level is read where fluid overflows: no such step, or "result: level"',
      '55:5 no level is read where fluid overflows: no such step, or "result: level"',
      '58:5 no level is read where fluid overflows: no such step, or "result: level"',
      '62:18 there is no advice where no level is read: "in" or "out"',
      '66:5 no level is read where fluid overflows: no such step, or "result: level"',
    ],
  ],
  [
    'an overflow where a level is read',
    'means: fresh-temperature',
    'means: overflow-temperature',
    ['30:77 nothing overflows where a level is read: no such meaning, or "result: overflow"'],
  ],
  [
    'nothing that reads a level',
    PROCEDURE.slice(PROCEDURE.indexOf('holds:')),
    'steps:\n  - { step: one, title: One, zero: true }\n',
    ['1:1 no step reads a level: a step with "read: level", or "result: overflow"'],
  ],
];

describe('what must go together', () => {
  test.each(TOGETHER)('%s', (_, from, to, told) => {
    expect(afterChange(from, to)).toEqual(told);
  });
});

test('a decision that a jump over the reading leads to', () => {
  const chart = 'enter: { chart: { ask: By the chart, range: 10 mm to 90 mm, means: target-level } }';
  const question = 'ask: { on: { answer: Go on }, jump: { answer: No time, go-to: verdict } }';
  const text = PROCEDURE.replace('read: target', chart).replace('wait-for: ready', question);
  expect(mistakesIn(text)).toEqual([
    '57:5 a decision can come before a reading: a step that reads on every way here',
    '57:26 nothing is read between "adjust" and here: a step that reads on the way back here',
    '61:5 a dose by advice can come before a reading: a step that reads on every way here',
  ]);
  expect(mistakesIn(text.replace(', go-to: verdict', ''))).toEqual([]);
});

test('a target that may stay empty is none', () => {
  const chart = 'enter: { chart: { ask: By the chart, range: 10 mm to 90 mm, means: target-level, required: false } }';
  expect(mistakesIn(PROCEDURE.replace('read: target', chart)).map((one) => one.slice(0, 40))).toEqual([
    '57:5 a decision can come before a target',
    '61:5 a dose by advice can come before a ',
  ]);
});

test('an empty file is told its keys', () => {
  for (const text of ['', '# only words\n', '---\n'])
    expect(mistakesIn(text)[0]).toMatch(/^1:1 the file is empty: the keys "procedure", /);
});

test('mistakes come in the order of the file', () => {
  const text = PROCEDURE.replace('by: jug', 'by: jar')
    .replace('read: target', 'read: goal')
    .replace('wait-for: ready', 'wait-for: rest');
  expect(mistakesIn(text).map((one) => one.split(' ')[0])).toEqual(['9:25', '34:11', '51:15']);
});

describe('hostile text', () => {
  const seed = Number(process.env.STILLWELL_SEED ?? Date.now() % 2 ** 31);
  console.log(`seed ${seed}`);

  const SNIPPETS = [
    ...'\t \n\r:-?{}[],#&*!|>\'"%@`~\\0°µ\u{feff}\u{0}',
    ...[
      '\n  - ',
      '\n    ',
      ' #',
      '---\n',
      '&a ',
      '*a',
      '!!map ',
      '__proto__: 1\n',
      'constructor: ',
      '1e999',
      '.nan',
      'null',
      'true',
    ],
    ...[
      'step: ',
      'steps: ',
      'enter: {}',
      'ask: []',
      'dose: x',
      'needs: 5',
      'go-to: constructor',
      'during: [__proto__]',
      '9 kg',
      '-1 bar',
    ],
  ];

  test('random damage never throws, and every mistake has its place in the file', () => {
    const change = fc.record({ at: fc.nat(PROCEDURE.length), cut: fc.nat(40), put: fc.constantFrom(...SNIPPETS) });
    fc.assert(
      fc.property(fc.array(change, { minLength: 1, maxLength: 4 }), (changes) => {
        const text = changes.reduce((all, { at, cut, put }) => all.slice(0, at) + put + all.slice(at + cut), PROCEDURE);
        const loaded = loadProcedure(text);
        if (loaded.ok) return;
        const lines = text.replace(/\r\n?/g, '\n').split('\n');
        for (const { line, column, words } of loaded.mistakes) {
          expect(words).not.toBe('');
          expect(line).toBeLessThanOrEqual(lines.length);
          expect(column).toBeLessThanOrEqual([...(lines[line - 1] ?? '')].length + 1);
        }
        formatMistakes('x.yaml', text, loaded.mistakes);
      }),
      { numRuns: 100, seed },
    );
  });

  test('any text at all never throws', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 200 }), (text) => void loadProcedure(text)),
      { numRuns: 100, seed },
    );
    fc.assert(
      fc.property(
        fc.string({ unit: 'binary', maxLength: 40 }),
        (text) => void loadProcedure(`procedure: x\nsteps:\n  - step: ${text}\n`),
      ),
      { numRuns: 150, seed },
    );
  });

  test('any value in the place of any part never throws', () => {
    const odd = ['null', '0', '[null]', '{ constructor: 1 }', '[{ step: {} }]'];
    const places = [...PROCEDURE.matchAll(/^ {0,4}(?:- )?([a-z-]+): ?.*$/gm)];
    expect(places.length).toBeGreaterThan(50);
    for (const place of places) {
      for (const put of odd) {
        const line = place[0].replace(/: ?.*$/, `: ${put}`);
        const text = PROCEDURE.slice(0, place.index) + line + PROCEDURE.slice((place.index ?? 0) + place[0].length);
        expect(() => loadProcedure(text)).not.toThrow();
      }
    }
  });

  test('a very long file is refused at once', () => {
    expect(mistakesIn(`${PROCEDURE}#${'x'.repeat(70_000)}`)).toHaveLength(1);
  });
});
