/** What the job asks for now, and how the bench's figures of it are told in the language and units of the screen. */
import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it } from 'vitest';
import type { Live, Snapshot } from '../../src/feed/messages.ts';
import { beepEveryMs } from '../../src/page/job/closing-in.ts';
import { jobLead, stopMark } from '../../src/page/job/lead.ts';
import { inside, numberIn, quantityWords, typed } from '../../src/page/job/quantity.ts';
import { adviceWords, blockWords, limitWords, madeWords } from '../../src/page/job/saying.ts';
import { timesOf } from '../../src/page/job/times.ts';
import { reduce, START, type View } from '../../src/page/state.ts';
import { like, METRIC } from '../../src/page/units.ts';
import { de } from '../../src/page/words/de.ts';
import { speak } from '../../src/page/words.ts';
import {
  ADJUST,
  ADVICE,
  FILL,
  FLUID,
  filling,
  JobPlay,
  made,
  type NowStep,
  nowStep,
  type Progress,
  progress,
  SET_UP,
  WARM_UP,
} from './job-scenes.ts';
import { ready, verdictEvent, waiting } from './scenes.ts';

afterEach(() => {
  speak('en');
  like(METRIC);
});

const plain = (text: string) => text.replaceAll('\u00a0', ' ');

function seen(job: Progress | null, live: Live = waiting(Date.now()), over: Partial<Snapshot> = {}): View {
  const play = new JobPlay(job);
  play.now = () => live;
  const hello = { type: 'hello', protocol: 1, software: '0', bench: 'b', journal: 'j', lastEvent: 60 } as const;
  return [hello, { ...play.snapshot(), ...over }].reduce<View>(
    (view, message) => reduce(view, { kind: 'heard', message, atMs: 1000 }),
    START,
  );
}
const lead = (job: Progress, live?: Live) => {
  const found = jobLead(seen(job, live), 1000);
  if (found === null) throw new Error('no leading words');
  return found;
};
const at = (now: NowStep, over: Partial<Progress> = {}) => progress(now, over);
const words = (job: Progress, live?: Live) => {
  const { face, word, figure, rest } = lead(job, live);
  return plain([face, word, figure, rest].filter((part) => part !== '').join(' | '));
};
/** The level at the reference, with everything else as when it may be read. */
const level = (levelMm: number): Live => ({ ...ready(Date.now()), levelMm });

