/**
 * The conditions of readiness, each with its value, its limit, the reason in words and, where it can be told, the time
 * to go. A gate that is open needs more to shut than a shut one needs to open (hysteresis), so that nothing flickers.
 */
import type { MeasureDescription } from './description.ts';
import type { Gate, GateId, TimeToGo } from './events.ts';
import { type ForecastState, timeTo } from './forecast.ts';
import type { Calm } from './steadiness.ts';

export interface GateFacts {
  readonly measure: MeasureDescription;
  readonly recording: boolean;
  readonly level: ChannelFact;
  readonly temperature: ChannelFact;
  readonly calm: Calm | null;
  readonly forecast: ForecastState;
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
  watched: false,
  spread: false,
  drift: false,
});

/** An open gate shuts only beyond this multiple of its limit. */
const HOLD_FACTOR = 1.25;
/** With more than this share of wild values there is no calm surface, whatever the rest says. */
const MOST_SET_ASIDE = 0.2;

const one = (value: number): string => value.toFixed(1);
const two = (value: number): string => value.toFixed(2);

/** All gates in the order in which a person would ask. */
export function judgeGates(facts: GateFacts, before: OpenBefore): readonly Gate[] {
  return [
    freshGate(facts),
    recordGate(facts),
    windowGate(facts, before.window),
    watchedGate(facts),
    spreadGate(facts, before.spread),
    driftGate(facts, before.drift),
  ];
}

function freshGate({ level, temperature }: GateFacts): Gate {
  const stale = [temperature, level].find((fact) => fact.ageUs === null || fact.ageUs > fact.staleAfterUs);
  const shown = stale ?? level;
  const value = shown.ageUs === null ? null : shown.ageUs / 1e6;
  const limit = shown.staleAfterUs / 1e6;
  const base = { id: 'fresh', value, limit, unit: 's', toGo: null } as const;
  if (stale === undefined) return { ...base, open: true, why: 'fresh', words: 'Temperature and level are coming in.' };
  if (value === null) return { ...base, open: false, why: 'no-value-yet', words: `No ${stale.id} value yet.` };
  return { ...base, open: false, why: 'stale', words: `No new ${stale.id} value for ${one(value)} s.` };
}

function recordGate({ recording }: GateFacts): Gate {
  const base = { id: 'record', value: null, limit: null, unit: '1', toGo: null } as const;
  return recording
    ? { ...base, open: true, why: 'recording', words: 'The record is being kept.' }
    : { ...base, open: false, why: 'not-recording', words: 'The disk cannot follow: nothing is being kept.' };
}

function windowGate({ measure, temperature, forecast }: GateFacts, wasOpen: boolean): Gate {
  const { lowC, highC, hysteresisK } = measure.window;
  const range = `${one(lowC)} to ${one(highC)} °C`;
  const value = temperature.value;
  const base = { id: 'window', value, unit: 'Cel' } as const;
  if (value === null)
    return { ...base, open: false, limit: lowC, toGo: null, why: 'no-value-yet', words: 'No temperature yet.' };
  const low = wasOpen ? lowC : lowC + hysteresisK;
  const high = wasOpen ? highC : highC - hysteresisK;
  if (value >= low && value <= high)
    return {
      ...base,
      open: true,
      limit: highC,
      toGo: null,
      why: 'inside',
      words: `${one(value)} °C is within ${range}.`,
    };
  const cold = value < low;
  const until = timeTo(forecast, cold ? low : high);
  const toGo: TimeToGo | null = until === 'never' ? null : until;
  const tail = until === 'never' ? (cold ? ' It will not get there at this rate.' : ' It is not cooling.') : '';
  return {
    ...base,
    open: false,
    limit: cold ? lowC : highC,
    toGo,
    why: cold ? 'too-cold' : 'too-hot',
    words: `${one(value)} °C: ${cold ? 'too cold' : 'too hot'} for the window of ${range}.${tail}`,
  };
}

function watchedGate({ measure, calm }: GateFacts): Gate {
  const limit = measure.steady.overUs / 1e6;
  const value = calm === null ? 0 : Math.min(calm.countedUs / 1e6, limit);
  const base = { id: 'watched', value, limit, unit: 's' } as const;
  // A little slack: the time is covered when the samples nearest to both its ends are.
  if (value >= 0.95 * limit)
    return {
      ...base,
      open: true,
      toGo: null,
      why: 'watched',
      words: `The level was watched for ${one(limit)} s within the temperature window.`,
    };
  const s = limit - value;
  return {
    ...base,
    open: false,
    toGo: { s, lowS: s, highS: s },
    why: 'too-short',
    words: `The level was watched for ${one(value)} of ${one(limit)} s within the temperature window.`,
  };
}

function spreadGate({ measure, calm }: GateFacts, wasOpen: boolean): Gate {
  const limit = measure.steady.spreadMm;
  const base = { id: 'spread', limit, unit: 'mm', toGo: null } as const;
  if (calm === null)
    return { ...base, open: false, value: null, why: 'no-value-yet', words: 'Too few level values yet.' };
  const value = calm.spreadMm;
  if (calm.setAside > MOST_SET_ASIDE * (calm.used + calm.setAside))
    return {
      ...base,
      open: false,
      value,
      why: 'many-wild',
      words: `${calm.setAside} of ${calm.used + calm.setAside} level values are wild.`,
    };
  return value <= limit * (wasOpen ? HOLD_FACTOR : 1)
    ? {
        ...base,
        open: true,
        value,
        why: 'calm',
        words: `The surface is calm: ${two(value)} mm between least and most.`,
      }
    : {
        ...base,
        open: false,
        value,
        why: 'moving',
        words: `The surface moves: ${two(value)} mm between least and most, ${two(limit)} mm allowed.`,
      };
}

function driftGate({ measure, calm }: GateFacts, wasOpen: boolean): Gate {
  const limit = measure.steady.driftMmPerMin;
  const base = { id: 'drift', limit, unit: 'mm/min', toGo: null } as const;
  if (calm === null)
    return { ...base, open: false, value: null, why: 'no-value-yet', words: 'Too few level values yet.' };
  const value = calm.driftMmPerMin;
  // The drift has to be surely small to open the gate, and surely large to shut it again.
  const judged = Math.abs(value) + (wasOpen ? -1 : 1) * calm.uDriftMmPerMin;
  const way = value > 0 ? 'rises' : 'falls';
  return judged <= limit
    ? { ...base, open: true, value, why: 'holding', words: `The level holds: ${two(value)} mm/min.` }
    : {
        ...base,
        open: false,
        value,
        why: value > 0 ? 'rising' : 'falling',
        words: `The level ${way} by ${two(Math.abs(value))} mm/min (± ${two(calm.uDriftMmPerMin)}), ${two(limit)} mm/min allowed.`,
      };
}
