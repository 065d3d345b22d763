/** Calibrations that give a correction: ice, boiling water, two points, several points; and refitting. */
import { readPoints } from '../calibrations/points-file.ts';
import type { CorrectionResult } from '../core/calibration/certificate.ts';
import { correctionFrom, refitFrom, type TakenPoint } from '../core/calibration/certify.ts';
import { boilingByAltitude, boilingByBarometer, type FixedPoint, icePoint } from '../core/calibration/fixed-points.ts';
import { evaluate, type PolynomialFit } from '../core/calibration/polynomial-fit.ts';
import { StillwellError } from '../errors.ts';
import { strictNumber } from '../kit/numbers.ts';
import { leastU, type Outcome, shown, shownUnit, stepUnit, type Taking, takePoint, withU } from './calibrate-take.ts';
import { introduction } from './calibrate-words.ts';
import { numberFor } from './talk.ts';

export async function fixedPoint(taking: Taking, kind: 'ice-point' | 'boiling-point'): Promise<Outcome> {
  const { channel, talk, options } = taking;
  if (channel.quantity !== 'temperature')
    throw new StillwellError('calibration-impossible', channel.id, 'ice and boiling water are for temperatures');
  const point = kind === 'ice-point' ? icePoint() : await boiling(taking);
  talk.write(`The reference is ${shown(point.tC)} °C ± ${point.uK.toPrecision(2)} K (${point.name}).\n`);
  const taken: TakenPoint[] =
    options.points === undefined
      ? [of(point.tC, 0, await takePoint(taking, 'The probe stands in it.'))]
      : readPoints(options.points, ['indicated'], ['u-indicated', 'count']).map((row) => fromRow(row, point.tC, 0));
  return correction(taking, taken, options.degree ?? 0, { name: point.name, u: point.uK });
}

async function boiling({ options, talk }: Taking): Promise<FixedPoint> {
  const { pressure, altitude, pressureU = 0.1 } = options;
  if (pressure !== undefined) return boilingByBarometer(pressure, pressureU);
  if (altitude !== undefined) return boilingByAltitude(altitude);
  const answer = await talk.ask('Air pressure of a barometer on the spot, kPa (empty: by altitude): ');
  const kPa = answer === null ? null : strictNumber(answer);
  if (kPa !== null) return boilingByBarometer(kPa, pressureU);
  const m = await numberFor(talk, 'Altitude, m', { value: undefined, option: '--pressure or --altitude' });
  return boilingByAltitude(m);
}

export async function severalPoints(taking: Taking, kind: 'two-point' | 'n-point'): Promise<Outcome> {
  const { options, channel, talk } = taking;
  const optional = ['u-reference', 'u-indicated', 'count'] as const;
  const taken =
    options.points === undefined
      ? await takeSeveral(taking, kind)
      : readPoints(options.points, ['reference', 'indicated'], optional).map((row) =>
          fromRow(row, row.reference, row['u-reference'] ?? 0),
        );
  const different = new Set(taken.map(({ reference }) => reference)).size;
  if (kind === 'two-point' && different !== 2)
    throw new StillwellError(
      'calibration-impossible',
      channel.id,
      `two different references are needed, not ${different}`,
    );
  const name = options.reference ?? ((await talk.ask('Reference standard (what it is, its number): ')) || 'not stated');
  return correction(taking, taken, options.degree ?? 1, { name, u: options.referenceU ?? 0 });
}

async function takeSeveral(taking: Taking, kind: 'two-point' | 'n-point'): Promise<TakenPoint[]> {
  const { talk, channel } = taking;
  const taken: TakenPoint[] = [];
  const unit = shownUnit(channel);
  const water = channel.quantity === 'temperature' ? ', or "ice" or "boiling"' : '';
  while (kind === 'n-point' || taken.length < 2) {
    const end = kind === 'n-point' && taken.length >= 2 ? ', empty when done' : '';
    const answer = await talk.ask(`Point ${taken.length + 1}: value of the reference, ${unit}${water}${end}: `);
    if (answer === null || (answer === '' && end !== '')) break;
    if (water !== '' && (answer === 'ice' || answer === 'boiling')) {
      const { tC, uK, name } = answer === 'ice' ? icePoint() : await boiling(taking);
      talk.write(`  ${introduction(answer === 'ice' ? 'ice-point' : 'boiling-point')}`);
      taken.push(of(tC, uK, await takePoint(taking, `  The probe stands in it: ${withU(tC, uK)} °C (${name}).`)));
      continue;
    }
    const reference = strictNumber(answer.replace(/^−/, '-'));
    if (reference === null) {
      talk.write('A plain number is expected, such as 12.5\n');
      continue;
    }
    const given = { value: undefined, option: '--points', otherwise: 0 };
    const u = await numberFor(talk, `  its own standard uncertainty, ${stepUnit(channel)}`, given);
    taken.push(
      of(reference, Math.abs(u), await takePoint(taking, `  Reference and instrument at ${reference} ${unit}.`)),
    );
  }
  return taken;
}

