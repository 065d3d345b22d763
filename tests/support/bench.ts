/** A small bench for tests of the core: two text instruments on memory links. Figures of our own. */
import type { BenchDescription } from '../../src/core/description.ts';
import type { LawDescription } from '../../src/core/laws/law-of.ts';

/** A number that comes in the unit that it is kept in. */
export function identity(unit: string): LawDescription {
  return { kind: 'linear', gain: 1, offset: 0, signalUnit: unit, unit, validSignal: { low: -1e12, high: 1e12 } };
}

export const testBench: BenchDescription = {
  name: 'Test bay',
  instruments: [
    {
      id: 'probe',
      driver: 'pattern',
      options: { pattern: 'T={temp} C{...}' },
      link: { kind: 'memory', name: 'probe' },
      intervalUs: 500_000,
    },
    {
      id: 'sonar',
      driver: 'columns',
      options: { separator: ';', columns: ['_', 'level', '_', '_'], blanks: 'discard' },
      link: { kind: 'memory', name: 'sonar' },
      intervalUs: 200_000,
    },
  ],
  channels: [
    {
      id: 'temperature',
      instrument: 'probe',
      signal: 'temp',
      quantity: 'temperature',
      law: identity('Cel'),
      context: {},
      resolution: 0.01,
      standardUncertainty: 0.3,
      range: { low: -20, high: 150 },
      intervalUs: 500_000,
      sentinels: [],
      echo: null,
    },
    {
      id: 'level',
      instrument: 'sonar',
      signal: 'level',
      quantity: 'length',
      law: identity('mm'),
      context: {},
      resolution: 0.01,
      standardUncertainty: 0.1,
      range: { low: 5, high: 200 },
      intervalUs: 200_000,
      sentinels: [],
      echo: null,
    },
  ],
  measure: {
    levelChannel: 'level',
    temperatureChannel: 'temperature',
    window: { lowC: 46, highC: 54, hysteresisK: 0.3 },
    referenceC: 50,
    referenceFrom: 'bench',
    compensation: { kind: 'slope', mmPerK: 0.25, uMmPerK: 0.03 },
    match: null,
    probeLag: { s: 0, uS: 0 },
    steady: { toleranceMm: 1, confidence: 0.99, wavesMm: 1.5, settlingUs: 20_000_000, longestUs: 120_000_000 },
  },
  fluid: null,
  vessel: null,
  circuit: null,
  machineStates: [],
};
