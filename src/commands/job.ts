/**
 * `stillwell job`: leads a job on the bench that runs on this computer. Each answers what was done and what comes next, or
 * why it was refused and what to do. Exit codes: 0 done, 1 not understood or no bench answers, 2 refused by the bench.
 */
import { readFileSync } from 'node:fs';
import { userInfo } from 'node:os';
import { extname } from 'node:path';
import type { ActionBody } from '../core/events.ts';
import { StillwellError } from '../errors.ts';
import type { Snapshot } from '../feed/messages.ts';
import { addressOf, BenchFeed, type WhichBench } from './job-feed.ts';
import { amountTyped, bareOr, entryTyped, quantityTold, quantityTyped, short } from './job-values.ts';
import { hint, jobWords, nowWords } from './job-words.ts';
import type { Out } from './out.ts';

export interface JobOptions extends WhichBench {
  /** Who acts; the user of this computer where it is not told. */
  readonly as?: string;
}

const REFUSED = 2;

/** What is asked of the bench, and how it is told once it is done; worked out from what the job is at. */
interface Deed {
  readonly body: ActionBody;
  readonly done: string;
}

export class JobCommand {
  readonly #feed: BenchFeed;
  readonly #out: Out;

  constructor(options: JobOptions, out: Out) {
    this.#feed = new BenchFeed(addressOf(options), options.as ?? (userInfo().username || 'not stated'));
    this.#out = out;
  }

  /** Where it stands. */
  async stands(): Promise<number> {
    return this.#say(jobWords(await this.#feed.look()), 0);
  }

