/**
 * Composition root: links → admission → core → journal → feed. One instance runs one bench; time and timers come from
 * the clock alone.
 */
import type { Logger } from 'pino';
import { Admission } from './admission.ts';
import { keepCalendar } from './calendar.ts';
import type { AppliedCertificate } from './core/calibration/certificate.ts';
import { type BenchDescription, INSIDE_UNITS, type InstrumentDescription } from './core/description.ts';
import type { ActionRequest, Input, Outcome, Output } from './core/events.ts';
import type { ProcedureDescription } from './core/job/procedure.ts';
import { numericsProbe } from './core/numerics.ts';
import { createPipeline } from './core/pipeline.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from './core/version.ts';
import { ERRORS } from './errors.ts';
import { type ActionResult, PROTOCOL_VERSION } from './feed/messages.ts';
import type { FeedSource } from './feed/source.ts';
import { View } from './feed/view.ts';
import { actionResult, notRecording, refusedBefore } from './feed/words.ts';
import type { DatedOutcome, Durable, Journal, JournalEvents } from './journal/contract.ts';
import type { DriverRegistry } from './kit/driver.ts';
import type { Clock } from './links/contract.ts';
import type { LinkEvent, Supervised } from './links/supervise.ts';

export interface BenchParts {
  readonly bench: BenchDescription;
  readonly drivers: DriverRegistry;
  /** SHA-256 of each driver's source, by name. */
  readonly driverDigests: Readonly<Record<string, string>>;
  readonly software: string;
  /** Certificates of this bench's instruments. */
  readonly calibrations?: readonly AppliedCertificate[];
  /** What a job may follow. */
  readonly procedures?: readonly ProcedureDescription[];
  readonly clock: Clock;
  readonly log: Logger;
  readonly openJournal: (events: JournalEvents) => Promise<Journal>;
  /** Whether the photo of this SHA-256 was sent; without it none was. */
  readonly hasPhoto?: (sha256: string) => boolean;
  /** A job is closed and that is durable. */
  readonly onJobClosed?: () => void;
  readonly openLink: (instrument: InstrumentDescription, onEvent: (event: LinkEvent) => void) => Supervised;
}

export interface RunningBench extends FeedSource {
  /** Closes links, writes what is admitted, closes the journal. */
  stop(): Promise<void>;
}

/** Announced outcomes kept in memory for clients that follow; older ones come from the journal. */
const RECENT = 500;