describe('The leading words of a job', () => {
  it('say what the step asks for', () => {
    expect(words(at(SET_UP))).toBe('act | DO | Stand it level');
    expect(words(at(FLUID))).toBe('act | TYPE | The right fluid');
    expect(words(at(nowStep('worth')))).toBe('act | ANSWER | Is this level worth matching?');
    expect(words(at(nowStep('sensor-zero')))).toBe('act | ZERO | Check the zero of the level sensor');
    expect(words(at(FILL))).toBe('act | ADD | 4.25 L | Fill in what was drained, and the allowances');
    expect(words(at(ADJUST), level(62.3))).toBe('act | DRAIN | 0.15 L | Drain or add as advised');
    expect(words(progress(null))).toBe('ready | SIGN | all steps are done');
    expect(words(at(SET_UP, { paused: true }))).toBe('wait | PAUSED | nothing counts now');
  });

  it('wait with the first shut gate of the step, its words and its time', () => {
    const found = lead(at(WARM_UP));
    expect([found.word, found.rest, found.toGo?.s]).toEqual(['WAIT', 'too cold', 38]);
    expect(plain(found.why)).toBe('41.6 °C: too cold for the window of 45.0 °C to 55.0 °C.');
    // A step that waits for one gate does not speak of the others.
    expect(words(at({ ...WARM_UP, gates: ['settled'] }))).toBe('wait | WAIT | level rises');
  });

  it('read when it may be read, and not while the engine stands still', () => {
    const reading = nowStep('reading');
    expect(words(at(reading))).toBe('wait | WAIT | too cold');
    expect(words(at(reading), ready(Date.now()))).toBe('ready | READ | now');
    const off = { why: 'engine-off', what: '', words: 'x' } as const;
    const found = lead(at({ ...reading, blocked: [off] }), ready(Date.now()));
    expect([found.face, found.rest]).toEqual(['wait', 'the engine stands still']);
    expect(found.why).toMatch(/nothing counts until it has run again/);
  });

  it('stop everything while a hold is broken', () => {
    const hold = { why: 'hold', what: 'pick-up', words: 'Stop the engine.' } as const;
    const found = lead(at({ ...WARM_UP, blocked: [hold] }), ready(Date.now()));
    expect([found.face, found.word, found.why]).toEqual(['stop', 'STOP', 'Stop the engine.']);
  });

  it('shut the tap at the mark, by a level that is live', () => {
    expect(words(at(ADJUST), level(58.2))).toMatch(/DRAIN/);
    expect(words(at(ADJUST), level(58.1))).toBe('stop | SHUT THE TAP | 0.0 mm below the mark');
    expect(words(at(ADJUST), level(57.6))).toBe('stop | SHUT THE TAP | 0.5 mm below the mark');
    const view = seen(at(ADJUST), level(57.6));
    const old = stopMark(view, 60_000);
    expect([old?.old, old?.restMm]).toEqual([true, Number.POSITIVE_INFINITY]);
    expect(jobLead(view, 60_000)?.word).toBe('DRAIN');
    expect(stopMark(seen(at(FILL), level(57.6)), 1000)).toBeNull();
  });

  it('tell the time until the window shuts: first of all where fluid at the lip decides, else where it is still to be read', () => {
    const closing = (): Live => {
      const live = ready(Date.now());
      const window = live.gates.find(({ id }) => id === 'window');
      if (window !== undefined) window.shutsIn = { s: 158, lowS: 130, highS: 200 };
      return live;
    };
    const overflow = lead(at(SET_UP, { result: 'overflow' }), closing());
    expect([overflow.closes?.s, overflow.closingLeads]).toEqual([158, true]);
    const adjusting = lead(at(ADJUST), { ...closing(), levelMm: 62.3 });
    expect([adjusting.closes?.s, adjusting.closingLeads]).toEqual([158, false]);
    expect(lead(at(SET_UP), closing()).closes).toBeNull();
  });

  it('are silent without a job of steps, and without the bench', () => {
    expect(jobLead(seen(null), 1000)).toBeNull();
    const lost = reduce(seen(at(SET_UP)), { kind: 'lost', atMs: 2000 });
    expect(jobLead(lost, 2000)).toBeNull();
  });
});

describe('What the bench says of a job', () => {
  it('is told as the bench says it in English and metres, and in figures elsewhere', () => {
    const view = seen(at(ADJUST), level(62.3));
    expect(adviceWords(ADVICE, view)).toBe(ADVICE.words);
    like({ ...METRIC, length: 'in', volume: 'qt' });
    const told = adviceWords(ADVICE, view);
    expect(plain(told.todo)).toBe('Drain 0.16 qt (± 0.04 qt), then wait and read again.');
    expect(plain(told.expected ?? '')).toBe('Then 2.287 in is expected (± 0.028 in).');
    like(METRIC);
    speak('de');
    const german = adviceWords(ADVICE, view);
    expect(plain(german.todo)).toBe('0,15 L (± 0,03 L) ablassen, dann warten und noch einmal ablesen.');
    expect(plain(german.expected ?? '')).toBe('Danach werden 58,1 mm erwartet (± 0,7 mm).');
    // Why: by the verdict, which is told in figures.
    expect(german.why).not.toMatch(/The level/);
    expect(german.why).toMatch(/unter|über/);
    const refill = FILL.advice;
    if (refill === null) throw new Error('no advice');
    const fill = adviceWords(refill, seen(filling()));
    expect(plain(fill.todo)).toBe('4,25 L (± 0,11 L) einfüllen.');
    expect(plain(fill.why)).toBe('4,25 L bei 20 °C: was herauskam, und die Zuschläge.');
  });

  it('has German for every sentence of advice that carries no figures', () => {
    const sources = ['src/core/job/advice.ts', 'src/core/dosing/words.ts'].map((path) => readFileSync(path, 'utf8'));
    const sentences = [...sources.join('\n').matchAll(/'([A-Z][^'\n]{14,}\.)'/g)].map(([, text]) => text ?? '');
    expect(sentences.length).toBeGreaterThan(10);
    expect(sentences.filter((sentence) => de.adviceSaid[sentence] === undefined)).toEqual([]);
    expect(Object.keys(de.adviceSaid).filter((sentence) => !sentences.includes(sentence))).toEqual([]);
  });

  it('says why a step does not go on, in the language and units of the screen', () => {
    const view = seen(at(FLUID));
    const filled = { why: 'filled', what: '', words: '3.20 L are in, at least 3.61 L must be.' } as const;
    const entered = { why: 'entered', what: 'label', words: '"label" was not entered yet.' } as const;
    const gate = { why: 'gate', what: 'window', words: 'The gate "window" is still shut.' } as const;
    expect(plain(blockWords(filled, view))).toBe('3.20 L are in, at least 3.61 L must be.');
    expect(plain(blockWords(gate, view))).toMatch(/^41.6 °C: too cold/);
    speak('de');
    expect(plain(blockWords(filled, view))).toBe('3,20 L sind drin, es müssen mindestens 3,61 L sein.');
    expect(blockWords(entered, view)).toBe('„Specification on the container“ ist noch nicht eingetragen.');
    expect(blockWords({ why: 'engine-off', what: '', words: 'x' }, view)).toMatch(/^Der Motor steht/);
  });

  it('tells limits, with bar as gauges show it, and amounts with their measure', () => {
    const [pickUp, press] = WARM_UP.holds;
    if (pickUp === undefined || press === undefined) throw new Error('no holds');
    expect(plain(limitWords(pickUp))).toBe('above 24.0 mm');
    expect(plain(limitWords(press))).toBe('below 120.0 kPa (1.20 bar)');
    const view = seen(filling());
    expect(plain(madeWords(made(1), view))).toBe('1.50 L poured in, at 20.0 °C, Measuring jug');
    expect(plain(madeWords(made(1, { measure: 'hand', kind: 'spilled' }), view))).toMatch(/spilled.*told by hand$/);
  });
});

