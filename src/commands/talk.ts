/** A conversation at the terminal: lines out, answers in. */
import { createInterface } from 'node:readline';
import { StillwellError } from '../errors.ts';
import { strictNumber } from '../kit/numbers.ts';
import type { Out } from './out.ts';

export interface Talk extends Out {
  /** The answer without blanks at its ends; null once nobody answers any more. */
  ask(question: string): Promise<string | null>;
  close(): void;
}

/** Asks on `out`, takes lines from `input`: a person's, or what another program pipes in. */
export function talkWith(input: NodeJS.ReadableStream, out: Out): Talk {
  const lines: string[] = [];
  const waiting: ((line: string | null) => void)[] = [];
  let reader: ReturnType<typeof createInterface> | null = null;
  let over = false;
  const start = (): void => {
    if (reader !== null) return;
    reader = createInterface({ input });
    reader.on('line', (line) => {
      const next = waiting.shift();
      if (next === undefined) lines.push(line.trim());
      else next(line.trim());
    });
    reader.on('close', () => {
      over = true;
      for (const next of waiting.splice(0)) next(null);
    });
  };
  return {
    write: (text) => out.write(text),
    ask(question) {
      start();
      out.write(question);
      const known = lines.shift();
      if (known !== undefined) return Promise.resolve(known);
      return over ? Promise.resolve(null) : new Promise((resolve) => waiting.push(resolve));
    },
    close: () => reader?.close(),
  };
}

const MOST_TRIES = 3;

/**
 * The number that was given with an option, or else the answer to a question; an empty answer is `otherwise`.
 * @throws StillwellError calibration-impossible where nobody answers, naming the option
 */
export async function numberFor(
  talk: Talk,
  question: string,
  given: { readonly value: number | undefined; readonly option: string; readonly otherwise?: number },
): Promise<number> {
  if (given.value !== undefined) return given.value;
  const hint = given.otherwise === undefined ? '' : ` [${given.otherwise}]`;
  for (let i = 0; i < MOST_TRIES; i++) {
    const answer = await talk.ask(`${question}${hint}: `);
    if (answer === null) break;
    if (answer === '' && given.otherwise !== undefined) return given.otherwise;
    const value = strictNumber(answer.replace(/^−/, '-'));
    if (value !== null) return value;
    talk.write('A plain number is expected, such as 12.5\n');
  }
  throw new StillwellError('calibration-impossible', question, `give it with ${given.option}`);
}
