/** `stillwell check bench.yaml`: every mistake of a bench file, or what the bench is. */
import { readFile } from 'node:fs/promises';
import { drivers } from '../../drivers/index.ts';
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import type { BenchSettings } from '../config/resolve.ts';
import type { BenchDescription, ChannelDescription, LinkDescription } from '../core/description.ts';
import { StillwellError } from '../errors.ts';
import type { DriverRegistry } from '../kit/driver.ts';
import type { Out } from './out.ts';

/** Answers the exit code: 0 for a bench without mistakes, else 1. */
export async function check(file: string, out: Out, registry: DriverRegistry = drivers): Promise<number> {
  let text: string;
  try {
    text = await readFile(file, 'utf8');
  } catch (error) {
    throw new StillwellError('config-unreadable', file, error instanceof Error ? error.message : String(error));
  }
  const loaded = loadBench(text, file, registry);
  if (loaded.ok) {
    out.write(summary(file, loaded.bench, loaded.settings));
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
    `Reading      ${measure.levelChannel} at ${measure.referenceC} °C, corrected by ${compensation.mmPerK} ± ${compensation.uMmPerK} mm/K`,
    `Window       ${measure.temperatureChannel} from ${window.lowC} °C to ${window.highC} °C, hysteresis ${window.hysteresisK} K`,
    `Calm         over ${seconds(steady.overUs)}: spread up to ${steady.spreadMm} mm, drift up to ${steady.driftMmPerMin} mm/min`,
    ...(journal === null ? [] : [`Journal      ${journal}`]),
    ...(port === null ? [] : [`Page         port ${port}`]),
  ];
  return `${lines.join('\n')}\n`;
}

function list(title: string, rows: readonly string[]): string[] {
  return rows.map((row, index) => `${(index === 0 ? title : '').padEnd(13)}${row}`);
}

function channelWords(channel: ChannelDescription): string {
  const [unit, step] = channel.quantity === 'temperature' ? ['°C', 'K'] : ['mm', 'mm'];
  const { low, high } = channel.range;
  const size = `standard uncertainty ${round(channel.standardUncertainty)} ${step}`;
  return `${channel.id}: ${channel.quantity} from ${channel.instrument}.${channel.signal}, ${round(low)} ${unit} to ${round(high)} ${unit}, ${size}`;
}

function linkWords(link: LinkDescription): string {
  if (link.kind === 'serial') return `${link.path} at ${link.baud} baud`;
  return link.kind === 'tcp' ? `${link.host}:${link.port}` : `memory ${link.name}`;
}

function seconds(us: number): string {
  return us < 1_000_000 ? `${round(us / 1000)} ms` : `${round(us / 1_000_000)} s`;
}

function round(value: number): string {
  return String(Number(value.toPrecision(6)));
}
