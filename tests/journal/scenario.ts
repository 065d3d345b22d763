/** Invented runs for the tests of the journal: seeded, in the shape that a bench would write. */
import { NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { BenchDescription } from '../../src/core/description.ts';
import type { Input, InputOf, Outcome, OutcomeBody, Reading } from '../../src/core/events.ts';
import { line, normal, scatter } from '../../src/core/uncertainty/line.ts';
import type { Entry, EnvelopePoint, Opened } from '../../src/journal/contract.ts';

export const BENCH: BenchDescription = {
  name: 'test vessel',
  instruments: [
    {
      id: 'level',
      driver: 'text-columns',
      options: { delimiter: ' ' },
      link: { kind: 'memory', name: 'level' },
      intervalUs: 100_000,
    },
  ],
  channels: [],
  measure: {
    levelChannel: 'level',
    temperatureChannel: 'oil',
    window: { lowC: 40, highC: 45, hysteresisK: 0.5 },
    referenceC: 40,
    referenceFrom: 'bench',
    compensation: { kind: 'slope', mmPerK: 0.31, uMmPerK: 0.02 },
    match: null,
    probeLag: { s: 6, uS: 1.5 },
    steady: { toleranceMm: 0.4, confidence: 0.99, wavesMm: 0.6, settlingUs: 20_000_000, longestUs: 120_000_000 },
  },
  fluid: null,
  vessel: null,
  circuit: null,
  machineStates: [],
};

/** Repeatable numbers in [0, 1): a linear congruential generator, good enough to choose places and lengths. */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 0x1_0000_0000;
  };
}

export const FIRST_UTC_MS = Date.UTC(2024, 5, 3, 9, 30);

export interface Turn {
  readonly run: number;
  readonly entries: Entry[];
  readonly points: EnvelopePoint[];
}

/** Makes turns (what a bench appends at once) that continue where the journal stands. */
export class Scenario {
  run: number;
  seq: number;
  event: number;
  tUs = 0;
  private revision: number;
  private readings: number;
  private readonly random: () => number;

  constructor(seed: number, opened: Pick<Opened, 'lastRun' | 'lastSeq' | 'carried'>) {
    this.random = seeded(seed);
    this.run = opened.lastRun;
    this.seq = opened.lastSeq;
    this.event = opened.carried.lastEvent;
    this.revision = opened.carried.revision;
    this.readings = opened.carried.lastReadingId;
  }

  /** Run start, its first outcome, then the wall anchor: what stands before the anchor is dated by it. */
  startRun(opened?: Pick<Opened, 'carried'>): Turn {
    this.run += 1;
    this.tUs = 0;
    const start = {
      kind: 'run-start',
      run: this.run,
      schema: 1,
      algorithm: 1,
      software: 'test 0',
      bench: BENCH,
      drivers: { 'text-columns': 'aa'.repeat(32) },
      numerics: 'probe',
      carried: opened?.carried ?? NOTHING_CARRIED,
      calibrations: [],
    } satisfies Omit<InputOf<'run-start'>, 'seq' | 'tUs'>;
    const entries = [
      this.input(start),
      this.outcome({ kind: 'ready', ready: false, shut: ['fresh', 'record'], numbers: null }),
    ];
    entries.push(this.wall('start', FIRST_UTC_MS + this.run * 86_400_000));
    return { run: this.run, entries, points: [] };
  }

  wall(cause: InputOf<'wall'>['cause'], utcMs: number): Entry {
    return this.input({ kind: 'wall', utcMs, zone: 'Europe/Lisbon', offsetMin: 60, cause });
  }

  /** Some frames, `stepUs` apart, with their points. */
  frames(count: number, stepUs = 5000): Turn {
    const entries: Entry[] = [];
    const points: EnvelopePoint[] = [];
    for (let i = 0; i < count; i += 1) {
      this.tUs += stepUs;
      const value = 120 + this.random();
      const bytes = Buffer.from(`L=${value.toFixed(3)} mm`);
      entries.push(this.input({ kind: 'frame', instrument: 'level', connection: 1, bytes, request: 0 }));
      points.push({ channel: 'level', run: this.run, tUs: this.tUs, value });
    }
    return { run: this.run, entries, points };
  }

  /** An action that makes a reading: two outcomes of one input. */
  reading(actionId = `action-${this.run}-${this.seq}`): Turn {
    this.tUs += 1000;
    const request = { actionId, actor: 'page', role: 'technician', body: { type: 'take-reading' } } as const;
    const asked = this.input({ kind: 'action', ...request, expectedRevision: this.revision });
    this.revision += 1;
    this.readings += 1;
    const reading = this.readingOf(this.readings);
    const entries = [
      asked,
      this.outcome({ kind: 'action', ...request, accepted: true, refusal: null, revision: this.revision }),
      this.outcome({ kind: 'reading', reading }),
    ];
    return { run: this.run, entries, points: [] };
  }

  private readingOf(id: number): Reading {
    return {
      id,
      cause: 'asked',
      job: null,
      levelMm: 118 + this.random(),
      referenceC: 40,
      U95Mm: 0.21,
      coverageFactor: 2.05,
      budget: [
        line('noise', scatter(0.04, 'mm', 17)),
        line('slope', normal(0.02, 'mm/K'), { sensitivity: -2.5, shared: 'compensation slope' }),
      ],
      words: { level: '118.4 mm', sure: 'sure to three tenths of a millimetre' },
      basis: {
        levelChannel: 'level',
        temperatureChannel: 'temperature',
        compensation: 'slope 0.1 mm/K',
        calibrations: [],
      },
      rawLevelMm: 119 + this.random(),
      temperatureC: 42.5,
      volumeL: null,
      volumeU95L: null,
      machineState: 'stopped',
      used: 18,
      setAside: 1,
      firstSeq: Math.max(1, this.seq - 20),
      lastSeq: this.seq,
      fromUs: Math.max(0, this.tUs - 10_000_000),
      toUs: this.tUs,
    };
  }

  input<T extends { kind: Input['kind'] }>(body: T): Entry {
    this.seq += 1;
    return { kind: 'input', input: { ...body, seq: this.seq, tUs: this.tUs } as unknown as Input };
  }

  outcome(body: OutcomeBody): Entry {
    this.event += 1;
    const stamp = { event: this.event, run: this.run, algorithm: 1, seq: this.seq, tUs: this.tUs };
    return { kind: 'outcome', outcome: { ...body, ...stamp } as Outcome };
  }
}

/** Entries as they must come back: frames as plain Uint8Array. */
export function asKept(entries: readonly Entry[]): Entry[] {
  return entries.map((entry) =>
    entry.kind === 'input' && (entry.input.kind === 'frame' || entry.input.kind === 'discard')
      ? { kind: 'input', input: { ...entry.input, bytes: new Uint8Array(entry.input.bytes) } }
      : entry,
  );
}
