/** News for whoever looks: what the bench noticed, and what happened while the connection was away. Codes, no words. */
import type { EventMessage } from '../feed/messages.ts';
import { fixed, measured, sensibly, unitSign } from './format.ts';
import type { View } from './state.ts';
import { convertSize } from './units.ts';
import { WORDS } from './words.ts';

type Outcome = EventMessage['outcome'];

export type Notice =
  | { readonly kind: 'missed-too-much' }
  | { readonly kind: 'said'; readonly words: string }
  | { readonly kind: 'circuit'; readonly state: string }
  | {
      readonly kind: 'slope';
      readonly learned: { readonly mmPerK: number; readonly uMmPerK: number } | null;
      readonly agrees: boolean | null;
    };

/** Times by the page's clock; `toMs` null while nothing is heard yet. */
export interface Missed {
  readonly fromMs: number;
  readonly toMs: number | null;
  readonly events: readonly EventMessage[];
}

/** Shorter interruptions without an event are not worth a word. */
export const WORTH_A_WORD_MS = 5000;
const KEPT = 200;

/** The connection went at `lostMs`; what was missed before and not seen yet is kept. */
export function stillMissed(before: Missed | null, lostMs: number | null): Missed | null {
  if (before !== null) return { ...before, toMs: null };
  return lostMs === null ? null : { fromMs: lostMs, toMs: null, events: [] };
}

/** With one event more, if it comes before the bench is heard live again. */
export function missed({ missed: before, link }: Pick<View, 'missed' | 'link'>, event: EventMessage): Missed | null {
  if (before === null || link === 'live') return before;
  return { ...before, events: [...before.events, event].slice(-KEPT) };
}

export function noticeWords(notice: Notice): string {
  switch (notice.kind) {
    case 'missed-too-much':
      return WORDS.missedTooMuch;
    case 'said':
      return notice.words;
    case 'circuit':
      return WORDS.circuitMoved(notice.state);
    case 'slope': {
      if (notice.learned === null) return WORDS.learnedNothing;
      const { mmPerK, uMmPerK } = notice.learned;
      const u = Number(convertSize(uMmPerK, 'mm/K').toPrecision(2));
      const places = Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(u || 1))));
      const slope = fixed(convertSize(mmPerK, 'mm/K'), places);
      return WORDS.learned(`${slope} ± ${fixed(u, places)} ${unitSign('mm/K')}`, notice.agrees);
    }
  }
}

/** One event of the record in a line. */
export function eventWords(outcome: Outcome): string {
  const words = WORDS.happened;
  switch (outcome.kind) {
    case 'ready':
      return outcome.ready ? words.ready : words.notReady;
    case 'reading': {
      const { id, levelMm, U95Mm } = outcome.reading;
      const { value, U } = measured(levelMm, U95Mm, 'mm');
      return words.reading(id, `${value} ±${U}`);
    }
    case 'action': {
      const { actor, body, accepted } = outcome;
      const what = body.type === 'note' ? `${WORDS.note}: ${body.text}` : (WORDS.actions[body.type] ?? body.type);
      return (accepted ? words.action : words.refusedAction)(actor, what);
    }
    case 'job':
      return (outcome.change === 'started' ? words.jobStarted : words.jobClosed)(outcome.job.label);
    case 'target':
      return words.target;
    case 'verdict':
      return `${WORDS.verdictOf(outcome.verdict.reading)}: ${WORDS.verdicts[outcome.verdict.result]}`;
    case 'alarm':
      return outcome.state === 'active'
        ? words.alarmActive(outcome.source, outcome.why)
        : words.alarmReturned(outcome.source);
    case 'machine':
      return words.machine(
        [outcome.machine.stated, outcome.machine.circuit].filter((part) => part !== null).join(', '),
      );
    case 'slope':
      return words.slope;
    case 'zero-check':
      return words.zeroCheck(sensibly(outcome.check.errorMm, 'mm'));
    case 'fault':
      return words.fault(outcome.source);
    default:
      return words.other;
  }
}