/** Straight from the fit to what is written and said. */
function correction(
  taking: Taking,
  taken: readonly TakenPoint[],
  degree: number,
  reference: { readonly name: string; readonly u: number },
): Outcome {
  const { channel, before } = taking;
  const { result, points, fit } = correctionFrom(taken, degree, before.correction, leastU(taking, false));
  refuseReversed(channel.id, points, result);
  const unit = stepUnit(channel);
  const rows = points.map(
    (point) =>
      `  ${shown(point.reference).padStart(10)} ${shown(point.indicated).padStart(10)} ${signed(point.asFound ?? 0)} ${signed(point.asLeft)}`,
  );
  return {
    reference,
    points,
    result,
    caution: startling(points, channel.standardUncertainty, unit),
    words: [
      ` reference  indicated   as found    as left   (${shownUnit(channel)}; errors in ${unit})`,
      ...rows,
      `Correction to be added, x as indicated: ${polynomial(fit)}`,
      ...goodness(fit, unit),
      ...(degree === 0 ? ['This moves the zero only: away from this point the instrument may err otherwise.'] : []),
    ],
  };
}

/** An instrument that falls while the reference rises is wired, read or typed wrongly; no curve mends that. */
function refuseReversed(id: string, points: Outcome['points'], result: CorrectionResult): void {
  const at = (x: number) => evaluate(result, result.coefficients, x);
  const [low, high] = [at(result.low), at(result.high)];
  const rises = result.high + high.value > result.low + low.value && low.slope > -1 && high.slope > -1;
  if (points.length < 2 || result.low === result.high || rises) return;
  throw new StillwellError(
    'calibration-impossible',
    id,
    'the corrected value would fall where the instrument rises: look whether columns or points are interchanged',
  );
}

/** So many of the instrument's own uncertainties are no correction but another instrument, or a slip. */
const STARTLING = 20;

function startling(points: Outcome['points'], statedU: number, unit: string): string | null {
  const most = Math.max(...points.map(({ asLeft, asFound }) => Math.max(Math.abs(asLeft), Math.abs(asFound ?? 0))));
  return most > STARTLING * statedU
    ? `Caution: an error of ${shown(most)} ${unit} on an instrument stated at ${shown(statedU)} ${unit}. Look at the points, the columns and the channel before this is kept.`
    : null;
}

function polynomial({ plain, plainU }: PolynomialFit): string {
  const term = (value: number, j: number): string => {
    const size = `(${withU(value, plainU[j] ?? 0)})`;
    return j === 0 ? size : `${size} x${j === 1 ? '' : ['²', '³', '⁴'][j - 2]}`;
  };
  return plain.map(term).join(' + ');
}

function goodness(fit: PolynomialFit, unit: string): string[] {
  const { residualSd, scatterDegreesOfFreedom: nu, widened, lackOfFit } = fit;
  const lines: string[] = [];
  if (residualSd === null)
    lines.push('As many points as coefficients: nothing is left over to show whether the curve fits.');
  else
    lines.push(
      `Residual standard deviation ${shown(residualSd)} ${unit}, ${nu} ${nu === 1 ? 'degree' : 'degrees'} of freedom.`,
    );
  if (widened > 1)
    lines.push(
      `The points scatter ${shown(widened)} times more than their own uncertainties allow: the result is widened by that.`,
    );
  if (lackOfFit !== null) {
    const { F, above, below, p } = lackOfFit;
    const test = `lack of fit F(${above}, ${below}) = ${shown(F)}, probability ${shown(p)}`;
    lines.push(
      p < 0.05
        ? `The points do not lie on this curve: ${test}. Look at them, or take a higher --degree.`
        : `The curve fits: ${test}.`,
    );
  }
  return lines;
}

export async function refit(taking: Taking): Promise<Outcome> {
  const { options, channel, talk } = taking;
  const values: number[] = [];
  if (options.points === undefined) {
    for (;;) {
      const answer = values.length < 2 ? '' : await talk.ask('Once more? Enter, or "done": ');
      if (answer === null || (answer !== '' && values.length >= 2)) break;
      values.push((await takePoint(taking, `Fitting ${values.length + 1}: off, on again, at rest.`)).mean);
    }
  } else values.push(...readPoints(options.points, ['indicated'], []).map(({ indicated }) => indicated));
  const result = refitFrom(values);
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return {
    reference: { name: options.reference ?? 'mean of the fittings', u: 0 },
    points: values.map((indicated) => ({
      reference: mean,
      uReference: 0,
      indicated,
      uIndicated: 0,
      count: 1,
      asFound: null,
      asLeft: indicated - mean,
    })),
    result,
    words: [
      `One fitting scatters by ${shown(result.sd)} ${stepUnit(channel)} (standard deviation of ${values.length}, ${result.degreesOfFreedom} degrees of freedom).`,
      'It counts in every reading, and does not cancel between two readings.',
    ],
  };
}

function fromRow(
  row: { readonly indicated: number; readonly 'u-indicated': number | null; readonly count: number | null },
  reference: number,
  uReference: number,
): TakenPoint {
  const taken = { mean: row.indicated, u: row['u-indicated'] ?? 0, count: wholeCount(row.count) };
  return of(reference, uReference, taken);
}

export function wholeCount(count: number | null): number {
  if (count === null) return 1;
  if (!Number.isInteger(count) || count < 1) throw new RangeError(`a count is a whole number from 1, not ${count}`);
  return count;
}

function of(
  reference: number,
  uReference: number,
  { mean, u, count }: { mean: number; u: number; count: number },
): TakenPoint {
  return { reference, uReference, indicated: mean, uIndicated: u, count };
}

function signed(value: number): string {
  return `${value < 0 ? '−' : '+'}${shown(Math.abs(value))}`.padStart(10);
}
