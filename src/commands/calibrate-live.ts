/** Live values for a calibration: the links and the core of `stillwell run`, without a record. */
import { drivers } from '../../drivers/index.ts';
import { Admission } from '../admission.ts';
import { type CalmMean, calmMean, type Rest, type TimedValue } from '../core/calibration/calm-mean.ts';
import type { AppliedCertificate } from '../core/calibration/certificate.ts';
import { NOTHING_CARRIED } from '../core/carried.ts';
import type { BenchDescription } from '../core/description.ts';
import { numericsProbe } from '../core/numerics.ts';
import { createPipeline } from '../core/pipeline.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../core/version.ts';
import { LINK_WORDS, StillwellError } from '../errors.ts';
import type { Journal } from '../journal/contract.ts';
import type { Clock } from '../links/contract.ts';
import { doorFor } from '../links/make.ts';
import { type Supervised, supervise } from '../links/supervise.ts';
import { SOFTWARE } from '../software.ts';
import type { Out } from './out.ts';

export interface Live {
  /** Waits until the channel has come to rest from now on. @throws StillwellError calibration-impossible after too long */
  settle(channel: string, rest: Rest): Promise<CalmMean>;
  /** The latest good value of a channel; null before the first. */
  latest(channel: string): number | null;
  stop(): Promise<void>;
}

const TELL_EVERY_US = 2_000_000;
/** Kept of each channel: longer than any rest that is waited for. */
const MOST_VALUES = 50_000;

/** Opens the instruments that the named channels need, and hears them. */
export function listen(
  bench: BenchDescription,
  channels: readonly string[],
  calibrations: readonly AppliedCertificate[],
  patienceUs: number,
  out: Out,
  clock: Clock,
): Live {
  const wanted = new Set(bench.channels.filter(({ id }) => channels.includes(id)).map(({ instrument }) => instrument));
  const heard: BenchDescription = { ...bench, instruments: bench.instruments.filter(({ id }) => wanted.has(id)) };
  const values = new Map<string, TimedValue[]>();
  const links = new Map<string, Supervised>();
  let onValue = (): void => {};
  const admission = new Admission(createPipeline(drivers), NO_JOURNAL, clock, {
    onInput(input) {
      if (input.kind === 'link' && input.reason !== 'starting' && input.reason !== 'stopped')
        out.write(`${input.instrument}: ${LINK_WORDS[input.reason].words}\n`);
    },
    onOutput(output) {
      if (output.kind === 'send') links.get(output.instrument)?.write(output.bytes, output.request);
      if (output.kind !== 'sample' || output.quality !== 'good') return;
      const list = values.get(output.channel) ?? [];
      list.push({ tUs: output.tUs, value: output.value });
      if (list.length > MOST_VALUES) list.shift();
      values.set(output.channel, list);
      onValue();
    },
    onRecording() {},
  });
  admission.admit({
    kind: 'run-start',
    run: 1,
    schema: SCHEMA_VERSION,
    algorithm: ALGORITHM_VERSION,
    software: SOFTWARE,
    bench: heard,
    drivers: {},
    numerics: numericsProbe(),
    calibrations,
    carried: NOTHING_CARRIED,
  });
  for (const { id, driver, options, link, intervalUs } of heard.instruments) {
    const { framing } = drivers[driver] as (typeof drivers)[string];
    links.set(
      id,
      supervise({
        door: doorFor(link, clock),
        instrument: id,
        framing: framing(options),
        clock,
        intervalUs,
        onEvent: (event) => admission.admit({ ...event, instrument: id }),
      }),
    );
  }
  return {
    latest: (channel) => values.get(channel)?.at(-1)?.value ?? null,
    settle(channel, rest) {
      values.delete(channel);
      const fromUs = clock.nowUs();
      let toldUs = fromUs;
      return new Promise((resolve, reject) => {
        let cancel = (): void => {};
        const end = (): void => {
          cancel();
          onValue = () => {};
        };
        onValue = () => {
          const list = values.get(channel);
          const last = list?.at(-1);
          if (list === undefined || last === undefined) return;
          const found = calmMean(list, rest);
          if (found !== null) {
            end();
            resolve(found);
          } else if (clock.nowUs() - toldUs >= TELL_EVERY_US) {
            toldUs = clock.nowUs();
            out.write(`  ${last.value.toFixed(3)} … waiting until it rests\n`);
          }
        };
        cancel = clock.at(fromUs + patienceUs, () => {
          end();
          const last = values.get(channel)?.at(-1);
          const why = last === undefined ? 'no good value came' : `it still moves, ${last.value.toFixed(3)} at last`;
          reject(new StillwellError('calibration-impossible', channel, `${why} within ${patienceUs / 1e6} s`));
        });
      });
    },
    async stop() {
      await Promise.all([...links.values()].map((link) => link.stop()));
      admission.close();
    },
  };
}

/** A calibration leaves a certificate, no record. */
const NO_JOURNAL: Journal = {
  opened: { journalId: '', lastRun: 0, lastSeq: 0, carried: NOTHING_CARRIED, movedAside: null },
  reader: {
    events: () => Promise.resolve([]),
    action: () => Promise.resolve(null),
    newest: () => Promise.resolve(null),
    envelope: () => Promise.resolve([]),
  },
  append() {},
  flush() {},
  checkpoint() {},
  backlog: () => ({ entries: 0, bytes: 0 }),
  close: () => Promise.resolve(),
};
