import { brineBoard } from './brine-board.ts';
import { cellarProbe } from './cellar-probe.ts';
import { hexGauge } from './hex-gauge.ts';
import { mashTun } from './mash-tun.ts';
import { ovenBoard } from './oven-board.ts';
import { pressBoard } from './press-board.ts';
import { Random } from './random.ts';
import type { SentLine } from './sent.ts';
import { tankSender } from './tank-sender.ts';
import { vatBoard } from './vat-board.ts';

/** What an instrument sends from the moment somebody listens; the first line may be half of one. */
export type Instrument = (seed: number, lines: number) => readonly SentLine[];

/** An instrument for each form of talking: what it sends, and the truth about it. */
export const instruments: Readonly<Record<string, Instrument>> = {
  columns: (seed, lines) => brineBoard(Random.of(seed, 'columns'), lines),
  gatt: (seed, lines) => cellarProbe(Random.of(seed, 'gatt'), lines),
  hexbytes: (seed, lines) => hexGauge(Random.of(seed, 'hexbytes'), lines),
  json: (seed, lines) => vatBoard(Random.of(seed, 'json'), lines),
  keyvalue: (seed, lines) => pressBoard(Random.of(seed, 'keyvalue'), lines),
  modbus: (seed, lines) => mashTun(Random.of(seed, 'modbus'), lines),
  nmea: (seed, lines) => tankSender(Random.of(seed, 'nmea'), lines),
  pattern: (seed, lines) => ovenBoard(Random.of(seed, 'pattern'), lines),
};
