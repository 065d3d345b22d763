/**
 * The conditions of readiness, each with its value, its limit, the reason in words and, where it can be told, the time
 * to go. A gate that is open needs more to shut than a shut one needs to open (hysteresis), so that nothing flickers.
 */
import { type AirState, mostLost, strengthShare } from './air.ts';
import type { MeasureDescription } from './description.ts';
import type { Gate, GateId, TimeToGo } from './events.ts';
import { type Approach, timeTo } from './forecast.ts';
import { calmGate, settledGate } from './gates-level.ts';
import type { Calm } from './steadiness.ts';

export interface GateFacts {
  readonly tUs: number;
  readonly measure: MeasureDescription;
  readonly recording: boolean;
  readonly level: ChannelFact;
  readonly temperature: ChannelFact;
  /** Standard uncertainties of the fluid's temperature: from noise, from the lag of the probe, from the probe itself. */
  readonly uTemperature: { readonly noiseK: number; readonly lagK: number; readonly probeK: number };
  /** The window was left just now and the temperature is still at its border. */
  readonly atBorder: boolean;
  readonly approach: Approach | null;
  readonly calm: Calm | null;
  /** When the level last began to move; null where it has not been seen to. */
  readonly changedUs: number | null;
  readonly air: AirState;
  /** How long the level's sensor has sent the same value, where that is no chance; null otherwise. */
  readonly stuckUs: number | null;
  /** The level stands where the sensor's range ends: what is beyond looks the same. */
  readonly atEnd: boolean;
  /** Values that may be wild or the beginning of a move, how long the first of them is ago, and when the next is due. */
  readonly doubtful: {
    readonly count: number;
    /** Rises by one with each such value, falls by half with every other one. */
    readonly suspicion: number;
    readonly forUs: number;
    readonly stepUs: number;
    readonly overdue: boolean;
  };
}

export interface ChannelFact {
  readonly id: string;
  /** Null before the first good value. */
  readonly ageUs: number | null;
  readonly staleAfterUs: number;
  readonly value: number | null;
}

/** Which gates were open before this judgement. */
export type OpenBefore = Readonly<Record<GateId, boolean>>;

export const ALL_SHUT: OpenBefore = Object.freeze({
  fresh: false,
  record: false,
  window: false,
  answers: false,
  air: false,
  calm: false,
  settled: false,
});

const one = (value: number): string => value.toFixed(1);
const percent = (share: number): string => `${Math.round(100 * share)} %`;

/** All gates in the order in which a person would ask. */
export function judgeGates(facts: GateFacts, before: OpenBefore): readonly Gate[] {
  return [
    freshGate(facts),
    recordGate(facts),
    windowGate(facts, before.window),
    answersGate(facts),
    airGate(facts, before.air),
    calmGate(facts, before.calm),
    settledGate(facts, before.settled),
  ];
}

const OPEN_ENDED = { toGo: null, shutsIn: null } as const;

function freshGate({ level, temperature }: GateFacts): Gate {
  const stale = [temperature, level].find((fact) => fact.ageUs === null || fact.ageUs > fact.staleAfterUs);
  const shown = stale ?? level;
  const value = shown.ageUs === null ? null : shown.ageUs / 1e6;
  const limit = shown.staleAfterUs / 1e6;
  const base = { id: 'fresh', value, limit, unit: 's', ...OPEN_ENDED } as const;
  if (stale === undefined)
    return { ...base, open: true, why: 'fresh', words: `New values keep coming: ${temperature.id} and ${level.id}.` };
  if (value === null) return { ...base, open: false, why: 'no-value-yet', words: `Nothing has come yet: ${stale.id}.` };
  return { ...base, open: false, why: 'stale', words: `No new value for ${one(value)} s: ${stale.id}.` };
}

function recordGate({ recording }: GateFacts): Gate {
  const base = { id: 'record', value: null, limit: null, unit: '1', ...OPEN_ENDED } as const;
  return recording
    ? { ...base, open: true, why: 'recording', words: 'The record is being kept.' }
    : { ...base, open: false, why: 'not-recording', words: 'The disk cannot follow: nothing is being kept.' };
}

/** And so many standard uncertainties of the probe farther inside: one in 20 is off by more than two of them. */
const PROBE_SHARE = 0.25;
/** An open window shuts this many standard uncertainties outside: no flicker at the border. */
const BORDER_DEVIATIONS = 2;