  async start(options: {
    procedure?: string;
    label?: string;
    machineType?: string;
    field?: readonly string[];
  }): Promise<number> {
    const { procedure, label, machineType, field = [] } = options;
    return this.#do(({ bench }) => {
      const fields = Object.fromEntries(field.map(fieldTyped));
      const known = bench.procedures.find(({ id }) => id === procedure)?.fields ?? [];
      const strange = Object.keys(fields).find((id) => procedure !== undefined && !known.some((one) => one.id === id));
      if (strange !== undefined)
        throw notUnderstood(strange, `the fields are ${known.map(({ id }) => id).join(', ') || 'none'}`);
      const lacks = known.filter(({ id, required }) => required && (fields[id] ?? '').trim() === '');
      if (lacks.length > 0)
        throw notUnderstood(
          'start',
          `it needs ${lacks.map(({ id, words }) => `--field ${id}=… (${words})`).join(', ')}`,
        );
      return {
        body: {
          ...{ type: 'start-job', label: label ?? '' },
          ...(procedure === undefined ? {} : { procedure }),
          ...(machineType === undefined ? {} : { machineType }),
          ...(field.length === 0 ? {} : { fields }),
        },
        done: 'The job is begun.',
      };
    });
  }

  /** `which`: numbers of the list as it is shown, or "all". Photos are kept first, then named by the step. */
  async tick(which: readonly string[], more: { note?: string; photo?: readonly string[] }): Promise<number> {
    const photos = await this.#photos(more.photo ?? []);
    return this.#do((seen) => {
      const now = stepOf(seen);
      if (now.kind !== 'confirm') throw notUnderstood(now.title, `this step is no list; next: ${hint(now)}`);
      const ticks = which.includes('all') ? now.ticks.map(({ id }) => id) : which.map((text) => tickOf(now, text));
      if (ticks.length === 0 && now.ticks.some(({ done }) => !done))
        throw notUnderstood('tick', `name the numbers, 1 to ${now.ticks.length}, or all`);
      const words = ticks.length === 1 ? '1 point' : `${ticks.length} points`;
      return {
        body: {
          type: 'confirm',
          step: now.step,
          ticks,
          ...noted(more.note),
          ...(photos.length === 0 ? {} : { photos }),
        },
        done: `Ticked ${words}.`,
      };
    });
  }

  /** The step is done: that was all that was poured, caught or entered. */
  async done(more: { note?: string }): Promise<number> {
    return this.#do((seen) => {
      const { step, title } = stepOf(seen);
      return { body: { type: 'confirm', step, ticks: [], ...noted(more.note) }, done: `Done: ${title}.` };
    });
  }

  async enter(name: string, text: string, more: { although?: string }): Promise<number> {
    return this.#do((seen) => {
      const { now, asked } = progressOf(seen);
      const ask = [...(now?.asks ?? []), ...asked].find((one) => one.name === name);
      if (ask === undefined)
        throw notUnderstood(
          name,
          `what can be entered: ${(now?.asks ?? []).map((one) => one.name).join(', ') || 'nothing in this step'}`,
        );
      const value = entryTyped(text, ask);
      return {
        body: { type: 'enter', name, value, ...(more.although === undefined ? {} : { override: more.although }) },
        done: `${ask.words}: ${ask.of === 'quantity' ? quantityTold(Number(value), ask.quantity) : value}.`,
      };
    });
  }

  async amount(
    kind: 'in' | 'out' | 'spilled' | 'left',
    text: string,
    more: { with?: string; at?: string },
  ): Promise<number> {
    return this.#do((seen) => {
      const { now, measures } = progressOf(seen);
      const { amount, measure } = amountTyped(text, now?.kind === 'dose' ? now.measures : measures, more.with);
      const tC =
        more.at === undefined ? (now?.proposedC ?? seen.live.temperatureC) : bareOr(more.at, 'temperature', '°C');
      if (tC === null) throw notUnderstood(text, 'say how warm it is: --at "20 °C"');
      const assumed = more.at === undefined ? ', as warm as is known here (say it with --at)' : '';
      const unit = measures.find(({ id }) => id === measure)?.unit ?? 'L';
      return {
        body: { type: 'record-amount', kind, amount, measure, tC },
        done: `${AMOUNT_WORDS[kind]} ${short(amount)} ${unit} at ${short(tC)} °C${assumed}.`,
      };
    });
  }

  async answer(text: string, more: { note?: string }): Promise<number> {
    return this.#do((seen) => {
      const { step, answers, title } = stepOf(seen);
      const found = answers.find(({ id, words }) => id === text || words === text);
      if (found === undefined)
        throw notUnderstood(
          text,
          answers.length === 0
            ? `"${title}" asks no question`
            : `the answers are ${answers.map(({ id }) => id).join(', ')}`,
        );
      return {
        body: { type: 'answer', step, answer: found.id, ...noted(more.note) },
        done: `Answered: ${found.words}.`,
      };
    });
  }

  async read(more: { anyway?: string }): Promise<number> {
    return this.#do(() => ({ body: { type: 'take-reading', ...more }, done: 'Read.' }));
  }

  async zero(text: string): Promise<number> {
    const expectedMm = bareOr(text, 'length', 'mm');
    return this.#do(() => ({
      body: { type: 'check-zero', expectedMm },
      done: `The zero is checked on a block of ${short(expectedMm)} mm.`,
    }));
  }

  async skip(reason: string): Promise<number> {
    return this.#do((seen) => {
      const { step, title } = stepOf(seen);
      return { body: { type: 'skip-step', step, reason }, done: `Left out: ${title}.` };
    });
  }

  async back(step: string, reason: string): Promise<number> {
    return this.#do((seen) => {
      const { steps } = progressOf(seen);
      const found = steps[Number(step) - 1] ?? steps.find(({ id }) => id === step);
      if (found === undefined) throw notUnderstood(step, `the steps are ${steps.map(({ id }) => id).join(', ')}`);
      return { body: { type: 'go-back', to: found.id, reason }, done: `Back to: ${found.title}.` };
    });
  }

  /** What needs nothing of the job to be understood. */
  async plainly(body: ActionBody, done: string): Promise<number> {
    return this.#do(() => ({ body, done }));
  }

  /** An entry or amount anew, by the number of the event that told it; the earlier one stays in the record. */
  async correct(event: number, text: string, more: { with?: string; at?: string; although?: string }): Promise<number> {
    return this.#do((seen) => {
      const { entries, told, asked, measures } = progressOf(seen);
      const entry = entries.find((one) => one.event === event);
      const ask = asked.find(({ name }) => name === entry?.name);
      if (entry !== undefined && ask !== undefined) {
        const value = entryTyped(text, ask);
        const override = more.although === undefined ? {} : { override: more.although };
        return {
          body: { type: 'enter', name: entry.name, value, corrects: event, ...override },
          done: `Corrected: ${ask.words}.`,
        };
      }
      const before = told.find((one) => one.event === event);
      if (before === undefined) {
        const there = [
          ...entries.map((one) => `${one.event} ${one.name}`),
          ...told.map((one) => `${one.event} ${one.kind} ${short(one.amount)} ${one.unit}`),
        ];
        throw notUnderstood(String(event), `what can be corrected: ${there.join('; ') || 'nothing yet'}`);
      }
      const bare = /^\d+(\.\d+)?$/.test(text.trim()) ? `${text.trim()} ${before.unit}` : text;
      const { amount, measure } = amountTyped(bare, measures, more.with ?? before.measure);
      const tC = more.at === undefined ? before.tC : quantityTyped(more.at, 'temperature');
      return {
        body: { type: 'record-amount', kind: before.kind, amount, measure, tC, corrects: event },
        done:
          amount === 0
            ? 'Taken back; the record keeps both.'
            : `Corrected to ${short(amount)} ${before.unit}; the record keeps both.`,
      };
    });
  }

  async #photos(files: readonly string[]): Promise<string[]> {
    const kept: string[] = [];
    for (const file of files) {
      const type = PHOTO_TYPES[extname(file).toLowerCase()];
      if (type === undefined) throw notUnderstood(file, 'photos are .jpg, .png or .webp');
      kept.push(await this.#feed.keepPhoto(bytesOf(file), type));
    }
    return kept;
  }

  async #do(deed: (seen: Snapshot) => Deed): Promise<number> {
    const before = await this.#feed.look();
    const { body, done } = deed(before);
    const result = await this.#feed.act(before, body);
    const after = await this.#feed.look();
    if (!result.accepted) {
      const shut = after.live.gates.filter(({ open }) => !open).map(({ words }) => `  ${words}`);
      const why = result.refusal === 'not-ready' ? shut : [];
      return this.#say([`Not done: ${result.words}`, ...why, ...(after.job === null ? [] : nowWords(after))], REFUSED);
    }
    const told = toldWith(before, after);
    return this.#say([done, ...told, ...(body.type === 'close-job' ? [] : nowWords(after))], 0);
  }

  #say(lines: readonly string[], code: number): number {
    this.#out.write(`${lines.map((line) => line.replace(/\p{Cc}/gu, ' ')).join('\n')}\n`);
    return code;
  }
}

