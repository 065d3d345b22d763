/** The reference of the procedure file, written from its schema. */
import { section } from './docs.ts';
import { PROCEDURE_SECTIONS } from './procedure-steps.ts';

const OPENING = `# Procedures

<!-- Generated from src/config/procedure-docs.ts, procedure-schema.ts and procedure-steps.ts by \`npm run docs\`. -->

A procedure is what a job goes by: what is done next, what must be ticked, entered, measured and read, what can hurt, and
what must be before a step is finished. It is a file of words and figures (YAML 1.2), with no programming in it. Some come with the
software, for invented machines and with figures to be replaced; a shop makes its own.

| command | what it does |
| --- | --- |
| \`stillwell procedure list\` | names those that come with the software |
| \`stillwell procedure show NAME\` | one in full, as a numbered list with its cautions; NAME may be a file |
| \`stillwell procedure new FILE\` | asks a few questions (which one to begin from, title, least fill, limits, allowances, lists of fasteners, seals and marks) and writes a procedure; an empty answer takes what stands in brackets, and answers may be piped in |
| \`stillwell procedure copy NAME FILE\` | copies one, under the name of the file, to be edited |
| \`stillwell check FILE\` | names every mistake in a procedure file with its line and column |
| \`stillwell check bench.yaml\` | checks the procedures that the bench names, and tells what does not fit that bench |

No command writes over a file that is there. A bench takes the shop's own by the key \`procedures\` of its file, a list of paths;
those that come with the software it takes anyway. Each has a name of its own, so a copy never stands for the one it was made from, and
the record of a job holds name, version and a digest of the file's text.

[examples/north-bay-gearbox.yaml](examples/north-bay-gearbox.yaml) has every key with a comment.

## Those that come with the software

| name | for |
| --- | --- |
| \`gearbox-matched\` | a sealed gearbox whose fluid is changed: the level is put back to where it stood at the first reading, or to another target where that one cannot be trusted |
| \`gearbox-chart\` | a sealed gearbox whose level is brought to the maker's chart, with or without a change of fluid |
| \`gearbox-overflow\` | a gearbox whose level plug is opened in a narrow window of temperature: fluid stands at the lip, and no millimetres come of it |
| \`hydraulic-reservoir\` | a hydraulic reservoir, cylinders where the maker wants them |

They know nothing of your machine. Lines marked \`YOUR FIGURE\` hold a figure that is to be replaced by that of the maker's current
service information, which also stands above every other word in them. The cautions name the usual hazards, not all of them; see
[safety.md](safety.md).

## How a job goes through it

Steps follow each other as they stand in the file. A step with \`go-to\` leads to another one, an answer with \`go-to\` too, and a
decision leads to \`otherwise\` while the level is not within the tolerance. The checks follow every way: each step must be reached, each
must lead to the end, a decision or a dose by advice must have a reading and a target before it, and a way back to a decision must
pass a dose or a tick list, and a reading.

A step does one thing:

| key | what it does |
| --- | --- |
| \`tick\` | a tick list, confirmed line by line |
| \`enter\` | quantities, texts and choices that a person enters |
| \`wait-for\` | waits for gates of readiness |
| \`read\` | takes a reading |
| \`dose\` | fluid in or out, measured |
| \`zero\` | the level sensor on its block |
| \`decide\` | on, or back, by the verdict on the last reading |
| \`ask\` | a person answers, and the answer leads on |

A quantity is a number and a unit with a blank between, as in the [bench file](bench-file.md#quantities). Names are small letters, digits and
hyphens. A text that holds a colon and a blank, or begins with a sign, stands in quotes; inside \`{ }\` a comma ends a text too.
`;

/** The whole text of docs/procedures.md. */
export function procedureDocs(): string {
  return [OPENING, ...PROCEDURE_SECTIONS.map(section)].join('\n');
}
