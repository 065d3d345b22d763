/** `stillwell calibrate`: guides through the points, shows what they come to, and keeps the certificate. */
import { userInfo } from 'node:os';
import { drivers } from '../../drivers/index.ts';
import { appendCertificate, readCertificates } from '../calibrations/file.ts';
import { certificateFile, loadCalibrations } from '../calibrations/folder.ts';
import { identityOf } from '../calibrations/identity.ts';
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import { CALIBRATION_KINDS, type CalibrationKind, type Certificate } from '../core/calibration/certificate.ts';
import { echoLawOf } from '../core/calibration/echo-law.ts';
import { inForce } from '../core/calibration/in-force.ts';
import { type BenchDescription, type ChannelDescription, INSIDE_UNITS } from '../core/description.ts';
import { StillwellError } from '../errors.ts';
import { realClock } from '../links/clock.ts';
import type { Clock } from '../links/contract.ts';
import { SOFTWARE } from '../software.ts';
import { fixedPoint, refit, severalPoints } from './calibrate-correction.ts';
import { echoesOverLengths, onBlock, successiveEchoes } from './calibrate-echo.ts';
import { type Live, listen } from './calibrate-live.ts';
import type { CalibrateOptions } from './calibrate-options.ts';
import type { Outcome, Taking } from './calibrate-take.ts';
import { introduction, KIND_WORDS } from './calibrate-words.ts';
import { readBench } from './run.ts';
import type { Talk } from './talk.ts';

const MS_PER_DAY = 86_400_000;
const ANY = { low: -1e9, high: 1e9 };

/** Answers the exit code: 0 once the certificate is on disk, 1 where none was wanted. */
export async function calibrate(
  file: string,
  channelId: string,
  options: CalibrateOptions,
  talk: Talk,
  clock: Clock = realClock(),
): Promise<number> {
  const text = readBench(file);
  const loaded = loadBench(text, file, drivers);
  if (!loaded.ok) throw new StillwellError('config-invalid', file, formatMistakes(file, text, loaded.mistakes));
  const { bench } = loaded;
  const channel = bench.channels.find(({ id }) => id === channelId);
  if (channel === undefined) {
    const names = bench.channels.map(({ id }) => id).join(', ');
    throw new StillwellError('calibration-impossible', file, `there is no channel ${channelId}; there are ${names}`);
  }
  const all = loadCalibrations(file, bench);
  const identity = identityOf(bench, channel);
  const path = certificateFile(file, identity.name);
  talk.write(`Device: ${identity.name}, known by ${identity.by}\n`);
  if (!identity.certain)
    talk.write(
      'Nothing tells this device from another in its place: with `identity:` in the bench file the certificate goes with it.\n',
    );
  const kind = options.kind ?? (await askKind(talk));
  talk.write(`\n${introduction(kind)}`);
  let live: Live | null = null;
  // A correction is found behind the law as it is calibrated, not behind the correction before it.
  const others = all.filter((one) => one.channel !== channel.id || one.certificate.result.kind !== 'correction');
  const taking: Taking = {
    bench,
    channel,
    options,
    before: inForce(all, channel.id),
    talk,
    live(echo) {
      live ??= listen(
        uncalibrated(bench, channel, echo),
        needed(bench, channel, echo),
        others,
        options.patienceS * 1e6,
        talk,
        clock,
      );
      return live;
    },
  };
  try {
    const outcome = await through(taking, kind);
    talk.write(`\n${outcome.words.join('\n')}\n`);
    if (outcome.caution != null) {
      talk.write(`${outcome.caution}\n`);
      if (options.yes === true) {
        talk.write('Nothing was written: such a certificate is kept only by hand, without --yes.\n');
        return 1;
      }
    }
    if (options.yes !== true) {
      const answer = await talk.ask('\nKeep this certificate? Type yes: ');
      if (answer?.toLowerCase() !== 'yes') {
        talk.write('Nothing was written.\n');
        return 1;
      }
    }
    const certificate = made(kind, outcome, { channel, identity: identity.name, options, path, utcMs: clock.utcMs() });
    appendCertificate(path, certificate);
    talk.write(`Certificate ${certificate.id}, due ${day(certificate.dueUtcMs)}, in ${path}\n`);
    talk.write('It counts from the next start of the bench.\n');
    return 0;
  } catch (error) {
    // What the mathematics refuses it refuses in words.
    if (error instanceof RangeError) throw new StillwellError('calibration-impossible', channel.id, error.message);
    throw error;
  } finally {
    await (live as Live | null)?.stop();
  }
}

