/** What the conformance suite needs: the recording beside a driver, the real framing, an instrument that is simulated. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { damaged } from '../../simulators/faults.ts';
import { instruments } from '../../simulators/instruments.ts';
import { Random } from '../../simulators/random.ts';
import { cutOf } from '../../src/kit/conformance/cut.ts';
import { notSent } from '../../src/kit/conformance/judge.ts';
import { play, type Signals } from '../../src/kit/conformance/rig.ts';
import type { Recording, Tools } from '../../src/kit/conformance.ts';
import type { AnyDriver } from '../../src/kit/driver.ts';
import { stageFor } from '../../src/links/make.ts';
import { ROOT } from '../repo/house.ts';

export const tools: Tools = {
  stage: stageFor,
  clone: structuredClone,
  cpuUs: () => process.cpuUsage().user,
};

export function recordingOf(name: string): Recording {
  const folder = join(ROOT, 'drivers', name);
  const stated = JSON.parse(readFileSync(join(folder, 'recording.json'), 'utf8')) as Omit<Recording, 'raw'>;
  return { ...stated, raw: new Uint8Array(readFileSync(join(folder, 'recording.raw'))) };
}

export interface Outcome {
  /** What the simulated instrument sent and a driver can read, in order. */
  readonly sent: readonly Signals[];
  readonly came: readonly Signals[];
  /** Lines damaged on the way. */
  readonly hits: number;
  /** What came and was not sent by any undamaged line. */
  readonly wrong: readonly Signals[];
  readonly discarded: number;
  /** Lines that arrived. */
  readonly arrived: number;
}

/** A simulated instrument on a bad cable: each line is hit with probability `share`. */
export function onBadCable(driver: AnyDriver, share: number, seed: number, lines: number): Outcome {
  const instrument = instruments[driver.name];
  if (instrument === undefined)
    throw new Error(`no simulated instrument for ${driver.name} in simulators/instruments.ts`);
  const options: unknown = driver.options.parse(recordingOf(driver.name).options);
  const all = instrument(seed, lines);
  const { bytes, hits } = damaged(all, share, Random.of(seed, `cable of ${driver.name}`));
  const played = play({ driver, options, tools }, [[bytes]]);
  if (played.misdeed !== null) throw new Error(played.misdeed);
  const sent = all.flatMap(({ values }) => (values === null ? [] : [values]));
  return {
    sent,
    came: played.samples,
    hits: hits.filter((hit) => hit !== null).length,
    wrong: notSent(played.samples, sent),
    discarded: Object.values(played.discarded).reduce((sum, count) => sum + count, 0),
    arrived: cutOf({ driver, options, tools }).frames(bytes).length,
  };
}
