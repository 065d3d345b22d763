import { describe, expect, test } from 'vitest';
import type { BenchDescription } from '../../src/core/description.ts';
import { machineOn, machineWords, watchCircuit } from '../../src/core/machine.ts';
import { vesselOf } from '../../src/core/vessels/vessel.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig, noise } from '../support/core-rig.ts';
import { OIL } from './fluids/oils.ts';
import { TAPERED } from './vessels/vessels.ts';

const bench: BenchDescription = {
  ...testBench,
  fluid: OIL,
  vessel: TAPERED,
  circuit: {
    states: [
      { id: 'shut', litres: 1.4, uLitres: 0.1 },
      { id: 'open', litres: 2.0, uLitres: 0.1 },
    ],
    wall: null,
    temperatureChannel: null,
    uTemperatureK: 4,
    opens: { lowC: 47, highC: 49 },
  },
  machineStates: ['idling in park', 'idling in neutral'],
  measure: { ...testBench.measure, compensation: { kind: 'vessel-and-fluid' } },
};
const dropMm = 0.6 / vesselOf(TAPERED).litresAt(52, 48).derivative;

describe('a circuit that opens', () => {
  const shut = { stated: null, circuit: 'shut' };
  const open = { stated: null, circuit: 'open' };

  test('is recognised by the fall of the level at its temperature', () => {
    const watch = { baseMm: null };
    expect(watchCircuit(bench, shut, watch, { mm: 52, temperatureC: 44 })).toBeNull();
    expect(watchCircuit(bench, shut, watch, { mm: 52.2, temperatureC: 47.5 })).toBeNull();
    expect(watchCircuit(bench, shut, watch, { mm: 52 - dropMm, temperatureC: 48 })).toEqual({
      to: 'open',
      cause: 'level-fell',
    });
  });

  test('shuts again on cooling, with the rise', () => {
    const watch = { baseMm: null };
    expect(watchCircuit(bench, open, watch, { mm: 44, temperatureC: 55 })).toBeNull();
    expect(watchCircuit(bench, open, watch, { mm: 44 + dropMm, temperatureC: 46 })).toEqual({
      to: 'shut',
      cause: 'level-rose',
    });
  });

  test.each([
    ['colder than it opens', 45, -1],
    ['by a rise', 48, 1],
    ['by too little', 48, -0.3],
    ['by far too much: somebody drains', 48, -3],
  ])('is not %s', (_, temperatureC, drops) => {
    const watch = { baseMm: null };
    watchCircuit(bench, shut, watch, { mm: 52, temperatureC: 44 });
    expect(watchCircuit(bench, shut, watch, { mm: 52 + drops * dropMm, temperatureC })).toBeNull();
  });
});

describe('through the core', () => {
  function rigged(on: BenchDescription = bench): CoreRig {
    const rig = new CoreRig(on);
    rig.open('probe');
    rig.open('sonar');
    return rig;
  }
  const random = noise(23);
  const act = (
    rig: CoreRig,
    body: Parameters<CoreRig['admit']>[0] extends infer I
      ? Extract<I, { kind: 'action' }> extends { body: infer B }
        ? B
        : never
      : never,
    revision: number,
  ) =>
    rig.admit({
      kind: 'action',
      actionId: `act-${rig.seq}-long`,
      actor: 'Ada',
      role: 'technician',
      expectedRevision: revision,
      body,
    });

  test('readings before and after the opening name their states', () => {
    const rig = rigged();
    // Warms slowly through the window; the level falls within a second when the cooler opens at 48 °C.
    const at = (t: number) => 44 + t * 0.06;
    rig.run(140, at, (t) => 52 + 0.02 * random() - (at(t) > 48 ? dropMm : 0));
    expect(rig.outcomes('machine').map(({ machine, cause }) => [machine.circuit, cause])).toEqual([
      ['open', 'level-fell'],
    ]);
    const states = rig.outcomes('reading').map(({ reading }) => reading.machineState);
    expect(states[0]).toBe('not stated, shut');
    expect(states.at(-1)).toBe('not stated, open');
  });

  test('a person states it in the words of the bench', () => {
    const rig = rigged();
    act(rig, { type: 'state-machine', state: 'flying' }, 0);
    expect(rig.outcomes('action').at(-1)?.refusal).toBe('no-such-state');
    act(rig, { type: 'state-machine', state: 'idling in park' }, 0);
    expect(rig.outcomes('machine').at(-1)).toMatchObject({
      machine: { stated: 'idling in park', circuit: 'shut' },
      cause: 'stated',
    });
    rig.run(
      40,
      () => 50,
      () => 52 + 0.02 * random(),
    );
    expect(rig.outcomes('reading')[0]?.reading.machineState).toBe('idling in park, shut');
  });

  test('with first-reading, readings of a job are brought to the temperature of its first', () => {
    const on = { ...bench, circuit: null, measure: { ...bench.measure, referenceFrom: 'first-reading' as const } };
    const rig = rigged(on);
    act(rig, { type: 'start-job', label: 'sump 2' }, 0);
    const at = (t: number) => 46.2 + t * 0.02;
    rig.run(40, at, () => 52 + 0.02 * random());
    const first = rig.outcomes('reading')[0]?.reading;
    expect(first?.referenceC).toBe(first?.temperatureC);
    expect(first?.levelMm).toBeCloseTo(first?.rawLevelMm ?? 0, 1);
    const job = rig.state?.carried.job;
    expect(job?.referenceC).toBe(first?.referenceC);
    rig.run(
      60,
      (t) => at(40 + t),
      () => 52 + 0.02 * random(),
    );
    act(rig, { type: 'take-reading' }, 1);
    const second = rig.outcomes('reading').at(-1)?.reading;
    expect(second?.referenceC).toBe(first?.referenceC);
    expect(second?.temperatureC).toBeGreaterThan((first?.temperatureC ?? 0) + 0.5);
    expect(second?.levelMm).toBeLessThan(second?.rawLevelMm ?? 0);
  });

  test('a warm-up is told once with what it taught, and readings use it where the bench says so', () => {
    const until = { kind: 'slope', mmPerK: 0.4, uMmPerK: 0.2 } as const;
    const on = {
      ...bench,
      circuit: null,
      measure: { ...bench.measure, compensation: { kind: 'learned', until } as const },
    };
    const rig = rigged(on);
    const at = (t: number) => Math.min(30 + 0.15 * t, 51);
    rig.run(200, at, (t) => 52 + 0.11 * (at(t) - 50) + 0.05 * random());
    const told = rig.outcomes('slope');
    expect(told).toHaveLength(1);
    expect(told[0]).toMatchObject({ refusal: null, inUse: true });
    expect(told[0]?.learned?.mmPerK).toBeCloseTo(0.11, 2);
    // The pan and its oil rise by 0.04 mm/K: the gauge does more, and that is said.
    expect(told[0]?.agrees).toBe(false);
    const reading = rig.outcomes('reading')[0]?.reading;
    expect(reading?.budget.find(({ component }) => component === 'compensation slope')?.u).toBe(
      told[0]?.learned?.uMmPerK,
    );
  });
});

test('the words of a state, and what a new run keeps of it', () => {
  expect(machineWords({ stated: null, circuit: null })).toBe('not stated');
  expect(machineWords({ stated: 'idling in park', circuit: 'open' })).toBe('idling in park, open');
  expect(machineOn(bench, { stated: 'idling in park', circuit: 'open' })).toEqual({
    stated: 'idling in park',
    circuit: 'open',
  });
  expect(machineOn(bench, { stated: 'of another bench', circuit: 'gone' })).toEqual({
    stated: null,
    circuit: 'shut',
  });
});
