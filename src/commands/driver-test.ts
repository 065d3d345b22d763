/** `stillwell driver-test`: a driver held to everything that a driver must do, on a recording. */
import { readFileSync } from 'node:fs';
import { drivers } from '../../drivers/index.ts';
import { readYaml } from '../config/yaml.ts';
import { StillwellError } from '../errors.ts';
import { play } from '../kit/conformance/rig.ts';
import { CHECKS, type CheckResult, type Recording, runCheck, type Tools } from '../kit/conformance.ts';
import type { AnyDriver, DriverRegistry } from '../kit/driver.ts';
import { messageOf, shown } from '../links/door-parts.ts';
import { stageFor } from '../links/make.ts';
import { counted, type Out } from './out.ts';

export interface DriverTestOptions {
  /** File with the settings of the driver. */
  readonly options?: string;
}

const TOOLS: Tools = {
  stage: stageFor,
  clone: structuredClone,
  cpuUs: () => {
    const { user, system } = process.cpuUsage();
    return user + system;
  },
};

/** Answers the exit code: 1 if the driver fails in anything. */
export async function driverTest(
  name: string,
  file: string,
  { options }: DriverTestOptions,
  out: Out,
  registry: DriverRegistry = drivers,
): Promise<number> {
  const driver = Object.hasOwn(registry, name) ? registry[name] : undefined;
  if (driver === undefined) {
    const names = Object.keys(registry).join(', ');
    throw new StillwellError('recording-unreadable', file, `there is no driver ${shown(name)}, but ${names}`);
  }
  const { recording, stated } = readRecording(file, options);
  const settings = driver.options.safeParse(recording.options);
  if (!settings.success) {
    const [issue] = settings.error.issues;
    const place = issue === undefined || issue.path.length === 0 ? '' : `${issue.path.join('.')}: `;
    throw new StillwellError('recording-unreadable', options ?? file, `settings of ${name}: ${place}${issue?.message}`);
  }
  tellWhatIsRead(driver, settings.data, recording, out);
  const checks = CHECKS.filter(({ id }) => stated || id !== 'recording');
  const results = checks.map((check) => {
    const result = runCheck(check, driver, recording, TOOLS);
    out.write(resultLine(result));
    return result;
  });
  const failed = results.filter(({ ok }) => !ok).length;
  out.write(
    failed === 0 ? `${name} passes all ${results.length}.\n` : `${name} fails ${failed} of ${results.length}.\n`,
  );
  return failed === 0 ? 0 : 1;
}

function resultLine({ id, title, ok, detail }: CheckResult): string {
  const line = `${ok ? 'ok  ' : 'FAIL'}  ${id.padEnd(11)}${title}\n`;
  return ok ? line : `${line}      ${detail.split('\n').map(printable).join('\n      ')}\n`;
}

function tellWhatIsRead(driver: AnyDriver, options: unknown, recording: Recording, out: Out): void {
  const { samples, discarded } = play({ driver, options, tools: TOOLS }, [[recording.raw]]);
  out.write(`${counted(recording.raw.length, 'byte')}, ${counted(samples.length, 'line')} with values\n`);
  for (const signal of driver.signals(options)) {
    const values = samples.flatMap((one) => (one[signal] === undefined ? [] : [one[signal]]));
    if (values.length === 0) out.write(`  ${signal}: no value\n`);
    else {
      const low = values.reduce((a, b) => Math.min(a, b));
      const high = values.reduce((a, b) => Math.max(a, b));
      out.write(`  ${signal}: ${counted(values.length, 'value')} from ${low} to ${high}\n`);
    }
  }
  const lost = Object.entries(discarded).map(([reason, count]) => `${count} ${reason}`);
  if (lost.length > 0) out.write(`  discarded: ${lost.join(', ')}\n`);
}

/** The recording, and whether it states what must come out of it. */
function readRecording(file: string, optionsFile: string | undefined): { recording: Recording; stated: boolean } {
  const base = file.replace(/\.(raw|json)$/, '');
  const read = (path: string): Buffer => {
    try {
      return readFileSync(path);
    } catch (error) {
      throw new StillwellError('recording-unreadable', path, messageOf(error));
    }
  };
  const raw = new Uint8Array(read(`${base}.raw`));
  const notes = notesOf(`${base}.json`);
  const options = optionsFile === undefined ? (notes.options ?? {}) : yamlOf(optionsFile, read(optionsFile));
  return {
    recording: { raw, options, samples: notes.samples ?? {}, discarded: notes.discarded ?? {} },
    stated: notes.samples !== undefined && notes.discarded !== undefined && optionsFile === undefined,
  };
}

function notesOf(path: string): Partial<Pick<Recording, 'options' | 'samples' | 'discarded'>> {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch {
    return {}; // bytes alone are a recording too
  }
  try {
    const data: unknown = JSON.parse(text);
    return typeof data === 'object' && data !== null ? data : {};
  } catch (error) {
    throw new StillwellError('recording-unreadable', path, messageOf(error));
  }
}

function yamlOf(path: string, text: Buffer): unknown {
  const { data, flaws } = readYaml(text.toString('utf8'));
  const [flaw] = flaws;
  if (flaw !== undefined) throw new StillwellError('recording-unreadable', path, flaw.words);
  return data ?? {};
}

function printable(text: string): string {
  return shown(text, 500);
}
