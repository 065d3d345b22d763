/** docs/feed.md and docs/feed.schema.json: written from the schemas, so that they cannot drift from the code. */
import { z } from 'zod';
import { type Field, fieldsOf, variantsOf } from './docs-fields.ts';
import { table } from './docs-table.ts';
import { HTTP_TEXT, INTRODUCTION } from './docs-text.ts';
import { CLIENT_EXAMPLES, HTTP_EXAMPLES, SERVER_EXAMPLES } from './examples.ts';
import { eventsQuery, historyQuery } from './http-messages.ts';
import { printJson } from './print-json.ts';
import { feedSchema, type JsonSchema } from './schema.ts';

/** What each message is for, in the order in which they come. */
const SERVER_MESSAGES = {
  hello: 'The first message of every connection.',
  'cannot-replay': 'The missed events cannot be told; the snapshot follows.',
  snapshot: 'The whole state. Sent once to each connection.',
  event: 'Something was decided and is on record.',
  job: 'The open job, after events that moved it.',
  live: 'The latest values.',
  'action-result': 'The outcome of an action of this client.',
  error: 'A message of this client was not understood or could not be handled.',
} as const satisfies Record<keyof typeof SERVER_EXAMPLES, string>;

const CLIENT_MESSAGES = {
  action: 'Something a person wants done.',
} as const satisfies Record<keyof typeof CLIENT_EXAMPLES, string>;

/** Parts that several messages share. */
const SHARED = {
  outcome: 'What an event tells, by `kind`.',
  reading: 'Level at the reference temperature with its expanded uncertainty.',
  'budget-line': 'One component of the uncertainty (GUM, clause 5).',
  job: 'Readings that belong together.',
  'job-progress': 'How far a job has come that follows a procedure, and what it asks for now.',
  'dose-advice': 'How much to pour in or drain next.',
  balance: 'In − out − spilled − left behind, against the level.',
  target: 'What the readings of a job are held against, by `from`.',
  verdict: 'A reading held against the target: below, within, above, or as near as this bench can tell.',
  'action-body': 'What is to be done, by `type`.',
  'standing-alarm': 'An alarm that is not normal.',
  gate: 'One condition of readiness. Ready means that all are open.',
  'time-to-go': 'When a gate is expected to open.',
  'channel-value': 'The latest value of one channel.',
  'instrument-health': 'The connection to one instrument.',
} as const;

const HTTP_REPLIES = {
  history: 'Reply of `GET /api/history`: columns of equal length.',
  'events-page': 'Reply of `GET /api/events`.',
  'http-error': 'Reply to any request that was not served.',
} as const satisfies Record<keyof typeof HTTP_EXAMPLES, string>;

/** The whole of docs/feed.md. */
export function feedDocs(): string {
  const defs = feedSchema().$defs ?? {};
  const chapter = (texts: Readonly<Record<string, string>>, examples: Readonly<Record<string, unknown>>): string =>
    Object.entries(texts)
      .map(([name, text]) => section(name, text, defs[name] ?? {}, examples[name]))
      .join('\n');
  return [
    INTRODUCTION,
    '## Messages of the server\n',
    'Every message has its name in `type`. Examples are shortened: a bench sends all its gates and instruments.\n',
    chapter(SERVER_MESSAGES, SERVER_EXAMPLES),
    '## Messages of a client\n',
    chapter(CLIENT_MESSAGES, CLIENT_EXAMPLES),
    '## Parts of messages\n',
    chapter(SHARED, {}),
    HTTP_TEXT,
    query('GET /api/events', eventsQuery),
    query('GET /api/history', historyQuery),
    chapter(HTTP_REPLIES, HTTP_EXAMPLES),
  ].join('\n');
}

/** The whole of docs/feed.schema.json. */
export function feedSchemaFile(): string {
  return `${printJson(feedSchema())}\n`;
}

function section(name: string, text: string, schema: JsonSchema, example: unknown): string {
  const parts = [`### ${name}\n`, `${text}\n`];
  const { common, variants } = variantsOf(schema);
  if (variants.length === 0) parts.push(fieldTable(fieldsOf(schema)));
  if (common.length > 0) parts.push('In all of them:\n', fieldTable(common));
  for (const { title, fields } of variants)
    parts.push(fields.length === 0 ? `${title}\n` : `${title}\n\n${fieldTable(fields)}`);
  if (example !== undefined) parts.push(`\`\`\`json\n${printJson(example)}\n\`\`\`\n`);
  return parts.join('\n');
}

function fieldTable(fields: readonly Field[]): string {
  return table(
    ['field', 'type', 'meaning'],
    fields.map(({ path, type, meaning }) => [`\`${path}\``, type, meaning]),
  );
}

/** Parameters of a query are all text; what they mean says how it is read. */
function query(title: string, schema: z.ZodType): string {
  const fields = fieldsOf(z.toJSONSchema(schema, { io: 'input' }) as JsonSchema);
  const rows = fields.map(({ path, meaning }) => [`\`${path}\``, meaning]);
  return `### ${title}\n\n${table(['parameter', 'meaning'], rows)}`;
}
