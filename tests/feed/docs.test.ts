import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { feedDocs, feedSchemaFile } from '../../src/feed/docs.ts';
import { CLIENT_EXAMPLES, HTTP_EXAMPLES, SERVER_EXAMPLES } from '../../src/feed/examples.ts';
import { eventsPage, httpAction, httpError } from '../../src/feed/http-messages.ts';
import { clientMessage, history, serverMessage } from '../../src/feed/messages.ts';
import { printJson } from '../../src/feed/print-json.ts';
import { startTestFeed } from './harness.ts';

const file = (name: string): string => readFileSync(new URL(`../../docs/${name}`, import.meta.url), 'utf8');

describe('docs', () => {
  test.each([
    ['feed.md', feedDocs],
    ['feed.schema.json', feedSchemaFile],
  ])('docs/%s is what `npm run docs` writes', (name, write) => {
    expect(file(name)).toBe(write());
  });

  test('name every type of message, and every link leads somewhere', () => {
    const docs = feedDocs();
    const types = [...serverMessage.options, ...clientMessage.options].map(({ shape }) => shape.type.value);
    const headings = [...docs.matchAll(/^###? (.+)$/gm)].map(([, title]) => title);
    for (const type of types) expect(headings).toContain(type);
    const links = [...docs.matchAll(/\]\(#([a-z-]+)\)/g)].map(([, name]) => name);
    expect(links.length).toBeGreaterThan(10);
    for (const name of links) expect(headings).toContain(name);
  });

  test.each([
    ['actionId', 8, 64],
    ['actor', 1, 80],
    ['text', 1, 2000],
    ['label', 1, 200],
  ])('say how long `%s` of an action may be: %i to %i characters', (field, least, most) => {
    expect(feedDocs()).toMatch(new RegExp(`^\\| \`${field}\` +\\| text, ${least} to ${most} characters`, 'm'));
    const fits = (length: number) => {
      const value = 'x'.repeat(length);
      const body = field === 'label' ? { type: 'start-job', label: value } : { type: 'note', text: value };
      const sent = field === 'text' || field === 'label' ? { body } : { [field]: value };
      return clientMessage.safeParse({ ...CLIENT_EXAMPLES.action, ...sent }).success;
    };
    expect([least - 1, least, most, most + 1].map(fits)).toEqual([false, true, true, false]);
  });

  test('leave no field without a type', () => {
    expect(feedDocs()).not.toMatch(/^\| `[^`]+` +\| +\|/m);
    expect(feedDocs()).not.toContain('undefined');
  });
});

describe('the examples in the docs', () => {
  test.each(Object.entries(SERVER_EXAMPLES))('%s is valid', (_name, example) => {
    expect(serverMessage.parse(example)).toEqual(example);
  });

  test('those of a client and of HTTP are valid', () => {
    for (const example of Object.values(CLIENT_EXAMPLES)) expect(clientMessage.parse(example)).toEqual(example);
    expect(history.parse(HTTP_EXAMPLES.history)).toEqual(HTTP_EXAMPLES.history);
    expect(eventsPage.parse(HTTP_EXAMPLES['events-page'])).toEqual(HTTP_EXAMPLES['events-page']);
    expect(httpError.parse(HTTP_EXAMPLES['http-error'])).toEqual(HTTP_EXAMPLES['http-error']);
    expect(httpAction.parse(CLIENT_EXAMPLES.action)).toEqual(CLIENT_EXAMPLES.action);
  });
});

describe('the JSON Schema', () => {
  test('as served says the same as the file', async () => {
    const t = await startTestFeed();
    const answer = await fetch(`${t.feed.url}/api/schema`);
    expect(await answer.json()).toEqual(JSON.parse(file('feed.schema.json')));
    await t.close();
  });

  test('accepts every message and refuses it with a field missing or one too many', () => {
    const schema = z.fromJSONSchema(JSON.parse(file('feed.schema.json')));
    const examples = { ...SERVER_EXAMPLES, ...CLIENT_EXAMPLES };
    for (const [name, example] of Object.entries(examples)) {
      expect(schema.safeParse(example).success, name).toBe(true);
      expect(schema.safeParse({ ...example, more: 1 }).success, `${name} and more`).toBe(false);
      for (const field of Object.keys(example)) {
        const { [field]: _left, ...rest } = { ...example } as Record<string, unknown>;
        expect(schema.safeParse(rest).success, `${name} without ${field}`).toBe(false);
      }
    }
  });

  test('has no reference that leads nowhere', () => {
    const text = file('feed.schema.json');
    const names = Object.keys(JSON.parse(text).$defs);
    const references = [...text.matchAll(/"\$ref": "#\/\$defs\/([a-z-]+)"/g)].map(([, name]) => name);
    expect(references.length).toBeGreaterThan(20);
    for (const name of references) expect(names).toContain(name);
    expect(text.match(/"\$ref"/g)).toHaveLength(references.length);
  });
});

test.each([
  [{}, '{}'],
  [[], '[]'],
  [{ a: [1, 'x', null], b: { c: true } }, '{ "a": [1, "x", null], "b": { "c": true } }'],
  [['x'.repeat(60), 'y'.repeat(60)], `[\n  "${'x'.repeat(60)}",\n  "${'y'.repeat(60)}"\n]`],
])('%j is printed for reading', (value, text) => {
  expect(printJson(value)).toBe(text);
  expect(JSON.parse(printJson(value))).toEqual(value);
});