function windowGate(facts: GateFacts, wasOpen: boolean): Gate {
  const { measure, temperature, approach, tUs, atBorder } = facts;
  const { lowC, highC, hysteresisK } = measure.window;
  const range = `${one(lowC)} to ${one(highC)} °C`;
  const value = temperature.value;
  const base = { id: 'window', value, unit: 'Cel' } as const;
  if (value === null)
    return { ...base, ...OPEN_ENDED, open: false, limit: lowC, why: 'no-value-yet', words: 'No temperature yet.' };
  const { noiseK, lagK, probeK } = facts.uTemperature;
  // As far inside as makes it as sure as with a probe without noise and lag that shows the border itself.
  const margin = 2 * (Math.sqrt(probeK * probeK + noiseK * noiseK + lagK * lagK) - probeK) + PROBE_SHARE * probeK;
  const slack = Math.min(BORDER_DEVIATIONS * noiseK, hysteresisK);
  const inwards = Math.min(margin + (wasOpen ? -slack : atBorder ? slack : 0), (highC - lowC) / 4);
  const low = lowC + inwards;
  const high = highC - inwards;
  if (value >= low && value <= high) {
    const leaving = [timeTo(approach, highC, tUs), timeTo(approach, lowC, tUs)].find(
      (until): until is TimeToGo => until !== null && until !== 'never',
    );
    return {
      ...base,
      open: true,
      limit: highC,
      toGo: null,
      shutsIn: leaving ?? null,
      why: 'inside',
      words: `${one(value)} °C is within ${range}.`,
    };
  }
  const cold = value < low;
  const until = timeTo(approach, cold ? low : high, tUs);
  const never = until === 'never';
  const tail = never ? (cold ? ' It will not get there at this rate.' : ' It is not cooling down to it.') : '';
  return {
    ...base,
    open: false,
    limit: cold ? lowC : highC,
    toGo: never ? null : until,
    shutsIn: null,
    why: cold ? (never ? 'stays-cold' : 'too-cold') : never ? 'stays-hot' : 'too-hot',
    words:
      value >= lowC && value <= highC
        ? `${one(value)} °C is only just within ${range}: the probe may be off by more than that.`
        : `${one(value)} °C: ${cold ? 'too cold' : 'too hot'} for the window of ${range}.${tail}`,
  };
}

/** Nothing comes that could tell: the gate of freshness is shut then, and this one says nothing. */
function unheard({ level }: GateFacts): boolean {
  return level.ageUs === null || level.ageUs > level.staleAfterUs;
}

function answersGate(facts: GateFacts): Gate {
  const { stuckUs, atEnd } = facts;
  const value = stuckUs === null ? null : stuckUs / 1e6;
  const base = { id: 'answers', value, limit: null, unit: 's', ...OPEN_ENDED } as const;
  if (atEnd)
    return {
      ...base,
      open: false,
      why: 'at-end',
      words: 'The level sensor shows the end of its range: the true level may be beyond it.',
    };
  return value === null
    ? {
        ...base,
        open: true,
        why: unheard(facts) ? 'unheard' : 'answering',
        words: unheard(facts)
          ? 'No values from the level sensor: whether it is stuck cannot be told.'
          : 'No sign that the level sensor is stuck.',
      }
    : {
        ...base,
        open: false,
        why: 'stuck',
        words: `The level sensor has sent exactly the same value for ${one(value)} s: it may be stuck.`,
      };
}

/** Of the share of lost, doubted or wild values that shuts the gate, so much opens it again. */
const LOST_OPENS = 0.75;
/** Wild values are no matter of air alone: this share of them. */
const MOST_WILD = 0.3;
/** Echo strength as a share of what it usually is. */
const FADED = { shuts: 0.8, opens: 0.88 };

function airGate(facts: GateFacts, wasOpen: boolean): Gate {
  const { air, calm } = facts;
  const wild = calm?.wildShare ?? 0;
  const most = mostLost(air);
  const lost = Math.max(air.lostShare, (wild * most) / MOST_WILD);
  const limit = most * (wasOpen ? 1 : LOST_OPENS);
  const strength = strengthShare(air);
  const base = { id: 'air', unit: '1', ...OPEN_ENDED } as const;
  if (lost > limit || air.lostInARow)
    return {
      ...base,
      open: false,
      value: lost,
      limit,
      why: 'echoes-lost',
      words: `${lost > limit ? `${percent(lost)} of the latest` : 'The very latest'} level values are missing or wild: air bubbles in the fluid, or a sensor or cable that has come loose.`,
    };
  const weakest = wasOpen ? FADED.shuts : FADED.opens;
  if (strength < weakest)
    return {
      ...base,
      open: false,
      value: strength,
      limit: weakest,
      why: 'echo-fading',
      words: `The echo has faded to ${percent(strength)} of its usual strength: air bubbles in the fluid, or a sensor coming loose.`,
    };
  if (unheard(facts))
    return {
      ...base,
      open: true,
      value: lost,
      limit,
      why: 'unheard',
      words: 'No values from the level sensor: how well it sees the surface cannot be told.',
    };
  return {
    ...base,
    open: true,
    value: lost,
    limit,
    why: 'clear',
    words: 'The level sensor sees the surface well: no sign of air bubbles.',
  };
}
