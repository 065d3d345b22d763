/** Calibrations of echo sensors: speed of sound and dead time in the fluid, dead time on a block. */
import { readPoints } from '../calibrations/points-file.ts';
import type { CalibrationPoint } from '../core/calibration/certificate.ts';
import { symmetric } from '../core/calibration/certify.ts';
import { deadTimeOnBlock, type EchoPoint, fitEchoes } from '../core/calibration/echo-fit.ts';
import { StillwellError } from '../errors.ts';
import { strictNumber } from '../kit/numbers.ts';
import { echoOf, leastU, type Outcome, shown, type Taking, takePoint, withU } from './calibrate-take.ts';
import { numberFor, type Talk } from './talk.ts';

const LENGTH_COLUMNS = { needed: ['length-mm', 'echo-us'], optional: ['u-length-mm', 'u-echo-us'] } as const;
const TYPICAL_U_C = 0.5;

export async function echoesOverLengths(taking: Taking): Promise<Outcome> {
  throughFluid(taking);
  const { options, talk } = taking;
  const points =
    options.points === undefined
      ? await takeLengths(taking)
      : readPoints(options.points, LENGTH_COLUMNS.needed, LENGTH_COLUMNS.optional).map((row) => ({
          lengthMm: row['length-mm'],
          uLengthMm: row['u-length-mm'] ?? 0,
          echoUs: row['echo-us'],
          uEchoUs: row['u-echo-us'] ?? leastU(taking, true),
        }));
  const name = options.reference ?? ((await talk.ask('What the lengths were measured with: ')) || 'not stated');
  return speedFrom(taking, points, options.referenceU ?? 0, name);
}

async function takeLengths(taking: Taking): Promise<EchoPoint[]> {
  const { talk } = taking;
  const points: EchoPoint[] = [];
  for (;;) {
    const end = points.length >= 2 ? ', empty when done' : '';
    const answer = await talk.ask(
      `Length ${points.length + 1} from the face of the sensor to the reflector, mm${end}: `,
    );
    if (answer === null || (answer === '' && end !== '')) return points;
    const lengthMm = strictNumber(answer);
    if (lengthMm === null || lengthMm <= 0) {
      talk.write('A length above 0 is expected, such as 60\n');
      continue;
    }
    const u = await numberFor(talk, '  its standard uncertainty, mm', {
      value: undefined,
      option: '--points',
      otherwise: 0.1,
    });
    const { mean, u: uEchoUs } = await takePoint(taking, `  The reflector stands ${lengthMm} mm away.`, true);
    points.push({ lengthMm, uLengthMm: Math.abs(u), echoUs: mean, uEchoUs });
  }
}

export async function successiveEchoes(taking: Taking): Promise<Outcome> {
  throughFluid(taking);
  const { options, talk, channel } = taking;
  const lengthMm = await numberFor(talk, 'The known length, mm', { value: options.length, option: '--length' });
  const given = { value: options.lengthU, option: '--length-u', otherwise: 0.1 };
  const uLengthMm = await numberFor(talk, 'Its standard uncertainty, mm', given);
  if (!(lengthMm > 0 && uLengthMm >= 0)) throw new RangeError('a length must be above 0 mm');
  const times =
    options.points === undefined
      ? await typedTimes(talk, leastU(taking, true))
      : readPoints(options.points, ['echo-us'], ['u-echo-us']).map((row) => ({
          us: row['echo-us'],
          u: row['u-echo-us'] ?? leastU(taking, true),
        }));
  if (times.length < 2)
    throw new StillwellError(
      'calibration-impossible',
      channel.id,
      'the times of two successive echoes at least are needed',
    );
  const points = times.map(({ us, u }, i) => ({ lengthMm: (i + 1) * lengthMm, uLengthMm: 0, echoUs: us, uEchoUs: u }));
  return speedFrom(taking, points, uLengthMm / lengthMm, options.reference ?? `one length of ${shown(lengthMm)} mm`);
}

async function typedTimes(talk: Talk, u: number): Promise<{ us: number; u: number }[]> {
  const answer = (await talk.ask('Times of the first, second, third … echo, µs, blanks between: ')) ?? '';
  const times = answer.split(/\s+/).map((part) => strictNumber(part));
  if (times.some((us) => us === null)) throw new RangeError(`"${answer}" is no row of plain numbers`);
  return (times as number[]).map((us) => ({ us, u }));
}