describe('What is typed', () => {
  it('is read with comma or point, with either minus', () => {
    expect(['2,5', ' 2.5 ', '.5', '5.', '-3', '−3'].map(numberIn)).toEqual([2.5, 2.5, 0.5, 5, -3, -3]);
    expect(['', '2,5,1', '1e3', 'abc', '--1', '.'].map(numberIn)).toEqual([null, null, null, null, null, null]);
  });

  it('goes to the record in the units of the bench, free of dust', () => {
    expect(inside(0.1, 'L')).toBe(0.1);
    like({ temperature: 'F', length: 'in', volume: 'qt' });
    // Exact: NIST SP 811, appendix B.
    expect(inside(68, 'Cel')).toBe(20);
    expect(inside(1, 'in')).toBe(1);
    expect(inside(2, 'mm')).toBe(50.8);
    expect(inside(1, 'L')).toBeCloseTo(0.946352946, 9);
    expect(inside(1, 'kg')).toBe(1);
    expect(typed(20, 'Cel', 1)).toBe('68.0');
    expect(plain(quantityWords(-10, 'temperature'))).toBe('14 °F');
  });

  it('is proposed so that it may be sent back as it stands', () => {
    for (const language of ['en', 'de'] as const) {
      speak(language);
      expect(numberIn(typed(-12.34, 'Cel', 2))).toBe(-12.34);
      expect(numberIn(typed(1234.5, 'L', 1))).toBe(1234.5);
    }
  });
});

describe('Beeps', () => {
  it('come nearer to each other over the last millimetres, and are silent before', () => {
    expect([12, 5.01, Number.POSITIVE_INFINITY].map(beepEveryMs)).toEqual([null, null, null]);
    expect([5, 2.5, 0, -1].map(beepEveryMs)).toEqual([1500, 875, 250, 250]);
  });
});

describe('When events were', () => {
  it('is asked page by page up to the last one that matters', async () => {
    const asked: number[] = [];
    const utc = (event: number) => `2026-03-01T10:00:${String(event % 60).padStart(2, '0')}Z`;
    const desk = {
      async events(since: number, limit: number) {
        asked.push(since);
        const numbers = Array.from({ length: limit }, (_, i) => since + 1 + i).filter((event) => event <= 460);
        return numbers.map((event) => ({ ...verdictEvent(event, Date.now()), utc: utc(event) }));
      },
    };
    const found = await timesOf(desk, [31, 240, 455]);
    expect([...found]).toEqual([
      [31, utc(31)],
      [240, utc(240)],
      [455, utc(455)],
    ]);
    expect(asked).toEqual([30, 230, 430]);
  });

  it('stays unknown where the bench does not answer', async () => {
    expect((await timesOf({ events: async () => null }, [3])).size).toBe(0);
  });
});
