/** `stillwell strap`: from known additions to the `vessel:` section of a bench file. */
import { readPoints } from '../calibrations/points-file.ts';
import { type Addition, type StrappingResult, strapping, uBetween } from '../core/calibration/strapping.ts';
import { StillwellError } from '../errors.ts';
import { strictNumber } from '../kit/numbers.ts';
import type { Talk } from './talk.ts';

export interface StrapOptions {
  /** In the vessel before the first row, L. */
  readonly start: number;
  readonly startU: number;
  /** Scale error of the measure that all additions were made with, %. */
  readonly measurePercent: number;
}

const CAUTION = `Strapping a vessel
  Level the machine, let the fluid rest after each addition, read the level as at work.
  Caution: hot fluid burns; fill no closed or pressurised vessel; the engine is off and secured; wipe up what is spilt.
  The maker's service information, your local codes and licensed practice come before these lines.
`;
/** A row that lies this many of its uncertainties from the curve through the others is worth another look. */
const FAR = 3;

/** Answers the exit code. `file` null: asks for the additions at the terminal. */
export async function strap(file: string | null, options: StrapOptions, talk: Talk): Promise<number> {
  const additions = file === null ? await typed(talk) : fromFile(file);
  let result: StrappingResult;
  try {
    result = strapping(additions, {
      startL: options.start,
      uStartL: options.startU,
      uMeasureShare: options.measurePercent / 100,
    });
  } catch (error) {
    if (error instanceof RangeError)
      throw new StillwellError('strapping-impossible', file ?? 'additions', error.message);
    throw error;
  }
  talk.write(table(result));
  talk.write(`\n${section(result)}`);
  return 0;
}

function fromFile(file: string): Addition[] {
  return readPoints(file, ['litres', 'level-mm', 'u-litres', 'u-level-mm'], []).map((row) => ({
    litres: row.litres,
    uLitres: row['u-litres'],
    levelMm: row['level-mm'],
    uLevelMm: row['u-level-mm'],
  }));
}

async function typed(talk: Talk): Promise<Addition[]> {
  talk.write(`${CAUTION}Each row: litres added, their standard uncertainty, the level in mm, its standard uncertainty.
The first row is the level before anything is added: 0 0 <level> <uncertainty>. An empty line ends.\n`);
  const additions: Addition[] = [];
  for (;;) {
    const answer = await talk.ask(`Row ${additions.length + 1}: `);
    if (answer === null || answer === '') return additions;
    const numbers = answer.split(/\s+/).map((part) => strictNumber(part.replace(/^−/, '-')));
    const [litres, uLitres, levelMm, uLevelMm, more] = numbers;
    if (
      more !== undefined ||
      !isNumber(litres) ||
      !isNumber(uLitres) ||
      !isNumber(levelMm) ||
      !isNumber(uLevelMm) ||
      uLitres < 0 ||
      uLevelMm < 0
    )
      talk.write('Four plain numbers are expected, such as: 0.5 0.003 41.2 0.1\n');
    else additions.push({ litres, uLitres, levelMm, uLevelMm });
  }
}

function isNumber(value: number | null | undefined): value is number {
  return value !== null && value !== undefined;
}

function table(result: StrappingResult): string {
  const { rows, leftOutL, uShare } = result;
  const lines = rows.map((row, i) => {
    const off = leftOutL[i - 1];
    const far = off !== undefined && Math.abs(off) > FAR * row.uLitres;
    const between = i === 0 ? '' : uBetween(result, i - 1, i).toFixed(4);
    return [
      row.levelMm.toFixed(2).padStart(9),
      row.litres.toFixed(4).padStart(10),
      row.uLitres.toFixed(4).padStart(8),
      between.padStart(10),
      (off === undefined ? '' : off.toFixed(4)).padStart(12),
      far ? '  look again' : '',
    ].join('');
  });
  const rms = Math.sqrt(leftOutL.reduce((sum, off) => sum + off * off, 0) / Math.max(leftOutL.length, 1));
  return [
    'level, mm    litres  u(L)  u(step)  off curve (L)',
    ...lines,
    '',
    'u(L): standard uncertainty of the litres; errors of the additions add up from row to row.',
    'u(step): of the litres from the row before to this one, where common errors cancel.',
    'off curve: how far the row lies from the curve through the others.',
    `As a share of the volume, from a quarter of the full one up: ${percent(uShare)} at most.`,
    ...(leftOutL.length === 0
      ? ['Fewer than four rows: how good the curve is between them cannot be told.']
      : [`Between rows the curve foretells a row left out to ${rms.toFixed(4)} L (root mean square).`]),
    '',
  ].join('\n');
}

function section({ rows, uShare }: StrappingResult): string {
  const points = rows.map(({ levelMm, litres }) => `      - [${plain(levelMm, 2)} mm, ${plain(litres, 4)} L]`);
  return ['vessel:', '  shape:', '    strapping-table:', ...points, `  uncertainty: ${percent(uShare)}`, ''].join('\n');
}

/** Rounded up: an uncertainty is not made smaller by writing it down. */
function percent(share: number): string {
  return `${plain(Math.ceil(share * 100 * 100) / 100, 2)} %`;
}

function plain(value: number, decimals: number): string {
  return String(Number(value.toFixed(decimals)));
}
