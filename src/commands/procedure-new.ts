/** `stillwell procedure new`: a few questions, and a procedure of the shop's own in a file. */
import { existsSync } from 'node:fs';
import { basename } from 'node:path';
import { loadProcedure } from '../config/load-procedure.ts';
import { renamed, type TickList, withTickList, withValues, writtenAt } from '../config/procedure-edit.ts';
import { type ProcedureFile, shippedProcedures } from '../config/procedures.ts';
import { StillwellError } from '../errors.ts';
import { nameFault, nameFor, procedureNamed, writeNew, written } from './procedure.ts';
import type { Talk } from './talk.ts';

const MOST_TRIES = 3;
const MOST_TICKS = 40;

/** Tick lists that many shops want and no two have alike. */
const LISTS = [
  { id: 'fastener-pattern', title: 'Fasteners in their pattern', ask: 'Fasteners in their order and stages' },
  { id: 'new-seals', title: 'New seals', ask: 'Seals that are always renewed' },
  { id: 'fitting-marks', title: 'Fitting marks', ask: 'Marks that must stand against each other' },
] as const;

/**
 * Asks, and writes the file, never over one that is there. An empty answer takes what stands in brackets.
 * @throws StillwellError procedure-unwritten
 */
export async function newProcedure(file: string, talk: Talk): Promise<number> {
  if (existsSync(file)) throw new StillwellError('procedure-unwritten', file, 'it is there already');
  const asking = new Asking(talk, file);
  const base = await chosen(asking);
  const { procedure } = base;
  const named = await asking.value('Name of the new procedure', nameFor(file), nameFault);
  const from = `${procedure.id}, version ${procedure.version}`;
  let text = renamed(base.text, named, from, basename(file));
  for (const { ask, paths } of figuresOf(base)) text = await asking.figure(text, ask, paths);
  for (const list of LISTS) text = placed(text, { ...list, ticks: await asking.lines(list.ask) });

  // What was asked fits; this would be a fault of the questions themselves.
  const loaded = loadProcedure(text);
  if (!loaded.ok) throw new StillwellError('procedure-unwritten', file, loaded.mistakes[0]?.words);
  writeNew(file, text);
  if (asking.over) talk.write(`\nNo more answers came: the rest is as in ${from}.\n`);
  talk.write(`\n${written(file, named)}`);
  return 0;
}

interface Figure {
  readonly ask: string;
  readonly paths: readonly (readonly (string | number)[])[];
}

/** What differs from machine to machine and decides whether a job goes well. */
function figuresOf({ procedure }: ProcedureFile): Figure[] {
  const filled = procedure.steps.flatMap(({ needs }, index) =>
    needs.some(({ kind }) => kind === 'filled' || kind === 'filled-share') ? [['steps', index, 'needs', 'filled']] : [],
  );
  return [
    { ask: 'Title', paths: [['title']] },
    ...(filled.length === 0
      ? []
      : [{ ask: 'Least fill before the engine starts, as a share of the refill or a volume', paths: filled }]),
    ...procedure.holds.map(({ id, channel, side }) => ({
      ask: `Limit: ${channel} stays ${side}`,
      paths: [['holds', id, side]],
    })),
    ...procedure.allowances.map(({ what }, index) => ({
      ask: `Refill allowance: ${what}`,
      paths: [['allowances', index, 'amount']],
    })),
  ];
}

async function chosen(asking: Asking): Promise<ProcedureFile> {
  const shipped = shippedProcedures();
  asking.say('Which procedure shall it begin from?\n');
  for (const [index, { procedure }] of shipped.entries())
    asking.say(`  ${index + 1}  ${procedure.id}: ${procedure.title}\n`);
  const pick = (answer: string): ProcedureFile | undefined =>
    shipped[/^\d+$/.test(answer) ? Number(answer) - 1 : shipped.findIndex(({ procedure }) => procedure.id === answer)];
  const answer = await asking.value('Number or name', shipped[0]?.procedure.id ?? '', (text) =>
    pick(text) === undefined ? 'one of the numbers or names above is expected' : null,
  );
  return pick(answer) ?? procedureNamed(answer);
}

/** Where parts were renewed, else before the last look, else at the end: the first place that all ways still pass. */
function placed(text: string, list: TickList): string {
  if (list.ticks.length === 0) return text;
  const loaded = loadProcedure(text);
  const ids = loaded.ok ? loaded.procedure.steps.map(({ id }) => id) : [];
  const wanted = [ids.indexOf('renew') + 1, ids.indexOf('finish')].filter((index) => index > 0);
  const made = [...wanted, ids.length].map((index) => withTickList(text, index, list));
  return made.find((one) => loadProcedure(one).ok) ?? text;
}

/** Questions with an answer to fall back on. */
class Asking {
  /** Nobody answers any more. */
  over = false;
  private readonly talk: Talk;
  private readonly file: string;
  private any = false;

  constructor(talk: Talk, file: string) {
    this.talk = talk;
    this.file = file;
  }

  say(text: string): void {
    this.talk.write(text);
  }

  async value(question: string, otherwise: string, fault: (answer: string) => string | null): Promise<string> {
    for (let i = 0; i < MOST_TRIES; i++) {
      const answer = (await this.answer(`${question} [${otherwise}]: `)) || otherwise;
      const words = fault(answer);
      if (words === null) return answer;
      this.say(`${words}\n`);
    }
    throw new StillwellError('procedure-unwritten', this.file, question);
  }

  /** Another figure in the text, if it fits there; the checks of the file say so. */
  async figure(text: string, question: string, paths: Figure['paths']): Promise<string> {
    const [path] = paths;
    const standing = path === undefined ? null : writtenAt(text, path);
    if (standing === null) return text;
    const answer = await this.value(question, standing, (given) =>
      given === standing ? null : fault(withValues(text, paths, given)),
    );
    return answer === standing ? text : withValues(text, paths, answer);
  }

  async lines(question: string): Promise<string[]> {
    this.say(`${question}: one line each, an empty one ends the list.\n`);
    const lines: string[] = [];
    while (lines.length < MOST_TICKS) {
      const line = (await this.answer('  - '))
        .replace(/\p{Cc}/gu, ' ')
        .slice(0, 300)
        .trim();
      if (line === '') return lines;
      lines.push(line);
    }
    return lines;
  }

  private async answer(question: string): Promise<string> {
    if (this.over) return '';
    const answer = await this.talk.ask(question);
    if (answer === null && !this.any) throw new StillwellError('procedure-unwritten', this.file, 'nobody answers');
    this.any = true;
    this.over = answer === null;
    return answer ?? '';
  }
}

/** What is wrong with a text, in one line. */
function fault(text: string): string | null {
  const loaded = loadProcedure(text);
  const first = loaded.ok ? undefined : loaded.mistakes[0];
  if (first === undefined) return null;
  const meant = first.nearest === null ? '' : `; did you mean "${first.nearest}"?`;
  return `${first.words}: expected ${first.expected}${meant}`;
}
