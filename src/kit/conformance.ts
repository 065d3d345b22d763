/**
 * What every driver must do, whatever its format: a list of checks over a recording with stated samples. Pure; the
 * framing, a copy of plain data and the processor's time are handed in.
 */
import { seededRandom } from './conformance/bytes.ts';
import { type Context, type Recording, windowOf } from './conformance/context.ts';
import { cutOf } from './conformance/cut.ts';
import { endless, faults, flips, unplug } from './conformance/damage.ts';
import { anyBytes, endings, junk, splits, state, stated } from './conformance/format.ts';
import type { Tools } from './conformance/rig.ts';
import { silence } from './conformance/silence.ts';
import type { AnyDriver } from './driver.ts';

export type { Recording } from './conformance/context.ts';
export type { Tools } from './conformance/rig.ts';

export interface CheckResult {
  readonly id: string;
  readonly title: string;
  readonly ok: boolean;
  /** What was found; empty where all is well. */
  readonly detail: string;
}

export interface Check {
  readonly id: string;
  readonly title: string;
  /** What is wrong, or null. */
  readonly run: (context: Context) => string | null;
}

export const CHECKS: readonly Check[] = [
  { id: 'recording', title: 'the recording gives its stated samples and discards', run: stated },
  { id: 'splits', title: 'whole, byte by byte and in pieces of any size give the same', run: splits },
  {
    id: 'endings',
    title: 'whatever may stand between two frames (line ends of any kind, an idle line) gives the same',
    run: endings,
  },
  { id: 'junk', title: 'junk between frames is counted, and later frames are found', run: junk },
  { id: 'noise', title: 'no bytes at all make it throw', run: anyBytes },
  { id: 'flips', title: 'a damaged byte loses at most the frame hit and a neighbour', run: flips },
  { id: 'endless', title: '1 MB without a line end stays capped and linear in time', run: endless },
  { id: 'unplug', title: 'a cable pulled anywhere joins nothing', run: unplug },
  { id: 'silence', title: 'silence is reported at the limit, and the question repeated', run: silence },
  { id: 'state', title: 'its state is plain data and survives being copied after every frame', run: state },
  {
    id: 'faults',
    title: 'bytes lost, flipped and put in, lines cut and doubled: nothing comes that was not sent',
    run: faults,
  },
];

/** Runs every check of the suite on one driver. */
export function conformance(driver: AnyDriver, recording: Recording, tools: Tools, seed = 1): readonly CheckResult[] {
  return CHECKS.map((check) => runCheck(check, driver, recording, tools, seed));
}

export function runCheck(
  { id, title, run }: Check,
  driver: AnyDriver,
  recording: Recording,
  tools: Tools,
  seed = 1,
): CheckResult {
  const told = (detail: string) => ({ id, title, ok: detail === '', detail });
  const parsed = driver.options.safeParse(recording.options);
  if (!parsed.success) return told(`the recording's options do not fit the driver: ${parsed.error.message}`);
  const options: unknown = parsed.data;
  const subject = { driver, options, tools };
  try {
    const cut = cutOf(subject);
    const window = windowOf(subject, cut, recording.raw);
    if (window.length < 3) return told('the recording is too short: fewer than three frames give samples');
    const checked = driver.checked?.(options) === true;
    return told(run({ ...subject, recording, checked, cut, window, random: seededRandom(seed) }) ?? '');
  } catch (error) {
    return told(`it threw: ${String(error)}`);
  }
}
