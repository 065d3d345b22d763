/** Text from a client → a checked value, or words on what is wrong with it. Never throws. */
import type { z } from 'zod';

/** The deepest message of the protocol has three levels. */
export const MOST_DEPTH = 8;

export type Taken<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly code: 'not-json' | 'too-deep' | 'not-understood'; readonly words: string };

/** Parses and checks; the caller has limited the size. */
export function take<S extends z.ZodType>(text: string, schema: S): Taken<z.output<S>> {
  if (depthOf(text) > MOST_DEPTH) {
    return { ok: false, code: 'too-deep', words: `Nested more than ${MOST_DEPTH} levels deep.` };
  }
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return { ok: false, code: 'not-json', words: 'This is not JSON.' };
  }
  const result = schema.safeParse(json);
  if (result.success) {
    return { ok: true, value: result.data };
  }
  return { ok: false, code: 'not-understood', words: wordsOf(result.error) };
}

/** The first mistake, in one line. */
export function wordsOf(error: z.ZodError): string {
  const issue = error.issues[0];
  const where = issue === undefined || issue.path.length === 0 ? '' : `${issue.path.join('.')}: `;
  return `${where}${issue?.message ?? 'Invalid input'}. GET /api/schema has the form.`.slice(0, 300);
}

/** Deepest nesting of brackets outside strings; right for valid JSON, harmless for anything else. */
function depthOf(text: string): number {
  let depth = 0;
  let deepest = 0;
  let inString = false;
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    if (inString) {
      if (c === '\\') {
        i++;
      } else if (c === '"') {
        inString = false;
      }
    } else if (c === '"') {
      inString = true;
    } else if (c === '{' || c === '[') {
      deepest = Math.max(deepest, ++depth);
    } else if (c === '}' || c === ']') {
      depth--;
    }
  }
  return deepest;
}
