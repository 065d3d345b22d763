/** Signs of air in the fluid, or of a sensor that does not see the surface: echoes lost, doubted, wild, or fading. */

export interface AirState {
  /** Share of values lately that were no use. */
  lostShare: number;
  /** What that usually is, and of how many values it is a share. */
  usualShare: number;
  memory: number;
  /** How many in a row, and whether that is more than chance. */
  run: number;
  lostInARow: boolean;
  /** Share of useless values over a longer time. */
  usuallyLost: number;
  /** Echo strength of the last seconds, and what it usually is; null before any. */
  strength: number | null;
  usual: number | null;
  heardUs: number | null;
  /** When there last were faint signs. */
  airyUs: number | null;
}

const RECENT_S = 3;
const USUAL_S = 120;
/** So many lost together, over so long, are no chance. */
const TOGETHER = 3;
const TOGETHER_US = 0.4e6;
/** From a sensor this slow the next value comes too late to wait for. */
export const SLOW_US = 0.6e6;
/** A sensor that loses more than this share all the time is not doubted for one more. */
export const USUAL = 0.02;
const LONG = 40;
/** Signs too faint for the gate: shares of what shuts it, and of the usual strength; air that was there leaves slowly. */
const AIRY = { ofMostLost: 0.6, strength: 0.94, leavesUs: 15e6 };
/** Memory in samples at least. */
const FEWEST = 5;

export function emptyAir(): AirState {
  return {
    lostShare: 0,
    usualShare: 0,
    memory: FEWEST,
    run: 0,
    lostInARow: false,
    usuallyLost: 0,
    strength: null,
    usual: null,
    heardUs: null,
    airyUs: null,
  };
}

/** One value of the level's sensor came, of use or not; values that should have come since the last count as lost. */
export function hearEcho(
  state: AirState,
  tUs: number,
  useful: boolean,
  strength: number | null,
  intervalUs: number,
): void {
  const passed = state.heardUs === null ? intervalUs : tUs - state.heardUs;
  state.heardUs = tUs;
  const missing = Math.min(Math.max(0, Math.round(passed / intervalUs) - 1), 3);
  const memory = Math.max(FEWEST, (RECENT_S * 1e6) / intervalUs);
  for (let i = 0; i < missing; i++) state.lostShare += (1 - state.lostShare) / memory;
  state.lostShare += ((useful ? 0 : 1) - state.lostShare) / memory;
  state.memory = memory;
  const slow = Math.max(4 * FEWEST, (USUAL_S * 1e6) / intervalUs);
  // What is usual falls soon and rises slowly: more of it is what is looked for.
  state.usualShare += (state.lostShare - state.usualShare) / (state.lostShare < state.usualShare ? memory : slow);
  state.usuallyLost += ((useful && missing === 0 ? 0 : 1) - state.usuallyLost) / LONG;
  state.run = useful ? 0 : state.run + missing + 1;
  state.lostInARow =
    (state.run >= TOGETHER && state.run * intervalUs >= TOGETHER_US) ||
    (!useful && intervalUs >= SLOW_US && state.usuallyLost < USUAL);
  if (state.lostShare > AIRY.ofMostLost * mostLost(state)) state.airyUs = tUs;
  hearStrength(state, strength, memory, slow);
  if (strengthShare(state) < AIRY.strength) state.airyUs = tUs;
}

function hearStrength(state: AirState, strength: number | null, memory: number, slow: number): void {
  if (strength === null) return;
  if (state.strength === null || state.usual === null) {
    state.strength = strength;
    state.usual = strength;
    return;
  }
  state.strength += (strength - state.strength) / memory;
  // What is usual rises soon and falls slowly: fading is what is looked for.
  state.usual += (state.strength - state.usual) / (state.strength > state.usual ? memory : slow);
}

/** So much more than the usual share, and so many standard deviations of a share of so few values, is no chance. */
const MORE = { share: 0.11, deviations: 4, least: 0.02, most: 0.3 };

/** The share of lost values that tells of air on this bench. */
export function mostLost({ usualShare, memory }: AirState): number {
  const share = Math.max(usualShare, MORE.least);
  // A fading mean of so many values has the variance of twice as many.
  const chance = MORE.deviations * Math.sqrt((share * (1 - share)) / (2 * memory));
  return Math.min(MORE.most, usualShare + MORE.share + chance);
}

/** Faint signs of air lately: not enough to shut a gate, enough to believe that the level may fall slowly. */
export function isAiry({ airyUs }: AirState, tUs: number): boolean {
  return airyUs !== null && tUs - airyUs < AIRY.leavesUs;
}

/** Strength of the last seconds as a share of what is usual; 1 where none is told. */
export function strengthShare({ strength, usual }: AirState): number {
  return strength === null || usual === null || !(usual > 0) ? 1 : strength / usual;
}
