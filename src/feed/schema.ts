/** JSON Schema (2020-12) of everything that goes over the feed, made from the schemas that check it. */
import { z } from 'zod';
import { eventsPage, httpAction, httpError } from './http-messages.ts';
import { advice, balance, jobProgress } from './job-messages.ts';
import * as messages from './messages.ts';

export interface JsonSchema {
  readonly $schema?: string;
  readonly $id?: string;
  readonly title?: string;
  readonly $ref?: string;
  readonly type?: string | readonly string[];
  readonly description?: string;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly anyOf?: readonly JsonSchema[];
  readonly oneOf?: readonly JsonSchema[];
  readonly items?: JsonSchema;
  readonly properties?: Readonly<Record<string, JsonSchema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: boolean | JsonSchema;
  readonly $defs?: Readonly<Record<string, JsonSchema>>;
}

/** By the names used in the docs; a schema not listed here is written out where it is used. */
const NAMED = {
  'server-message': messages.serverMessage,
  hello: messages.hello,
  snapshot: messages.snapshot,
  live: messages.liveMessage,
  event: messages.eventMessage,
  'cannot-replay': messages.cannotReplay,
  'action-result': messages.actionResult,
  error: messages.errorMessage,
  'client-message': messages.clientMessage,
  action: messages.clientMessage.options[0],
  'action-body': messages.actionBody,
  outcome: messages.outcome,
  reading: messages.reading,
  'budget-line': messages.budgetLine,
  job: messages.job,
  'job-message': messages.jobMessage,
  'job-progress': jobProgress,
  'dose-advice': advice,
  balance,
  target: messages.target,
  verdict: messages.verdict,
  'standing-alarm': messages.standingAlarm,
  'live-values': messages.live,
  gate: messages.gate,
  'time-to-go': messages.timeToGo,
  'channel-value': messages.channelValue,
  'instrument-health': messages.instrumentHealth,
  history: messages.history,
  'events-page': eventsPage,
  'http-action': httpAction,
  'http-error': httpError,
} as const satisfies Record<string, z.ZodType>;

/** Every name leads to its schema under `$defs`; the document as a whole is any message of the WebSocket. */
export function feedSchema(): JsonSchema {
  const registry = z.registry<{ id: string }>();
  for (const [id, schema] of Object.entries(NAMED)) {
    registry.add(schema, { id });
  }
  const { schemas } = z.toJSONSchema(registry, { uri: (id) => `#/$defs/${id}` });
  const $defs: Record<string, JsonSchema> = {};
  for (const id of Object.keys(NAMED)) {
    // Written for files of their own; here they stand in one document.
    const { $id: _id, $schema: _schema, ...schema } = schemas[id] ?? {};
    $defs[id] = schema as JsonSchema;
  }
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    $id: `urn:stillwell:feed:${messages.PROTOCOL_VERSION}`,
    title: `The feed of Stillwell, protocol ${messages.PROTOCOL_VERSION}`,
    anyOf: [{ $ref: '#/$defs/server-message' }, { $ref: '#/$defs/client-message' }],
    $defs,
  };
}
