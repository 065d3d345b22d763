/** `stillwell check`: every mistake of a bench file or a procedure file, or what it is. */
import { readFile } from 'node:fs/promises';
import { drivers } from '../../drivers/index.ts';
import { loadCalibrations } from '../calibrations/folder.ts';
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import { isProcedure } from '../config/load-procedure.ts';
import type { BenchSettings } from '../config/resolve.ts';
import type { CompensationDescription } from '../core/compensation/description.ts';
import {
  type BenchDescription,
  type ChannelDescription,
  INSIDE_UNITS,
  type InstrumentDescription,
  type LinkDescription,
  type MatchDescription,
  TYPED,
} from '../core/description.ts';
import { StillwellError } from '../errors.ts';
import type { DriverRegistry } from '../kit/driver.ts';
import { bleWords } from '../links/ble-find.ts';
import { shown } from '../links/door-parts.ts';
import { findWords, isMovingName } from '../links/find.ts';
import { checkProcedureFile, checkProceduresOf } from './check-procedure.ts';
import type { Out } from './out.ts';

/** Answers the exit code: 0 for a bench without mistakes, else 1. */
export async function check(file: string, out: Out, registry: DriverRegistry = drivers): Promise<number> {
  let text: string;
  try {
    text = await readFile(file, 'utf8');
  } catch (error) {
    throw new StillwellError('config-unreadable', file, error instanceof Error ? error.message : String(error));
  }
  if (isProcedure(text)) return checkProcedureFile(file, text, out);
  const loaded = loadBench(text, file, registry);
  if (loaded.ok) {
    const procedures = checkProceduresOf(loaded.bench, loaded.settings.procedures);
    if (!procedures.ok) {
      out.write(procedures.words);
      return 1;
    }
    out.write(summary(file, loaded.bench, loaded.settings));
    out.write(calibrationWords(file, loaded.bench));
    out.write(procedures.words);
    return 0;
  }
  const count = loaded.mistakes.length;
  out.write(`${formatMistakes(file, text, loaded.mistakes)}\n`);
  out.write(`${file} has ${count === 1 ? 'one mistake' : `${count} mistakes`}.\n`);
  return 1;
}

function summary(file: string, bench: BenchDescription, { journal, port }: BenchSettings): string {
  const { measure } = bench;
  const { window, steady, compensation } = measure;
  const lines = [
    `${file} is good.`,
    '',
    `Bench        ${bench.name}`,
    ...list(
      'Instruments',
      bench.instruments.map(
        (one) => `${one.id}: ${one.driver} on ${linkWords(one.link)}, every ${seconds(one.intervalUs)}`,
      ),
    ),
    ...list('Channels', bench.channels.map(channelWords)),
    `Reading      ${measure.levelChannel} ${referenceWords(measure)}, ${compensationWords(compensation)}`,
    `Window       ${measure.temperatureChannel} from ${window.lowC} °C to ${window.highC} °C, hysteresis ${window.hysteresisK} K`,
    `Settled      within ${steady.toleranceMm} mm of where it comes to rest, sure to ${100 * steady.confidence} %`,
    `Waves        up to ${steady.wavesMm} mm`,
    ...(measure.match === null ? [] : [`Match        ${matchWords(measure.match)}`]),
    ...(journal === null ? [] : [`Journal      ${journal}`]),
    ...(port === null ? [] : [`Page         port ${port}`]),
    ...bench.instruments.flatMap(movingWords),
  ];
  return `${lines.join('\n')}\n`;
}

function referenceWords({ referenceC, referenceFrom }: BenchDescription['measure']): string {
  return referenceFrom === 'bench'
    ? `at ${round(referenceC)} °C`
    : `at the temperature of a job's first reading (outside a job at ${round(referenceC)} °C)`;
}

function compensationWords(by: CompensationDescription): string {
  switch (by.kind) {
    case 'vessel-and-fluid':
      return 'corrected by vessel and fluid';
    case 'chart':
      return `corrected by a chart of ${by.points.length} points`;
    case 'slope':
      return `corrected by ${by.mmPerK} ± ${by.uMmPerK} mm/K`;
    case 'learned':
      return `corrected by a slope learned from each warm-up, until then by ${by.until.mmPerK} ± ${by.until.uMmPerK} mm/K`;
  }
}

function matchWords({ toleranceMm, rule, refitMm, newFluidMm, target }: MatchDescription): string {
  const sure = rule.by === 'guard' ? `guarded by ${rule.guardMm} mm` : `${round(100 * rule.probability)} % sure`;
  const against = target === null ? 'a target set in the job' : `${target.levelMm} ± ${target.uMm} mm`;
  return `±${toleranceMm} mm of ${against}, ${sure}; refitting ${refitMm} mm, new fluid ${newFluidMm} mm`;
}

/** What is calibrated, and until when; nothing where nothing is. */
function calibrationWords(file: string, bench: BenchDescription): string {
  const rows = loadCalibrations(file, bench).map(({ channel, certificate }) => {
    const { id, identity, dueUtcMs } = certificate;
    return `${channel}: ${id} for ${identity}, due ${new Date(dueUtcMs).toISOString().slice(0, 10)}`;
  });
  return rows.length === 0 ? '' : `${list('Calibrated', rows).join('\n')}\n`;
}

function list(title: string, rows: readonly string[]): string[] {
  return rows.map((row, index) => `${(index === 0 ? title : '').padEnd(13)}${row}`);
}

function channelWords(channel: ChannelDescription): string {
  const inside = INSIDE_UNITS[channel.quantity];
  const [unit, step] = inside === 'Cel' ? ['°C', 'K'] : [inside, inside];
  const { low, high } = channel.range;
  const size = `standard uncertainty ${round(channel.standardUncertainty)} ${step}`;
  const from = channel.instrument === TYPED ? 'typed by a person' : `from ${channel.instrument}.${channel.signal}`;
  return `${channel.id}: ${channel.quantity} ${from}, ${round(low)} ${unit} to ${round(high)} ${unit}, ${size}`;
}

function linkWords(link: LinkDescription): string {
  switch (link.kind) {
    case 'serial': {
      const known = link.identify === null ? '' : `, known by its answer "${shown(link.identify.expect)}"`;
      const parity = link.parity === undefined ? '' : `, ${link.parity} parity`;
      const stop = link.stopBits === undefined ? '' : `, ${link.stopBits} stop bits`;
      return `${findWords(link.find)} at ${link.baud} baud${parity}${stop}${known}`;
    }
    case 'tcp':
      return `${link.host}:${link.port}`;
    case 'ble':
      return `Bluetooth ${bleWords(link.find)}`;
    case 'stdin':
      return 'standard input';
    case 'memory':
      return `memory ${link.name}`;
  }
}

/** A warning, where a port is named by the order of plugging and nothing else tells who is there. */
function movingWords({ id, link }: InstrumentDescription): string[] {
  if (link.kind !== 'serial' || link.identify !== null || !isMovingName(link.find)) return [];
  return [
    '',
    `Warning: ${id} is at ${findWords(link.find)}; this name may move to another device with the next plugging.`,
    'Use the name that `stillwell ports` lists for it, or `usb` or `identify` in its link.',
  ];
}

function seconds(us: number): string {
  return us < 1_000_000 ? `${round(us / 1000)} ms` : `${round(us / 1_000_000)} s`;
}

function round(value: number): string {
  return String(Number(value.toPrecision(6)));
}