export async function startBench(parts: BenchParts): Promise<RunningBench> {
  const { bench, clock, log, procedures = [] } = parts;
  const waiting: DatedOutcome[] = [];
  const recent: DatedOutcome[] = [];
  const listeners = new Set<{ onEvents(): void; onLive(): void }>();
  const asked = new Map<string, (outcome: DatedOutcome) => void>();
  const underWay = new Map<string, Promise<ActionResult>>();
  let anchor = { utcMs: clock.utcMs(), tUs: 0 };

  const announce = ({ event }: Durable): void => {
    let told = false;
    while (waiting[0] !== undefined && waiting[0].outcome.event <= event) {
      const dated = waiting.shift() as DatedOutcome;
      told = true;
      recent.push(dated);
      if (recent.length > RECENT) recent.shift();
      view.takeDurable(dated);
      tellLog(log, dated);
      if (closesJob(dated.outcome)) parts.onJobClosed?.();
      if (dated.outcome.kind === 'action') asked.get(dated.outcome.actionId)?.(dated);
    }
    if (told) for (const listener of listeners) listener.onEvents();
  };

  const journal = await parts.openJournal({
    onDurable(upTo) {
      admission.taken();
      announce(upTo);
    },
    onRefused(code, detail) {
      if (admission.recording) log.error({ code, detail }, ERRORS['journal-refused'].words);
      admission.refused();
    },
  });
  const { opened, reader } = journal;
  if (opened.movedAside !== null) log.warn({ movedTo: opened.movedAside }, ERRORS['journal-damaged'].words);
  const standing = opened.carried.alarms ?? [];
  const since = await Promise.all(standing.map(({ sinceEvent }) => reader.events(sinceEvent - 1, 1)));
  const view = new View(bench, procedures, opened.carried, await reader.newest('reading'), since.flat());

  const admission = new Admission(createPipeline(parts.drivers), journal, clock, {
    onInput(input: Input) {
      view.takeInput(input);
      if (input.kind === 'wall') anchor = input;
      if (input.kind === 'link')
        log.info({ instrument: input.instrument, reason: input.reason, detail: input.detail }, `link ${input.state}`);
    },
    onOutput(output: Output) {
      view.takeOutput(output);
      if (output.kind === 'outcome') {
        const utcMs = Math.round(anchor.utcMs + (output.outcome.tUs - anchor.tUs) / 1000);
        waiting.push({ utcMs, outcome: output.outcome });
      } else if (output.kind === 'send') {
        links.get(output.instrument)?.write(output.bytes, output.request);
      } else if (output.kind === 'sample' || output.kind === 'status') {
        for (const listener of listeners) listener.onLive();
      }
    },
    onRecording(recording) {
      view.recording = recording;
      const floods = recording ? [] : view.floods(clock.nowUs());
      for (const { instrument, words } of floods) log.warn({ recording, instrument }, words);
      if (floods.length === 0) log.warn({ recording }, recording ? 'recording again' : ERRORS['journal-refused'].words);
    },
  });

  const links = new Map<string, Supervised>();
  admission.admit({
    kind: 'run-start',
    run: opened.lastRun + 1,
    schema: SCHEMA_VERSION,
    algorithm: ALGORITHM_VERSION,
    software: parts.software,
    bench,
    drivers: parts.driverDigests,
    numerics: numericsProbe(),
    calibrations: parts.calibrations ?? [],
    procedures,
    carried: opened.carried,
  });
  const stopCalendar = keepCalendar(clock, (input) => {
    admission.admit(input);
    // After a sleep the adapters may be dead without saying so, and what waits in them is of an unknown time.
    if (input.kind === 'gap' && input.lostUs > 0)
      for (const link of links.values()) link.reopen('resumed', 'the computer slept');
  });
  admission.checkpoint('run-start');
  for (const instrument of bench.instruments) {
    const { id } = instrument;
    links.set(
      id,
      parts.openLink(instrument, (event) => admission.admit({ ...event, instrument: id })),
    );
  }

  /** Without it a record is recomputed from the start of the run: no reason to fail an action that is admitted. */
  const saveState = (): void => {
    try {
      admission.checkpoint('job-start');
    } catch (error) {
      log.error({ detail: (error as Error).message }, 'the state at the start of the job is not saved');
    }
  };

  const act = async (request: ActionRequest): Promise<ActionResult> => {
    const before = await reader.action(request.actionId);
    if (before?.outcome.kind === 'action') return actionResult(before.outcome);
    if (!admission.recording) return notRecording(request.actionId, view.revision);
    const { body } = request;
    // Refused here: whether a file is there is nothing that the core could find out again from the record.
    if (body.type === 'confirm' && body.photos?.some((sha256) => parts.hasPhoto?.(sha256) !== true))
      return refusedBefore(request.actionId, view.revision, 'no-such-photo');
    const durable = new Promise<DatedOutcome>((resolve) => asked.set(request.actionId, resolve));
    const outputs = admission.admit({ kind: 'action', ...request });
    if (outputs.some(startsJob)) saveState();
    const { outcome } = await durable;
    asked.delete(request.actionId);
    if (outcome.kind !== 'action') throw new Error(`outcome ${outcome.event} is no action`);
    return actionResult(outcome);
  };

  return {
    hello: () => ({
      type: 'hello',
      protocol: PROTOCOL_VERSION,
      software: parts.software,
      bench: bench.name,
      journal: opened.journalId,
      lastEvent: view.lastEvent,
    }),
    snapshot: () => view.snapshot(clock.nowUs(), clock.utcMs()),
    job: () => view.job(),
    live: () => view.live(clock.nowUs(), clock.utcMs()),
    lastEvent: () => view.lastEvent,
    async events(since, limit) {
      const oldest = recent[0]?.outcome.event;
      const dated =
        oldest !== undefined && since >= oldest - 1
          ? recent.filter(({ outcome }) => outcome.event > since).slice(0, limit)
          : await reader.events(since, limit);
      return dated
        .filter(({ outcome }) => outcome.event <= view.lastEvent)
        .map(({ utcMs, outcome }) => ({
          type: 'event',
          utc: new Date(utcMs).toISOString(),
          outcome: structuredClone(outcome) as never,
        }));
    },
    async history(channel, seconds, most) {
      const description = bench.channels.find(({ id }) => id === channel);
      if (description === undefined) return null;
      const nowMs = clock.utcMs();
      const buckets = await reader.envelope(channel, nowMs - seconds * 1000, nowMs + 1000, most);
      return {
        channel,
        unit: INSIDE_UNITS[description.quantity],
        utcMs: buckets.map(({ utcMs }) => utcMs),
        min: buckets.map(({ min }) => min),
        max: buckets.map(({ max }) => max),
      };
    },
    act(request) {
      const known = underWay.get(request.actionId);
      if (known) return known;
      const result = act(request).finally(() => underWay.delete(request.actionId));
      underWay.set(request.actionId, result);
      return result;
    },
    subscribe(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    async stop() {
      stopCalendar();
      await Promise.all([...links.values()].map((link) => link.stop()));
      admission.close();
      await journal.close();
    },
  };
}

function closesJob(outcome: Outcome): boolean {
  return outcome.kind === 'job' && outcome.change === 'closed';
}

function startsJob(output: Output): boolean {
  return output.kind === 'outcome' && output.outcome.kind === 'job' && output.outcome.change === 'started';
}

function tellLog(log: Logger, { outcome }: DatedOutcome): void {
  if (outcome.kind === 'reading') {
    const { id, levelMm, U95Mm } = outcome.reading;
    log.info({ event: outcome.event, reading: id, levelMm, U95Mm }, 'reading');
  } else if (outcome.kind === 'verdict') {
    const { reading, result, words } = outcome.verdict;
    log.info({ event: outcome.event, reading, result }, words);
  } else if (outcome.kind === 'alarm') {
    const { event, alarm, source, state, priority, why, by } = outcome;
    const said = { event, source, priority, why, ...(by === null ? {} : { by }) };
    log[state === 'active' || state === 'returned' ? 'warn' : 'info'](said, `${alarm} ${state}`);
  } else if (outcome.kind === 'fault') {
    log.error({ event: outcome.event, source: outcome.source, detail: outcome.detail }, outcome.code);
  } else if (outcome.kind === 'zero-check' && outcome.check.suspect.length > 0) {
    const { driftMm, limitMm, suspect } = outcome.check;
    log.warn({ event: outcome.event, driftMm, limitMm, suspect }, 'the zero has moved: readings are suspect');
  } else log.debug({ event: outcome.event }, outcome.kind);
}
