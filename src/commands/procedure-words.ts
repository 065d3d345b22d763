/** A procedure as a numbered list that can be read aloud beside the machine. */
import { inside } from '../config/procedure-fit.ts';
import type {
  AskedValue,
  DoseStep,
  MeasureDescription,
  Need,
  ProcedureDescription,
  StepDescription,
} from '../core/job/procedure.ts';

/** `columns`: how wide it may get. */
export function shownProcedure(procedure: ProcedureDescription, columns: number): string {
  const { id, title, version, purpose, cautions, fields, measures, allowances, steps } = procedure;
  const names = namesIn(procedure);
  const line = (text: string): string => wrapped('', text, columns);
  const lines = [
    title,
    `${id}, version ${version}`,
    '',
    line(purpose),
    '',
    ...cautions.map((one) => wrapped('! ', one, columns)),
    '',
    ...together(
      'Asked at the start: ',
      fields.map(({ words, required }) => (required ? `${words} (required)` : words)),
    ).map(line),
    ...together('Measured by: ', measures.map(measureWords)).map(line),
    ...together(
      'A refill takes besides what was drained: ',
      allowances.map(({ what, litres, uLitres }) => `${what}, ${amount(litres, 'L')} ± ${amount(uLitres, 'L')}`),
    ).map(line),
    '',
    ...steps.flatMap((step, index) => [
      wrapped(
        `${String(index + 1).padStart(3)}. `,
        `${step.title}${step.optional ? ' (may be left out)' : ''}`,
        columns,
      ),
      ...stepLines(step, names).map(([lead, text]) => wrapped(`     ${lead}`, text, columns)),
      '',
    ]),
  ];
  return lines.join('\n').replace(/\n{3,}/g, '\n\n');
}

/** How the parts of a procedure are called in words. */
interface Names {
  /** Number of a step. */
  at(id: string): string;
  measure(id: string): string;
  entry(name: string): string;
  /** What is watched at a step, and what to do when it breaks. */
  watched(id: string): string[];
}

function namesIn({ steps, measures, holds }: ProcedureDescription): Names {
  const asks = steps.flatMap((step) => (step.kind === 'enter' ? step.asks : []));
  return {
    at: (id) => String(steps.findIndex((step) => step.id === id) + 1),
    measure: (id) => measures.find((one) => one.id === id)?.words ?? id,
    entry: (name) => `"${asks.find((one) => one.name === name)?.words ?? name}"`,
    watched: (id) =>
      holds
        .filter(({ during }) => during.includes(id))
        .map(
          ({ channel, quantity, side, limit, words }) =>
            `Watched: ${channel} ${side} ${inside(limit, quantity)}. If not: ${words}`,
        ),
  };
}

type Led = readonly [lead: string, text: string];

function stepLines(step: StepDescription, names: Names): Led[] {
  return [
    ...step.cautions.map((one): Led => ['! ', one]),
    ...names.watched(step.id).map((one): Led => ['! ', one]),
    ...(step.words === null ? [] : [['', step.words] as const]),
    ...doingLines(step, names),
    ...step.needs.map((need): Led => ['- ', `Not finished before ${needWords(need, names)}.`]),
    ...(step.engine === null ? [] : [['- ', `The engine ${step.engine} with this step.`] as const]),
    ...(step.goesOn === null ? [] : [['> ', `Goes on at ${names.at(step.goesOn)}.`] as const]),
  ];
}

function doingLines(step: StepDescription, names: Names): Led[] {
  switch (step.kind) {
    case 'confirm': {
      const kept = [...(step.note ? ['a note'] : []), ...(step.photo ? ['a photo'] : [])];
      const room: Led[] = kept.length === 0 ? [] : [['- ', `Room for ${kept.join(' and ')}.`]];
      return [...step.ticks.map(({ words }): Led => ['[ ] ', words]), ...room];
    }
    case 'enter':
      return step.asks.map((one) => ['... ', askedWords(one, names)]);
    case 'wait':
      return [['- ', `Waits ${step.gates.length === 0 ? 'until a reading counts' : `for: ${step.gates.join(', ')}`}.`]];
    case 'read':
      return [
        ['- ', step.target ? 'A reading; later ones are held against it.' : 'A reading, held against the target.'],
      ];
    case 'dose':
      return [['- ', doseWords(step, names)]];
    case 'zero':
      return [['- ', 'The sensor on its block, against its zero.']];
    case 'decide':
      return [['> ', `Not within the tolerance: to ${names.at(step.otherwise)}.`]];
    case 'ask':
      return step.answers.map(({ words, goTo }) => ['( ) ', goTo === null ? words : `${words} > ${names.at(goTo)}`]);
  }
}

function doseWords({ way, plan, several, measures }: DoseStep, names: Names): string {
  const what = { in: 'Poured in', out: 'Drained', advice: 'Drained or poured in, as the last reading advises' }[way];
  const much = plan === null ? '' : ', as much as the refill plan says';
  const by = measures.map(names.measure).join(', or: ');
  return `${what}${much}. Measured by: ${by}.${several ? ' In one or several amounts.' : ''}`;
}

function askedWords(asked: AskedValue, names: Names): string {
  const whether = asked.required ? '' : ' (may stay empty)';
  const words = `${asked.words}${whether}`;
  switch (asked.of) {
    case 'quantity':
      return `${words}, ${inside(asked.low, asked.quantity)} to ${inside(asked.high, asked.quantity)}`;
    case 'choice':
      return `${words}: ${asked.choices.join(' / ')}`;
    case 'text':
      return asked.sameAs === null ? words : `${words}, the same as ${names.entry(asked.sameAs)}`;
  }
}

function needWords(need: Need, names: Names): string {
  switch (need.kind) {
    case 'filled':
      return `${amount(need.litres, 'L')} are in`;
    case 'filled-share':
      return `${amount(100 * need.share, '%')} of the refill are in`;
    case 'gate':
      return `the gate "${need.gate}" is open`;
    case 'entered':
      return `${names.entry(need.name)} is entered`;
  }
}

function measureWords({ words, unit, step }: MeasureDescription): string {
  return `${words}, in steps of ${amount(step, unit)}`;
}

function amount(value: number, unit: string): string {
  return `${Number(value.toPrecision(4))} ${unit}`;
}

function together(title: string, parts: readonly string[]): string[] {
  return parts.length === 0 ? [] : [`${title}${parts.join('; ')}.`];
}

/** Lines under each other behind what leads the first; a word that is too long stands over. */
function wrapped(lead: string, text: string, columns: number): string {
  const room = Math.max(20, columns - lead.length);
  const lines: string[] = [];
  for (const word of text.split(/\s+/)) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= room) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines.map((line, index) => `${index === 0 ? lead : ' '.repeat(lead.length)}${line}`).join('\n');
}
