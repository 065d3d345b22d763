/** Scenes of an invented job: the gearbox of a sluice winch gets new oil, and its level is put back. */
import type { Live, Snapshot } from '../../src/feed/messages.ts';
import type { Script } from './fake-feed.ts';
import { BENCH, history, readingEvent, ready, snapshot, verdict, waiting } from './scenes.ts';

export type Progress = NonNullable<Snapshot['progress']>;
export type NowStep = NonNullable<Progress['now']>;
type Step = Progress['steps'][number];

export const MEASURES: Progress['measures'] = [
  { id: 'scale', words: 'Scale under the pan', by: 'scale', unit: 'kg', step: 0.01, uShare: 0.002, uEach: 0.015 },
  { id: 'jug', words: 'Measuring jug', by: 'jug', unit: 'L', step: 0.05, uShare: 0.015, uEach: 0.015 },
];
const JUG = MEASURES[1] as Progress['measures'][number];

const WAY: readonly (readonly [string, string, Step['kind']])[] = [
  ['set-up', 'Stand it level', 'confirm'],
  ['sensor-zero', 'Check the zero of the level sensor', 'zero'],
  ['fluid', 'The right fluid', 'enter'],
  ['warm-up', 'Warm up until a reading counts', 'wait'],
  ['first', 'First reading', 'read'],
  ['worth', 'Is this level worth matching?', 'ask'],
  ['drain', 'Drain the old fluid', 'dose'],
  ['fill', 'Fill in what was drained, and the allowances', 'dose'],
  ['reading', 'Read the level', 'read'],
  ['verdict', 'Does it match?', 'decide'],
  ['adjust', 'Drain or add as advised', 'dose'],
  ['finish', 'Leaks, plugs and panels', 'confirm'],
];

/** Steps as they stand when the job is at one of them; null: all are done. */
function steps(at: string | null): Step[] {
  const place = at === null ? WAY.length : WAY.findIndex(([id]) => id === at);
  return WAY.map(([id, title, kind], i) => ({
    ...{ id, title, kind },
    state: i < place ? 'done' : i === place ? 'now' : 'ahead',
    rounds: i <= place ? 1 : 0,
    ended: i < place ? { event: 20 + i, actor: kind === 'wait' ? null : 'Ines', words: null } : null,
  }));
}

export function nowStep(step: string, over: Partial<NowStep> = {}): NowStep {
  const [, title, kind] = WAY.find(([id]) => id === step) ?? ['', step, 'confirm'];
  return {
    ...{ step, title, kind, words: null, cautions: [], optional: false, round: 1, blocked: [], holds: [] },
    ...{ ticks: [], note: false, photo: false, asks: [], answers: [], gates: [], measures: [], way: null },
    ...{ several: false, proposedC: null, advice: null },
    ...over,
  };
}

export function progress(now: NowStep | null, over: Partial<Progress> = {}): Progress {
  return {
    ...{ title: 'Winch gearbox, level put back', version: '2', result: 'level' },
    cautions: ['Hot oil burns: gloves and sleeves.', 'The winch is locked out before a hand goes in.'],
    ...{ paused: false, engine: 'running', steps: steps(now?.step ?? null), now },
    ...{ entries: [], asked: [], amounts: [], told: [], measures: MEASURES },
    ...{ filledL: 0, refill: null, balance: null, fresh: null },
    ...over,
  };
}

export const SET_UP = nowStep('set-up', {
  words: 'It stays so until the job is closed.',
  cautions: ['Raised machine: stands as the maker says; shake it before going under.'],
  ticks: [
    { id: 'level', words: 'Level lengthwise and crosswise', done: false },
    { id: 'brake', words: 'Brake on, drum pinned', done: false },
    { id: 'couplant', words: 'Couplant without bubbles', done: false },
  ],
  note: true,
  photo: true,
});

export const FLUID = nowStep('fluid', {
  asks: [
    {
      ...{ name: 'required', words: 'Specification that the maker asks for', required: true, means: null },
      ...{ of: 'text', sameAs: null, entered: 'GL-W 75' },
    },
    {
      ...{ name: 'label', words: 'Specification on the container', required: true, means: null },
      ...{ of: 'text', sameAs: 'required', entered: null },
    },
    {
      ...{ name: 'fresh', words: 'Temperature of the new fluid', required: true, means: 'fresh-temperature' },
      ...{ of: 'quantity', quantity: 'temperature', low: -10, high: 60, entered: null },
    },
    {
      ...{ name: 'look', words: 'How it looks', required: false, means: null },
      ...{ of: 'choice', choices: ['clear', 'dark', 'with filings'], entered: null },
    },
  ],
});

export const WARM_UP = nowStep('warm-up', {
  cautions: ['Running engine: nobody under the machine.'],
  holds: [
    {
      ...{ id: 'pick-up', channel: 'tank-level', quantity: 'length', side: 'above', limit: 24, deadband: 2 },
      ...{ onDelayUs: 3e6, words: 'Stop the engine: the fluid stands below the pick-up.', during: ['warm-up'] },
    },
    {
      ...{ id: 'press', channel: 'filling-pressure', quantity: 'pressure', side: 'below', limit: 120, deadband: 10 },
      ...{ onDelayUs: 1e6, words: 'Stop the pump.', during: ['warm-up'] },
    },
  ],
});

export const ADVICE: NonNullable<NowStep['advice']> = {
  ...{ step: 'adjust', way: 'out', amount: 0.15, unit: 'L', measure: 'jug', U95: 0.03, stopMarkMm: 58.1, takesS: 150 },
  words: {
    todo: 'Drain 0.15 L (± 0.03 L), then wait and read again.',
    why: 'The level stands 4.2 mm above the target (± 0.5 mm).',
    expected:
      'Then 58.1 mm is expected (± 0.7 mm), at most 0.6 mm below the target; 96 % sure to be within ±1 mm of it.',
  },
};

