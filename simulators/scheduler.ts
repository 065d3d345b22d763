import type { Simulation } from './simulation.ts';

/** The only file of the simulators that reads a clock or owns timers. */
export interface Timers {
  /** Monotonic, s. */
  nowS(): number;
  /** Calls `run` once after `delayS`; returns a cancel. */
  after(delayS: number, run: () => void): () => void;
}

export const realTimers: Timers = {
  nowS: () => performance.now() / 1000,
  after: (delayS, run) => {
    const timer = setTimeout(run, delayS * 1000);
    return () => clearTimeout(timer);
  },
};

/** An actor may be woken from outside (a port was opened), so nobody sleeps longer than this. */
const LONGEST_SLEEP_S = 0.05;

/** Later than this, and the time is taken as lost: no burst of old lines after the machine slept. */
const MOST_BEHIND_S = 1;

/** Runs a simulation at the pace of real time until the returned function is called. */
export function pace(simulation: Simulation, timers: Timers): () => void {
  let zeroS = timers.nowS() - simulation.nowS;
  let cancel = () => {};
  const step = () => {
    const behindS = timers.nowS() - zeroS - simulation.nextAtS();
    if (behindS > MOST_BEHIND_S) zeroS += behindS;
    simulation.runUntil(timers.nowS() - zeroS);
    const waitS = simulation.nextAtS() - (timers.nowS() - zeroS);
    cancel = timers.after(Math.min(Math.max(waitS, 0), LONGEST_SLEEP_S), step);
  };
  cancel = timers.after(0, step);
  return () => cancel();
}
