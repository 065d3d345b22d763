/** A bench file without mistakes, ways to break it, and what is said then. */
import { loadBench } from '../../src/config/load.ts';
import { REGISTRY } from './drivers.ts';

export const BENCH = `bench: East hall
instruments:
  probe:
    driver: pattern
    link: { serial: /dev/ttyACM0, baud: 115200 }
    every: 500 ms
    pattern: "T={temp} C"
  gauge:
    driver: columns
    link: { tcp: "192.0.2.7:4001" }
    every: 200 ms
    separator: semicolon
    columns: [level, quality]
channels:
  oil:
    from: probe.temp
    unit: °C
    uncertainty: 0.3 K
    range: -20 °C to 150 °C
  depth:
    from: gauge.level
    unit: mm
    resolution: 0.01 mm
    uncertainty: 0.1 mm
measure:
  level: depth
  temperature: oil
  window: 46 °C to 54 °C
  reference: 50 °C
  compensation: { slope: 0.25 mm/K, uncertainty: 0.03 mm/K }
  steady:
    settling: 6 s
    tolerance: 1.2 mm
    longest: 2 min
`;

export type Change = readonly [from: string, to: string];

/** The bench with pieces of text replaced; each piece must be there. */
export function broken(...changes: readonly Change[]): string {
  return changes.reduce((text, [from, to]) => {
    if (!text.includes(from)) throw new Error(`not in the text: ${from}`);
    return text.replace(from, to);
  }, BENCH);
}

/** What is broken, by which changes, and what is to be told of it. */
export type Row = readonly [name: string, changes: readonly Change[], told: readonly string[]];

/** Each mistake as `line:column words: expected → nearest`. */
export function tell(text: string): string[] {
  const loaded = loadBench(text, '/bay/bench.yaml', REGISTRY);
  if (loaded.ok) return [];
  return loaded.mistakes.map(({ line, column, words, expected, nearest }) => {
    return `${line}:${column} ${words}: ${expected}${nearest === null ? '' : ` → ${nearest}`}`;
  });
}