function through(taking: Taking, kind: CalibrationKind): Promise<Outcome> {
  switch (kind) {
    case 'ice-point':
    case 'boiling-point':
      return fixedPoint(taking, kind);
    case 'two-point':
    case 'n-point':
      return severalPoints(taking, kind);
    case 'echo-lengths':
      return echoesOverLengths(taking);
    case 'successive-echoes':
      return successiveEchoes(taking);
    case 'block':
      return onBlock(taking);
    case 'refit':
      return refit(taking);
  }
}

async function askKind(talk: Talk): Promise<CalibrationKind> {
  talk.write(CALIBRATION_KINDS.map((kind) => `  ${kind.padEnd(18)} ${KIND_WORDS[kind].title}\n`).join(''));
  const answer = await talk.ask('Which kind? ');
  const kind = CALIBRATION_KINDS.find((one) => one === answer);
  if (kind === undefined)
    throw new StillwellError(
      'calibration-impossible',
      answer ?? '--kind',
      `one of ${CALIBRATION_KINDS.join(', ')} is expected`,
    );
  return kind;
}

/** The channel as it comes, without limits: a point may lie far from the work. `echo`: the time in place of the level. */
function uncalibrated(bench: BenchDescription, channel: ChannelDescription, echo: boolean): BenchDescription {
  const time: ChannelDescription['law'] = echoLawOf(channel.law)?.time ?? {
    kind: 'linear',
    gain: 1,
    offset: 0,
    signalUnit: 'us',
    unit: 'us',
    validSignal: ANY,
  };
  const bare: ChannelDescription = echo
    ? { ...channel, law: time, context: {}, echo: null, range: ANY }
    : { ...channel, range: ANY };
  return { ...bench, channels: bench.channels.map((one) => (one.id === channel.id ? bare : one)) };
}

/** Channels that must be heard: this one, what its law leans on, and the temperature of the fluid for its echo. */
function needed({ measure }: BenchDescription, { id, context }: ChannelDescription, echo: boolean): string[] {
  const leaned = Object.values(context).flatMap((source) =>
    source.kind === 'channel' ? [source.channel] : source.kind === 'fluid' ? [source.temperatureChannel] : [],
  );
  return [id, ...leaned, ...(echo ? [measure.temperatureChannel] : [])];
}

interface Making {
  readonly channel: ChannelDescription;
  readonly identity: string;
  readonly options: CalibrateOptions;
  readonly path: string;
  readonly utcMs: number;
}

function made(
  kind: CalibrationKind,
  outcome: Outcome,
  { channel, identity, options, path, utcMs }: Making,
): Certificate {
  const { reference, points, result } = outcome;
  const number = readCertificates(path).length + 1;
  return {
    id: `${day(utcMs)}-${channel.id}-${kind}-${number}`,
    identity,
    signal: channel.signal,
    channel: channel.id,
    unit: INSIDE_UNITS[channel.quantity],
    kind,
    atUtcMs: utcMs,
    dueUtcMs: utcMs + options.dueDays * MS_PER_DAY,
    reference,
    couplant: options.couplant ?? null,
    points,
    result,
    who: options.who ?? (userInfo().username || 'not stated'),
    software: SOFTWARE,
  };
}

function day(utcMs: number): string {
  return new Date(utcMs).toISOString().slice(0, 10);
}