const AMOUNT_WORDS = { in: 'Poured in:', out: 'Caught:', spilled: 'Spilled:', left: 'Left behind:' } as const;
const PHOTO_TYPES: Readonly<Record<string, string>> = {
  ...{ '.jpg': 'image/jpeg', '.jpeg': 'image/jpeg', '.png': 'image/png', '.webp': 'image/webp' },
};

/** What came of it besides the next step: a reading, a verdict. */
function toldWith(before: Snapshot, after: Snapshot): string[] {
  const reading = after.lastReading;
  const anew = reading !== null && reading.event !== before.lastReading?.event;
  const judged = after.verdict !== null && after.verdict.words !== before.verdict?.words;
  return [
    ...(anew ? [`Reading ${reading.reading.id}: ${reading.reading.words.level}, ${reading.reading.words.sure}`] : []),
    ...(judged ? [`Verdict: ${after.verdict?.words}`] : []),
  ];
}

function progressOf({ job, progress }: Snapshot) {
  if (job === null) throw notUnderstood('job', 'no job is open; begin one with stillwell job start');
  if (progress === null) throw notUnderstood('job', 'the open job follows no procedure; read and close are left');
  return progress;
}

function stepOf(seen: Snapshot) {
  const { now } = progressOf(seen);
  if (now === null) throw notUnderstood('job', 'all steps are done; next: stillwell job close');
  return now;
}

function tickOf({ ticks }: ReturnType<typeof stepOf>, text: string): string {
  const found = ticks[Number(text) - 1] ?? ticks.find(({ id }) => id === text);
  if (found === undefined) throw notUnderstood(text, `the list goes from 1 to ${ticks.length}`);
  return found.id;
}

function fieldTyped(text: string): readonly [string, string] {
  const at = text.indexOf('=');
  if (at < 1) throw notUnderstood(text, 'a field is NAME=VALUE');
  return [text.slice(0, at).trim(), text.slice(at + 1).trim()];
}

function noted(note: string | undefined): { note?: string } {
  return note === undefined ? {} : { note };
}

function bytesOf(file: string): Uint8Array {
  try {
    return readFileSync(file);
  } catch (error) {
    throw notUnderstood(file, (error as Error).message);
  }
}

function notUnderstood(what: string, detail: string): StillwellError {
  return new StillwellError('not-understood', what, detail);
}
