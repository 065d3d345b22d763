/** `stillwell budget bench.yaml`: how sure the next reading would be, what makes it unsure, and what would help most. */
import { drivers } from '../../drivers/index.ts';
import { loadCalibrations } from '../calibrations/folder.ts';
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import type { BenchDescription } from '../core/description.ts';
import { guardBand } from '../core/match/conformity.ts';
import { againstLevel, match } from '../core/match/difference.ts';
import { type Expected, expectedReading } from '../core/uncertainty/expected.ts';
import { plain, toldUncertainty } from '../core/uncertainty/rounding.ts';
import { type Worth, worthOf } from '../core/uncertainty/shrink.ts';
import { StillwellError } from '../errors.ts';
import type { DriverRegistry } from '../kit/driver.ts';
import type { Out } from './out.ts';
import { readBench } from './run.ts';

export interface BudgetOptions {
  /** mm; where the level would stand. */
  readonly level?: number;
  /** °C. */
  readonly temperature?: number;
}

/** Components that add less than this share of the variance are counted together. */
const WORTH_TELLING = 0.0005;

export function budget(file: string, options: BudgetOptions, out: Out, registry: DriverRegistry = drivers): number {
  const text = readBench(file);
  const loaded = loadBench(text, file, registry);
  if (!loaded.ok) throw new StillwellError('config-invalid', file, formatMistakes(file, text, loaded.mistakes));
  const { bench } = loaded;
  const place = { levelMm: options.level ?? null, temperatureC: options.temperature ?? null };
  const beyond = outside(bench, options);
  if (beyond !== null) {
    out.write(`${beyond}\n`);
    return 1;
  }
  const calibrations = loadCalibrations(file, bench);
  const expected = expectedReading(bench, place, calibrations);
  const { budget, U95Mm, coverageFactor, words, referenceC } = expected.reading;
  const worth = worthOf(budget);
  const told = worth.filter(({ share }) => share >= WORTH_TELLING);
  const rest = worth.length - told.length;
  const lines = [
    `${bench.name}: the next reading of ${bench.measure.levelChannel}`,
    '',
    ...assumptions(expected, bench, options),
    ...calibrations.map(({ channel, certificate }) => `  ${channel} calibrated by ${certificate.id}`),
    '',
    `${words.level} at ${plain(referenceC, 1)} °C, ${words.sure}`,
    `±${mm(U95Mm)} for about 95 %, ${figures(coverageFactor)} × ${mm(U95Mm / coverageFactor)} standard uncertainty`,
    '',
    ...table(told),
    ...(rest === 0 ? [] : [`and ${rest} more that add next to nothing`]),
    '',
    ...advice(told, U95Mm),
    ...matched(bench, expected),
  ];
  out.write(`${lines.join('\n')}\n`);
  return 0;
}

function outside({ channels, measure }: BenchDescription, { level, temperature }: BudgetOptions): string | null {
  for (const [id, value, unit] of [
    [measure.levelChannel, level, 'mm'],
    [measure.temperatureChannel, temperature, '°C'],
  ] as const) {
    const range = channels.find((channel) => channel.id === id)?.range;
    if (value === undefined || range === undefined || (value >= range.low && value <= range.high)) continue;
    return `${figures(value)} ${unit} is outside the range of the channel "${id}", ${figures(range.low)} to ${figures(range.high)} ${unit}.`;
  }
  return null;
}

function assumptions(expected: Expected, { measure }: BenchDescription, options: BudgetOptions): string[] {
  const { levelMm, temperatureC, noiseMm, values, others } = expected;
  const where =
    options.level === undefined && measure.match?.target == null ? ' (the middle of its range; --level)' : '';
  return [
    `Assumed: ready at ${plain(temperatureC, 1)} °C, the level at ${figures(levelMm)} mm as measured${where},`,
    ...(temperatureC < measure.window.lowC || temperatureC > measure.window.highC
      ? [
          `  (outside the window of ${figures(measure.window.lowC)} to ${figures(measure.window.highC)} °C: it is never ready there by itself)`,
        ]
      : []),
    'at rest, its temperature steady, and as noisy as a reading waits for:',
    `  noise of ${mm(noiseMm)} in each of ${values} values`,
    ...others.map(({ channel, value, unit }) => `  ${channel} at ${figures(value)}${unit === '' ? '' : ` ${unit}`}`),
  ];
}

function table(worth: readonly Worth[]): string[] {
  const head = ['component', 'stated', 'per unit', 'adds', 'share', '± halved', '± without'];
  const rows = worth.flatMap(({ lines, contributionMm, share, halvedU95Mm, goneU95Mm }) =>
    lines.map((one, index) => [
      one.component,
      `${figures(one.value)} ${unitSign(one.unit)} ${one.distribution}`.replace('  ', ' '),
      `${plain(one.sensitivity, 3)} mm`,
      ...(index === 0
        ? [mm(contributionMm), `${Math.round(100 * share)} %`, mm(halvedU95Mm), mm(goneU95Mm)]
        : ['with it', '', '', '']),
    ]),
  );
  const widths = head.map((title, i) => Math.max(title.length, ...rows.map((row) => (row[i] as string).length)));
  return [head, ...rows].map((row) =>
    row
      .map((cell, i) => (i < 2 ? cell.padEnd(widths[i] as number) : cell.padStart(widths[i] as number)))
      .join('  ')
      .trimEnd(),
  );
}

function advice([most]: readonly Worth[], U95Mm: number): string[] {
  if (most === undefined) return ['Nothing makes it unsure: are all uncertainties stated?'];
  const { component, share, halvedU95Mm, goneU95Mm, remedy } = most;
  return [
    `The largest: ${component}, ${Math.round(100 * share)} % of the variance.`,
    `Halving it makes ±${mm(U95Mm)} into ±${mm(halvedU95Mm)}, doing without it into ±${mm(goneU95Mm)}. Nothing else helps as much.`,
    `So: ${remedy}.`,
  ];
}

/** What a verdict could tell, from two such readings or from one and the fixed target. */
function matched({ measure }: BenchDescription, { reading }: Expected): string[] {
  const description = measure.match;
  if (description === null) return [];
  const found = match(reading, { ...reading, id: 2 }, description);
  if (!found.comparable) return [];
  const { target, toleranceMm, rule } = description;
  const difference = target === null ? found.difference : againstLevel(target, reading, description);
  const { uMm: u, degreesOfFreedom, U95Mm } = difference;
  const guardMm =
    rule.by === 'guard' ? rule.guardMm : guardBand({ u, degreesOfFreedom }, toleranceMm, rule.probability);
  const [most] = worthOf(difference.budget);
  return [
    '',
    `${target === null ? 'A match of two such readings' : 'Held against the fixed target'}: ±${mm(U95Mm)}; ±${figures(toleranceMm)} mm is allowed.`,
    guardMm === null || guardMm > toleranceMm
      ? 'No level would be sure to be within.'
      : `A level within ±${figures(toleranceMm - guardMm)} mm of the target is sure to be within.`,
    ...(most === undefined ? [] : [`Most of its doubt: ${most.component}. To tell more: ${most.remedy}.`]),
  ];
}

function mm(value: number): string {
  return `${toldUncertainty(value).text} mm`;
}

function figures(value: number): string {
  return String(Number(value.toPrecision(3)));
}

function unitSign(ucum: string): string {
  return ucum === '1' ? '' : ucum;
}
