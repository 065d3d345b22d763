/** A journal as long as wanted: a line with many columns, ten times a second. Only inputs: for what streams them. */
import type { BenchDescription, ChannelDescription } from '../../src/core/description.ts';
import type { Input } from '../../src/core/events.ts';
import { numericsProbe } from '../../src/core/numerics.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../../src/core/version.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { direct } from '../journal/direct.ts';
import { testBench } from '../support/bench.ts';
import { BEGAN_UTC_MS } from './recorded-bench.ts';

export const COLUMNS = 20;

const [, level] = testBench.channels as [ChannelDescription, ChannelDescription];
const names = Array.from({ length: COLUMNS }, (_, i) => `level-${i + 1}`);

const BENCH: BenchDescription = {
  ...testBench,
  instruments: [
    {
      id: 'rack',
      driver: 'columns',
      options: { separator: ';', columns: names, blanks: 'discard' },
      link: { kind: 'memory', name: 'rack' },
      intervalUs: 100_000,
    },
  ],
  channels: names.map((id) => ({ ...level, id, instrument: 'rack', signal: id, intervalUs: 100_000 })),
  measure: { ...testBench.measure, levelChannel: 'level-1', temperatureChannel: 'level-2' },
};

/** @returns how many samples it holds */
export function writeLong(path: string, samples: number): number {
  const d = direct(path, 1);
  const { carried } = d.writer.opened();
  let seq = 0;
  const input = (one: object): Entry => ({ kind: 'input', input: { ...one, seq: ++seq } as unknown as Input });
  const start = {
    ...{ kind: 'run-start', tUs: 0, run: 1, schema: SCHEMA_VERSION, algorithm: ALGORITHM_VERSION, software: 'test' },
    ...{ bench: BENCH, drivers: {}, numerics: numericsProbe(), calibrations: [], carried },
  };
  const wall = { kind: 'wall', tUs: 0, utcMs: BEGAN_UTC_MS, zone: 'Europe/Lisbon', offsetMin: 0, cause: 'start' };
  const link = {
    ...{ kind: 'link', tUs: 0, instrument: 'rack', state: 'open', reason: 'connected', connection: 1, detail: '' },
  };
  d.append({ run: 1, entries: [input(start), input(wall), input(link)], points: [] });
  const encoder = new TextEncoder();
  const frames = Math.ceil(samples / COLUMNS);
  for (let from = 0; from < frames; from += 100) {
    const entries = Array.from({ length: Math.min(100, frames - from) }, (_, i) => {
      const n = from + i;
      // Two values of each kind, so that none stands alone.
      const line = names.map((_, column) => (60 + column + ((n >> 1) % 7) / 100).toFixed(2)).join(';');
      const frame = { kind: 'frame', tUs: n * 100_000, instrument: 'rack', connection: 1, request: 0 };
      return input({ ...frame, bytes: encoder.encode(line) });
    });
    d.append({ run: 1, entries, points: [] });
    d.writer.flush();
  }
  d.close();
  return frames * COLUMNS;
}
