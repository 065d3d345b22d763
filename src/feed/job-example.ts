/** A job under way, for docs/feed.md; a scenario of our own. */
import type { JobMessage } from './messages.ts';

export const JOB_EXAMPLE: JobMessage = {
  type: 'job',
  event: 31,
  job: {
    ...{ id: 4, label: 'Lathe 2, coolant', readings: 2, referenceC: 24 },
    procedure: { id: 'reservoir', title: 'Reservoir, filled to its mark', version: '3', digest: '5e0c' },
    machineType: 'small lathe',
    fields: { machine: 'Lathe 2' },
  },
  progress: {
    ...{ title: 'Reservoir, filled to its mark', version: '3', result: 'level' },
    cautions: ['Lock the machine out before a hand goes in.'],
    ...{ paused: false, engine: null },
    steps: [
      {
        id: 'first',
        title: 'First reading',
        kind: 'read',
        state: 'done',
        rounds: 1,
        ended: { event: 29, actor: null, words: 'Reading No. 7' },
      },
      { id: 'top-up', title: 'Top up', kind: 'dose', state: 'now', rounds: 1, ended: null },
      { id: 'again', title: 'Read again', kind: 'read', state: 'ahead', rounds: 0, ended: null },
    ],
    now: {
      ...{ step: 'top-up', title: 'Top up', kind: 'dose', words: 'Pour slowly.' },
      ...{ cautions: [], optional: false, round: 1, blocked: [], holds: [], ticks: [], note: false, photo: false },
      ...{ asks: [], answers: [], gates: [] },
      measures: [{ id: 'jug', words: 'one-litre jug', by: 'jug', unit: 'L', step: 0.05, uShare: 0.01, uEach: 0.015 }],
      ...{ way: 'either', several: false, proposedC: null },
      advice: {
        ...{ step: 'top-up', way: 'in', amount: 0.65, unit: 'L', measure: 'jug', U95: 0.08, stopMarkMm: null },
        takesS: 150,
        words: {
          todo: 'Add 0.65 L (± 0.08 L), then wait and read again.',
          why: 'The level stands 4.1 mm below the target (± 0.5 mm).',
          expected: null,
        },
      },
    },
    ...{
      entries: [],
      asked: [],
      amounts: [],
      told: [],
      measures: [],
      filledL: 0,
      refill: null,
      balance: null,
      fresh: null,
    },
  },
};
