/** What was drawn: the benches of a report in a few lines. */
import type { BenchParameters } from '../../../simulators/seeded-bench/parameters.ts';
import type { BenchScore } from './one-bench.ts';
import { quantile, sum } from './summary.ts';

const DRAWN: readonly (readonly [string, (p: BenchParameters) => number])[] = [
  ['tolerance, mm', (p) => p.declared.toleranceMm],
  ['levels a second', (p) => 1 / p.gauge.intervalS],
  ['noise of a level, of the tolerance', (p) => noiseMm(p) / p.declared.toleranceMm],
  ['share of it that is correlated', ({ gauge }) => gauge.correlatedMm / Math.hypot(gauge.whiteMm, gauge.correlatedMm)],
  ['its correlation time, s', (p) => p.gauge.correlationS],
  ['ripple while the engine runs, of the tolerance', (p) => p.gauge.vibrationMm / p.declared.toleranceMm],
  ['step of the gauge, mm', (p) => p.gauge.resolutionMm],
  ['irregular timing, of the interval', (p) => p.gauge.jitter],
  ['wild values, %', (p) => 100 * p.gauge.wildShare],
  ['drop-outs, %', (p) => 100 * p.gauge.dropOutShare],
  ['lag of the probe, s', (p) => p.probe.lagS],
  ['temperatures a second', (p) => 1 / p.probe.intervalS],
  ['time constant of the warming, s', (p) => p.warmingS],
  ['time constant of drain-back, s', (p) => p.drainBackS],
  ['slosh, Hz', (p) => p.sloshHz],
  ['its decay, s', (p) => p.sloshDecayS],
  ['fluid in the circuit, L', (p) => p.circuitL],
];

export function mix(benches: readonly BenchScore[]): string {
  const three = (values: readonly number[]) =>
    [0.05, 0.5, 0.95].map((share) => Number(quantile(values, share).toPrecision(2))).join(' | ');
  const rows = DRAWN.map(([name, of]) => `| ${name} | ${three(benches.map(({ p }) => of(p)))} |`);
  const kinds = new Map<string, number>();
  for (const kind of benches.flatMap(({ happened }) => happened)) kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
  const happened = [...kinds].sort(([, a], [, b]) => b - a).map(([kind, count]) => `${kind} ${count}`);
  const gauges = ['echo-time', 'board-millimetres', 'float'].map(
    (kind) => `${benches.filter(({ p }) => p.gauge.kind === kind).length} ${kind}`,
  );
  const lastsS = sum(benches.map((bench) => bench.lastsS));
  const share = (s: number) => `${((100 * s) / lastsS).toFixed(0)} %`;
  return [
    `${(lastsS / 3600).toFixed(0)} hours, ${share(sum(benches.map(({ fitS }) => fitS)))} of them fit, ${share(sum(benches.map(({ unfitS }) => unfitS)))} unfit. Gauges: ${gauges.join(', ')}. Happenings: ${happened.join(', ')}.`,
    '',
    '| drawn | of 5 % of benches below | half below | 95 % below |',
    '|---|---|---|---|',
    ...rows,
  ].join('\n');
}

function noiseMm({ gauge }: BenchParameters): number {
  return Math.hypot(gauge.whiteMm, gauge.correlatedMm);
}