export const ADJUST = nowStep('adjust', {
  ...{ way: 'either', measures: [JUG], advice: ADVICE },
  cautions: ['Hot fluid under a running engine: only through a hose with a valve; else stop the engine first.'],
});

export function made(event: number, over: Partial<Progress['told'][number]> = {}): Progress['told'][number] {
  return {
    ...{ event, step: 'fill', kind: 'in', amount: 1.5, unit: 'L', measure: 'jug', uShare: 0.015, uEach: 0.015 },
    ...{ tC: 20, uTemperatureK: 2, afterReading: 17, actor: 'Ines', corrects: null },
    ...over,
  };
}

export const FILL = nowStep('fill', {
  ...{ way: 'in', several: true, measures: [JUG, MEASURES[0] as Progress['measures'][number]], proposedC: 20 },
  advice: {
    ...{ step: 'fill', way: 'in', amount: 4.25, unit: 'L', measure: 'jug', U95: 0.11, stopMarkMm: null, takesS: 0 },
    words: {
      todo: 'Fill in 4.25 L (± 0.11 L).',
      why: '3.95 L for what came out, at 20 °C, and 0.30 L besides.',
      expected: null,
    },
  },
  blocked: [{ why: 'filled', what: '', words: '3.20 L are in, at least 3.61 L must be.' }],
});

/** In the midst of filling, with an amount that was corrected. */
export function filling(): Progress {
  const first = made(51, { amount: 15 });
  const right = made(53, { amount: 1.5, corrects: 51 });
  const second = made(55, { amount: 1.7, actor: 'Karim' });
  const held = { name: 'held', words: 'All the oil that it holds', required: true, means: 'fluid-held' } as const;
  return progress(FILL, {
    told: [
      made(48, { step: 'drain', kind: 'out', amount: 3.4, measure: 'scale', unit: 'kg', tC: 47 }),
      first,
      right,
      second,
    ],
    amounts: [
      made(48, { step: 'drain', kind: 'out', amount: 3.4, measure: 'scale', unit: 'kg', tC: 47 }),
      { ...right, event: 51 },
      second,
    ],
    entries: [
      { event: 30, name: 'held', value: 8, actor: 'Ines', override: null, corrects: null },
      { event: 44, name: 'held', value: 6.5, actor: 'Ines', override: null, corrects: 30 },
    ],
    asked: [{ ...held, of: 'quantity', quantity: 'volume', low: 1, high: 60 }],
    ...{ filledL: 3.2, refill: { litres: 4.25, uLitres: 0.056, pourC: 20 }, engine: 'stopped' },
    fresh: { share: 0.56, u: 0.02 },
  });
}

const JOB: NonNullable<Snapshot['job']> = {
  ...{ id: 3, label: 'Winch 2, oil change', readings: 2, referenceC: 50 },
  procedure: { id: 'winch', title: 'Winch gearbox, level put back', version: '2', digest: 'd' },
  ...{ machineType: 'sluice winch', fields: { machine: 'W 2' } },
};

export const OFFERED: Snapshot['bench']['procedures'] = [
  {
    ...{ id: 'tank', title: 'Tank, topped up', version: '1', purpose: 'Tops the tank up.', result: 'level' },
    ...{ cautions: ['Pour slowly.'], fields: [] },
  },
  {
    ...{ id: 'winch', title: 'Winch gearbox, level put back', version: '2', result: 'level' },
    purpose: 'New oil in, and the level back to where it stood.',
    cautions: ['Hot oil burns: gloves and sleeves.'],
    fields: [
      { id: 'customer', words: 'Customer', required: false },
      { id: 'machine', words: 'Number of the machine', required: true },
    ],
  },
];

type Over = Partial<Omit<Snapshot, 'type' | 'live' | 'progress'>>;

/** A bench with that job; what it shows may be changed while somebody looks. */
export class JobPlay implements Script {
  revision = 12;
  event = 60;
  progress: Progress | null;
  over: Over;
  now: () => Live = () => waiting(Date.now());

  constructor(progress: Progress | null, over: Over = {}) {
    this.progress = progress;
    this.over = over;
  }

  live = (): Live => this.now();
  history: NonNullable<Script['history']> = (channel, seconds) => history(channel, seconds, Date.now(), 41.6);

  snapshot = (): Snapshot =>
    snapshot(this.now(), {
      ...{ event: this.event, revision: this.revision, lastReading: lastReading(), verdict: verdict() },
      target: { from: 'reading', reading: 12 },
      ...{ bench: { ...BENCH, procedures: OFFERED }, job: this.progress === null ? null : JOB },
      ...{ machineTypes: ['sluice winch', 'small lathe'], progress: this.progress },
      lastStart: { procedure: 'winch', machineType: 'sluice winch' },
      ...this.over,
    });

  /** How the job stands now, as the feed says it. */
  message(next: Progress | null): { type: 'job'; event: number; job: Snapshot['job']; progress: Progress | null } {
    this.progress = next;
    return { type: 'job', event: this.event, job: next === null ? null : JOB, progress: next };
  }
}

export function lastReading(): Snapshot['lastReading'] {
  const { outcome, utc } = readingEvent(40, Date.now() - 9000);
  return outcome.kind === 'reading' ? { event: outcome.event, utc, reading: outcome.reading } : null;
}

export { ready, waiting };
