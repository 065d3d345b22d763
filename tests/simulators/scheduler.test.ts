import { describe, expect, test } from 'vitest';
import { pace, type Timers } from '../../simulators/scheduler.ts';
import { type Actor, Simulation } from '../../simulators/simulation.ts';

/** Time that passes only when told to. */
class HandTimers implements Timers {
  #nowS = 100;
  #waiting: { atS: number; run: () => void }[] = [];
  nowS = () => this.#nowS;
  after = (delayS: number, run: () => void) => {
    const entry = { atS: this.#nowS + delayS, run };
    this.#waiting.push(entry);
    return () => {
      this.#waiting = this.#waiting.filter((other) => other !== entry);
    };
  };
  get waiting(): number {
    return this.#waiting.length;
  }
  pass(seconds: number): void {
    const endS = this.#nowS + seconds;
    for (;;) {
      const [first] = this.#waiting.toSorted((a, b) => a.atS - b.atS);
      if (first === undefined || first.atS > endS) break;
      this.#waiting = this.#waiting.filter((other) => other !== first);
      this.#nowS = Math.max(this.#nowS, first.atS);
      first.run();
    }
    this.#nowS = endS;
  }
  /** The machine sleeps: time goes by and nothing runs. */
  sleep(seconds: number): void {
    this.#nowS += seconds;
  }
}

function bell(everyS: number, heard: (nowS: number) => void): Actor {
  let nextAtS = everyS;
  return {
    nextAtS: () => nextAtS,
    act: (nowS) => {
      heard(nowS);
      nextAtS += everyS;
    },
  };
}

describe('the simulation', () => {
  test('acts in order of time, the earlier actor first where two are due, and advances the world in between', () => {
    const told: string[] = [];
    let world = 0;
    const simulation = new Simulation({ advance: (dtS) => (world += dtS) }, [
      bell(2, (t) => told.push(`a${t}/${world}`)),
      bell(3, (t) => told.push(`b${t}/${world}`)),
    ]);
    simulation.runUntil(6.5);
    expect(told).toEqual(['a2/2', 'b3/3', 'a4/4', 'a6/6', 'b6/6']);
    expect(simulation.nowS).toBe(6.5);
    expect(simulation.nextAtS()).toBe(8);
  });
});

describe('the pace of real time', () => {
  test('lets each act happen when it is due, from the moment of the start', () => {
    const timers = new HandTimers();
    const rung: number[] = [];
    const simulation = new Simulation({ advance: () => {} }, [bell(0.5, () => rung.push(timers.nowS() - 100))]);
    pace(simulation, timers);
    timers.pass(2.2);
    expect(rung).toHaveLength(4);
    for (const [i, t] of rung.entries()) expect(t).toBeCloseTo(0.5 * (i + 1), 6);
  });

  test('notices within 50 ms an actor woken from outside', () => {
    const timers = new HandTimers();
    let nextAtS = Number.POSITIVE_INFINITY;
    let actedAt = 0;
    const sleeper: Actor = {
      nextAtS: () => nextAtS,
      act: () => {
        actedAt = timers.nowS();
        nextAtS = Number.POSITIVE_INFINITY;
      },
    };
    const simulation = new Simulation({ advance: () => {} }, [sleeper]);
    pace(simulation, timers);
    timers.pass(30);
    nextAtS = simulation.nowS;
    timers.pass(1);
    expect(actedAt).toBeGreaterThanOrEqual(130);
    expect(actedAt).toBeLessThan(130.06);
  });

  test('does not make up for time in which the machine slept', () => {
    const timers = new HandTimers();
    let rung = 0;
    pace(new Simulation({ advance: () => {} }, [bell(0.5, () => (rung += 1))]), timers);
    timers.pass(1.1);
    timers.sleep(3600);
    timers.pass(1);
    expect(rung).toBeGreaterThanOrEqual(3);
    expect(rung).toBeLessThanOrEqual(6);
  });

  test('stops when told, leaving no timer', () => {
    const timers = new HandTimers();
    let rung = 0;
    const stop = pace(new Simulation({ advance: () => {} }, [bell(0.5, () => (rung += 1))]), timers);
    timers.pass(1.1);
    stop();
    expect(timers.waiting).toBe(0);
    timers.pass(5);
    expect(rung).toBe(2);
  });
});
