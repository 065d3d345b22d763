/** One bench for the eye: a line for every change of truth and of each detector. */
import { GRID_S } from '../../../simulators/seeded-bench/world.ts';
import type { Evaluated } from './one-bench.ts';
import { type Cause, judgeMoment } from './truth.ts';

const STRIP_CHARS = 100;
const LETTERS: Readonly<Record<Cause, string>> = {
  temperature: 't',
  level: 'l',
  air: 'a',
  stuck: 'k',
  'stuck unseen': 'u',
  saturated: 'x',
  slosh: 's',
  blind: 'b',
};

export function timeline({ bench, played, truth, oracle, score }: Evaluated): string {
  const { p } = bench;
  const lines: string[] = [
    JSON.stringify(p, (_, value) => (typeof value === 'number' ? Number(value.toPrecision(4)) : value), 1),
  ];
  const strip = (name: string, on: (tS: number) => string) =>
    lines.push(
      `${name.padEnd(8)}${Array.from({ length: STRIP_CHARS }, (_, i) => on(((i + 0.5) / STRIP_CHARS) * truth.lastsS)).join('')}`,
    );
  const within = (spans: readonly (readonly [number, number])[], tS: number) =>
    spans.some(([from, to]) => tS >= from && tS < to);
  strip('truth', (tS) => {
    const { fit, unfit } = judgeMoment(bench, Math.round(tS / GRID_S));
    return fit ? '#' : unfit === null ? '.' : LETTERS[unfit];
  });
  strip('window', (tS) => (within(played.window, tS) ? '#' : ' '));
  strip('oracle', (tS) => (within(oracle, tS) ? '#' : ' '));
  strip('ours', (tS) => (within(played.ready, tS) ? '#' : ' '));
  lines.push(
    '',
    `fit #, between ., unfit: ${Object.entries(LETTERS)
      .map(([cause, letter]) => `${letter} ${cause}`)
      .join(', ')}`,
    '',
  );
  const events: [number, string][] = [];
  for (const happening of bench.happenings) {
    const { kind, atS, ...rest } = happening;
    events.push([
      atS,
      `happens: ${kind} ${JSON.stringify(rest, (_, v) => (typeof v === 'number' ? Number(v.toFixed(2)) : v))}`,
    ]);
  }
  for (const [from, to] of truth.fit) events.push([from, `fit for ${(to - from).toFixed(1)} s`]);
  for (const { span, cause } of truth.unfit.flatMap(({ parts }) => parts))
    events.push([span[0], `unfit (${cause}) for ${(span[1] - span[0]).toFixed(1)} s`]);
  for (const [from, to] of oracle)
    if (to - from > 1) events.push([from, `oracle ready for ${(to - from).toFixed(1)} s`]);
  for (const [from, to] of played.ready) events.push([from, `ours ready for ${(to - from).toFixed(1)} s`]);
  for (const { tS, why } of played.shut) events.push([tS, `ours shut: ${why.join(', ')}`]);
  for (const { tS, reading } of played.readings)
    events.push([tS, `reading ${reading.levelMm.toFixed(3)} ± ${reading.U95Mm.toFixed(3)} mm`]);
  events.sort((a, b) => a[0] - b[0]);
  for (const [tS, what] of events) lines.push(`${tS.toFixed(2).padStart(9)}  ${what}`);
  lines.push('', `first reading: ${JSON.stringify(score.reading)}`);
  lines.push(
    `delays from fit, ours (oracle): ${score.oraclesS.map((s, i) => `${score.ours.delaysS[i]?.toFixed(1) ?? 'never'} (${s.toFixed(1)})`).join(', ')}`,
    `false: ${score.ours.falseS.toFixed(2)} s ${JSON.stringify(score.ours.falseByCause)}`,
  );
  return `${lines.join('\n')}\n`;
}