/** `uShare`: what all lengths have in common. */
async function speedFrom(taking: Taking, points: readonly EchoPoint[], uShare: number, name: string): Promise<Outcome> {
  const temperature = await fluidTemperature(taking);
  const { residualsUs, residualSdUs, covariance, ...fitted } = fitEchoes(points, uShare, temperature);
  const result = { ...fitted, covariance: symmetric(covariance) };
  const uSpeed = Math.sqrt(covariance[0]?.[0] ?? 0);
  const uDead = Math.sqrt(covariance[1]?.[1] ?? 0);
  return {
    reference: { name, u: 0 },
    points: points.map(
      (point, i): CalibrationPoint => ({
        reference: point.lengthMm,
        uReference: point.uLengthMm,
        indicated: point.echoUs,
        uIndicated: point.uEchoUs,
        count: 1,
        asFound: null,
        asLeft: residualsUs[i] ?? 0,
      }),
    ),
    result,
    words: [
      ' length, mm   echo, µs   residual, µs',
      ...points.map(
        (point, i) =>
          `${shown(point.lengthMm).padStart(11)} ${shown(point.echoUs).padStart(10)} ${shown(residualsUs[i] ?? 0).padStart(14)}`,
      ),
      `Speed of sound ${withU(result.soundMPerS, uSpeed)} m/s at ${shown(result.atC)} °C; dead time ${withU(result.deadTimeUs, uDead)} µs (standard uncertainties).`,
      residualSdUs === null
        ? 'Two echoes give the line, and nothing is left over to show whether it fits.'
        : `Residual standard deviation ${shown(residualSdUs)} µs.`,
      'The slope of the speed over temperature stays that of the fluid in the bench file.',
    ],
  };
}

export async function onBlock(taking: Taking): Promise<Outcome> {
  echoOf(taking);
  const { options, talk } = taking;
  const ask = (question: string, value: number | undefined, option: string, otherwise?: number) =>
    numberFor(talk, question, { value, option, ...(otherwise === undefined ? {} : { otherwise }) });
  const thicknessMm = await ask('Thickness of the block, mm', options.length, '--length');
  const uMm = await ask('Its standard uncertainty, mm', options.lengthU, '--length-u', 0.02);
  const soundMPerS = await ask('Speed of sound in the block, m/s', options.blockSound, '--block-sound');
  const uMPerS = await ask('Its standard uncertainty, m/s', options.blockSoundU, '--block-sound-u', 30);
  if (!(thicknessMm > 0 && soundMPerS > 0 && uMm >= 0 && uMPerS >= 0))
    throw new RangeError('thickness and speed of a block are above 0');
  const taken =
    options.points === undefined
      ? [await takePoint(taking, 'The sensor stands on the block.', true)]
      : readPoints(options.points, ['echo-us'], ['u-echo-us']).map((row) => ({
          mean: row['echo-us'],
          u: row['u-echo-us'] ?? leastU(taking, true),
          count: 1,
        }));
  const us = taken.reduce((sum, { mean }) => sum + mean, 0) / taken.length;
  const own = Math.sqrt(taken.reduce((sum, { u }) => sum + u * u, 0)) / taken.length;
  const scatter = taken.reduce((sum, { mean }) => sum + (mean - us) * (mean - us), 0);
  const seen = taken.length > 1 ? Math.sqrt(scatter / (taken.length * (taken.length - 1))) : 0;
  const block = { thicknessMm, uMm, soundMPerS, uMPerS };
  const result = deadTimeOnBlock(block, { us, u: Math.max(own, seen), count: taken.length });
  return {
    reference: { name: options.reference ?? `block of ${shown(thicknessMm)} mm, ${shown(soundMPerS)} m/s`, u: uMm },
    points: taken.map(({ mean, u, count }) => ({
      reference: thicknessMm,
      uReference: uMm,
      indicated: mean,
      uIndicated: u,
      count,
      asFound: null,
      asLeft: mean - us,
    })),
    result,
    words: [`Dead time ${withU(result.deadTimeUs, result.u)} µs (standard uncertainty). Nothing about the fluid.`],
  };
}

/** Typed, or by the bench's own thermometer while it is heard. */
async function fluidTemperature(taking: Taking): Promise<{ atC: number; uAtC: number }> {
  const { options, talk, bench } = taking;
  const id = bench.measure.temperatureChannel;
  const byBench =
    options.points === undefined && options.temperature === undefined ? taking.live(true).latest(id) : null;
  const u = bench.channels.find((one) => one.id === id)?.standardUncertainty ?? TYPICAL_U_C;
  if (byBench !== null) talk.write(`The fluid is at ${shown(byBench)} °C by ${id}.\n`);
  const atC =
    byBench ??
    (await numberFor(talk, 'Temperature of the fluid, °C', { value: options.temperature, option: '--temperature' }));
  return { atC, uAtC: options.temperatureU ?? (byBench === null ? TYPICAL_U_C : u) };
}

function throughFluid(taking: Taking): void {
  if (echoOf(taking).echo.kind === 'echo-from-below') return;
  const why =
    'this echo goes through the air: its speed of sound comes from the air’s own temperature; take two-point or n-point';
  throw new StillwellError('calibration-impossible', taking.channel.id, why);
}
