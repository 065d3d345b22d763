/** The two gates that speak of the surface: waves, and whether the level has come to rest. */
import type { Gate } from './events.ts';
import type { GateFacts } from './gates.ts';

/** An open gate shuts only beyond this multiple of its limit. */
const HOLD_FACTOR = 1.3;
/** A change is told as such for so long. */
const CHANGE_TOLD_US = 3e6;
/** A doubtful value that is not cleared up within this time, or a second one this much later, shuts the gate. */
const DOUBT = { forUs: 0.6e6, count: 2, apartUs: 0.35e6 };

const two = (value: number): string => value.toFixed(2);

export function calmGate({ calm, measure }: GateFacts, wasOpen: boolean): Gate {
  const limit = measure.steady.wavesMm;
  const base = { id: 'calm', limit, unit: 'mm', toGo: null, shutsIn: null } as const;
  if (calm === null)
    return { ...base, open: false, value: null, why: 'no-value-yet', words: 'Too few level values yet.' };
  const value = calm.swingMm;
  return value <= limit * (wasOpen ? HOLD_FACTOR : 1)
    ? { ...base, open: true, value, why: 'calm', words: `The surface is calm: waves of ${two(value)} mm.` }
    : {
        ...base,
        open: false,
        value,
        why: 'waves',
        words: `The surface moves: waves of ${two(value)} mm, ${two(limit)} mm allowed.`,
      };
}

function isUnclear({ count, forUs, stepUs, suspicion }: GateFacts['doubtful'], wasOpen: boolean): boolean {
  // Shut once, it stays so until ordinary values outweigh the doubtful ones.
  if (!wasOpen && suspicion > 0) return true;
  if (count >= DOUBT.count && forUs >= DOUBT.apartUs) return true;
  return count > 0 && Math.max(forUs, stepUs) >= DOUBT.forUs;
}

export function settledGate({ calm, changedUs, measure, tUs, doubtful }: GateFacts, wasOpen: boolean): Gate {
  const limit = measure.steady.toleranceMm;
  const base = { id: 'settled', limit, unit: 'mm', toGo: null, shutsIn: null } as const;
  const changed = changedUs !== null && tUs - changedUs < CHANGE_TOLD_US;
  if (calm === null && changed)
    return { ...base, open: false, value: null, why: 'changed', words: 'The level has just begun to move.' };
  if (calm === null)
    return { ...base, open: false, value: null, why: 'no-value-yet', words: 'Too few level values yet.' };
  const { boundMm: value, resting, restMm, uRestMm, settled } = calm;
  if (isUnclear(doubtful, wasOpen))
    return {
      ...base,
      open: false,
      value,
      why: 'unclear',
      words: 'The latest level values stand apart from the rest: a move, or false echoes.',
    };
  if (doubtful.overdue)
    return { ...base, open: false, value, why: 'overdue', words: 'The next level value is overdue.' };
  // Doubt keeps it shut, but only a movement shuts it.
  if (value <= limit || (wasOpen && resting))
    return {
      ...base,
      open: true,
      value,
      why: 'settled',
      words: `The level has settled: within ${two(value)} mm of where it comes to rest, ${two(limit)} mm allowed.`,
    };
  const shut = { ...base, open: false, value, toGo: settled } as const;
  if (changed) return { ...shut, why: 'changed', words: 'The level has just begun to move.' };
  if (Math.abs(restMm) > uRestMm) {
    const way = restMm < 0 ? 'rise' : 'fall';
    const words = `The level still ${way}s: up to ${two(value)} mm to go, ${two(limit)} mm allowed.`;
    return { ...shut, why: restMm < 0 ? 'rising' : 'falling', words };
  }
  return {
    ...shut,
    why: 'too-short',
    words: `The level looks settled, but was watched too short to be sure: it may have ${two(value)} mm to go, ${two(limit)} mm allowed.`,
  };
}
