/** A small procedure with every kind of step, and what a change of it says. */
import { loadProcedure } from '../../src/config/load-procedure.ts';
import type { ProcedureDescription } from '../../src/core/job/procedure.ts';

export const PROCEDURE = `procedure: bay-test
title: A small job
version: 2
purpose: For tests.
cautions: [Gloves]
fields:
  plate: { ask: Plate, required: true }
measures:
  jug: { name: Jug, by: jug, step: 50 mL, uncertainty: 2 %, each: 10 mL }
  scale: { name: Scale, by: scale, step: 12 g }
allowances:
  - { for: Filter, amount: 200 mL, uncertainty: 30 mL }
holds:
  pressure: { channel: filling, below: 1.5 bar, deadband: 0.2 bar, on-delay: 2 s, say: Stop the pump., during: [fill] }
  deep: { channel: level, above: 2 cm, say: "Stop the engine: too low.", during: [start, settle] }
steps:
  - step: ready-to-go
    title: Get ready
    say: >
      Two lines
      of words.
    cautions: [Hot fluid]
    tick: [Level ground, Brake on, Brake on]
    note: true
  - step: spec
    title: The right fluid
    enter:
      wanted: { ask: Wanted fluid }
      label: { ask: Fluid on the label, same-as: wanted }
      pour: { ask: Temperature of the fluid, range: 50 °F to 104 °F, means: fresh-temperature }
      look: { ask: How it looks, choices: [clear, dark], required: false }
  - step: first
    title: First reading
    read: target
    needs: { gate: [window, calm], entered: label }
  - step: drain
    title: Drain
    dose: { way: out, several: true, with: [scale, jug] }
    engine: stops
  - step: fill
    title: Fill
    dose: { way: in, plan: refill, with: [jug] }
    needs: { filled: 80 % }
  - step: start
    title: Start
    tick: [Runs]
    engine: starts
    needs: { filled: 2500 mL }
  - step: settle
    title: Wait
    wait-for: ready
  - step: again
    title: Read again
    read: level
  - step: verdict
    title: Does it match?
    decide: { otherwise: adjust }
    go-to: zero
  - step: adjust
    title: Adjust
    dose: { way: advice, with: [jug] }
    go-to: settle
  - step: zero
    title: Zero
    zero: true
    optional: true
  - step: dry
    title: Is all dry?
    ask:
      dry: { answer: All dry }
      wet: { answer: A drip, go-to: ready-to-go }
`;

/** As `12:5 words: expected; meant`. */
export function mistakesIn(text: string): string[] {
  const loaded = loadProcedure(text);
  if (loaded.ok) return [];
  return loaded.mistakes.map(
    ({ line, column, words, expected, nearest }) =>
      `${line}:${column} ${words}: ${expected}${nearest === null ? '' : ` → ${nearest}`}`,
  );
}

/** Mistakes after a change, which must be one. */
export function afterChange(from: string, to: string): string[] {
  if (!PROCEDURE.includes(from)) throw new Error(`the procedure of the tests has no ${from}`);
  return mistakesIn(PROCEDURE.replace(from, to));
}

export function procedureOf(text: string): ProcedureDescription {
  const loaded = loadProcedure(text);
  if (!loaded.ok) throw new Error(mistakesIn(text).join('\n'));
  return loaded.procedure;
}
