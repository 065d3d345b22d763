/** The bench file of the demonstration as a description, its boards on memory links. */
import { drivers } from '../../drivers/index.ts';
import { demoBench } from '../../simulators/demo-bench.ts';
import { loadBench } from '../../src/config/load.ts';
import type { BenchDescription } from '../../src/core/description.ts';

const nowhere = { kind: 'tcp', host: '127.0.0.1', port: 1 } as const;
const loaded = loadBench(demoBench(nowhere, nowhere), '/demo/bench.yaml', drivers);
if (!loaded.ok) throw new Error(JSON.stringify(loaded.mistakes));

export const demoDescription: BenchDescription = {
  ...loaded.bench,
  instruments: loaded.bench.instruments.map((instrument) => ({
    ...instrument,
    link: { kind: 'memory', name: instrument.id },
  })),
};
