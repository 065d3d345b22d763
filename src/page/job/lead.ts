/** The job's one thing to do now: the leading words of every view while a job with steps is open. Pure. */
import type { Live } from '../../feed/messages.ts';
import { amount } from '../format.ts';
import { freshness, shutGates, together } from '../judge.ts';
import { gateShort, gateWords } from '../saying.ts';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';
import type { JobAdvice, JobProgress, NowStep } from './progress.ts';
import { measuredAmount, stepOf } from './quantity.ts';
import { adviceWords, blockWords } from './saying.ts';

export type Sign = 'list' | 'keys' | 'wait' | 'read' | 'in' | 'out' | 'block' | 'scales' | 'question' | 'stop' | 'pen';
type Forecast = NonNullable<Live['gates'][number]['toGo']>;

export interface Lead {
  /** How it is drawn: to read, to wait, to do something, to stop something. */
  readonly face: 'ready' | 'wait' | 'act' | 'stop';
  readonly sign: Sign;
  readonly word: string;
  readonly rest: string;
  /** An amount to be seen from afar; empty for none. */
  readonly figure: string;
  /** Until it goes on. */
  readonly toGo: Forecast | null;
  /** Until the window shuts, where that must not be overlooked. */
  readonly closes: Forecast | null;
  /** The time until the window shuts stands before everything else. */
  readonly closingLeads: boolean;
  /** In a sentence; empty for none. */
  readonly why: string;
}

const NOTHING = { figure: '', toGo: null, closes: null, closingLeads: false, why: '' } as const;

/** Null while no job with steps is open, or nothing is heard of it. */
export function jobLead(view: View, nowMs: number): Lead | null {
  const { progress } = view;
  if (view.link !== 'live' || view.live === null || progress === null) return null;
  const lead = leadOf(view, progress, nowMs);
  const closes = closing(view, progress);
  return { ...lead, closes, closingLeads: closes !== null && progress.result === 'overflow' };
}

function leadOf(view: View, progress: JobProgress, nowMs: number): Lead {
  const words = WORDS.run.lead;
  const { now } = progress;
  if (progress.paused) return { ...NOTHING, face: 'wait', sign: 'stop', word: words.paused, rest: words.pausedRest };
  if (now === null) return { ...NOTHING, face: 'ready', sign: 'pen', word: words.done, rest: words.doneRest };
  const broken = now.blocked.find(({ why }) => why === 'hold');
  if (broken !== undefined)
    return { ...NOTHING, face: 'stop', sign: 'stop', word: words.stop, rest: now.title, why: broken.words };
  const todo = { ...NOTHING, face: 'act', rest: now.title } as const;
  switch (now.kind) {
    case 'confirm':
      return { ...todo, sign: 'list', word: words.confirm };
    case 'enter':
      return { ...todo, sign: 'keys', word: words.enter };
    case 'ask':
      return { ...todo, sign: 'question', word: words.ask };
    case 'zero':
      return { ...todo, sign: 'block', word: words.zero };
    case 'wait':
    case 'read':
      return waiting(view, now);
    case 'decide': {
      const off = now.blocked.find(({ why }) => why === 'engine-off');
      if (off !== undefined) return waiting(view, now);
      const told = view.verdict !== null;
      return {
        ...todo,
        face: told ? 'act' : 'wait',
        sign: 'scales',
        word: told ? words.decide : WORDS.state.wait.word,
        rest: told ? words.undecided : words.judging,
      };
    }
    case 'dose':
      return dosing(view, progress, now, nowMs);
  }
}

function waiting(view: View, now: NowStep): Lead {
  const { word, rest } = WORDS.state.wait;
  const off = now.blocked.find(({ why }) => why === 'engine-off');
  const wait = { ...NOTHING, face: 'wait', sign: 'wait', word } as const;
  if (off !== undefined) return { ...wait, rest: WORDS.run.lead.engineOff, why: blockWords(off, view) };
  const gate = gatesOf(view, now)[0];
  if (gate !== undefined) return { ...wait, rest: gateShort(gate), toGo: gate.toGo, why: gateWords(gate, view) };
  if (now.kind === 'wait') return { ...wait, rest, why: WORDS.run.wait.passes };
  return { ...NOTHING, face: 'ready', sign: 'read', ...WORDS.state.ready, why: WORDS.readNow };
}

/** Shut gates that the step waits for, the one that holds everything up first. */
export function gatesOf({ live }: View, { kind, gates }: NowStep) {
  const shut = live === null ? [] : shutGates(live);
  return kind === 'wait' && gates.length > 0 ? shut.filter(({ id }) => gates.includes(id)) : shut;
}

function dosing(view: View, progress: JobProgress, now: NowStep, nowMs: number): Lead {
  const words = WORDS.run.lead;
  const { advice } = now;
  const mark = stopMark(view, nowMs);
  if (mark !== null && mark.restMm <= 0)
    return {
      ...NOTHING,
      face: 'stop',
      sign: 'stop',
      word: words.shut,
      rest: WORDS.run.stop.below(amount(-mark.restMm, 1, 'mm')),
    };
  const way = wayOf(now, advice);
  const sign = way === 'in' ? 'in' : 'out';
  const head = { ...NOTHING, face: 'act', sign, word: words[way] } as const;
  if (advice === null) return { ...head, rest: now.title };
  if (advice.way === 'nothing')
    return { ...head, word: words.decide, sign: 'scales', rest: now.title, why: adviceWords(advice, view).todo };
  const figure = measuredAmount(advice.amount, advice.unit, stepOf(progress.measures, advice.measure));
  return { ...head, rest: now.title, figure };
}

export function wayOf({ way }: NowStep, advice: JobAdvice | null): 'in' | 'out' | 'either' {
  if (way === 'in' || way === 'out') return way;
  return advice === null || advice.way === 'nothing' ? 'either' : advice.way;
}

export interface StopMark {
  readonly markMm: number;
  /** The level when draining began to be asked for: where the bar begins. */
  readonly fromMm: number;
  readonly levelMm: number;
  /** Above the mark; 0 or less: shut the tap. */
  readonly restMm: number;
  readonly old: boolean;
}

/** The level against the mark at which the tap is shut; null where there is none. An old level says nothing. */
export function stopMark(view: View, nowMs: number): StopMark | null {
  const { live, bench, lastReading, progress } = view;
  const advice = progress?.now?.advice ?? null;
  if (advice === null || advice.way !== 'out' || advice.stopMarkMm === null) return null;
  if (live?.levelMm == null || bench === null) return null;
  const old = together(
    freshness(view, bench.levelChannel, nowMs),
    freshness(view, bench.temperatureChannel, nowMs),
  ).old;
  const restMm = old ? Number.POSITIVE_INFINITY : live.levelMm - advice.stopMarkMm;
  const fromMm = Math.max(lastReading?.reading.levelMm ?? live.levelMm, advice.stopMarkMm);
  return { markMm: advice.stopMarkMm, fromMm, levelMm: live.levelMm, restMm, old };
}

/** Where fluid at the lip decides, the window that shuts leads; else it is told while something is still to be read. */
function closing({ live }: View, { result, now }: JobProgress): Forecast | null {
  const shuts = live?.gates.find(({ id, open }) => id === 'window' && open)?.shutsIn ?? null;
  if (shuts === null || now === null) return null;
  const reads = now.kind === 'read' || now.kind === 'decide' || now.kind === 'wait' || now.way === 'either';
  return result === 'overflow' || reads ? shuts : null;
}
