/** Deeper than any board prints. */
const MOST_DEPTH = 16;

/** The object that the line is, or null: no JSON (RFC 8259), no object, too deep, or a key twice in the same object. */
export function boundedJson(text: string): object | null {
  const shape = shapeOf(text);
  if (shape === null) return null;
  let root: unknown;
  try {
    root = JSON.parse(text);
  } catch {
    return null;
  }
  if (typeof root !== 'object' || root === null || Array.isArray(root)) return null;
  // the parser keeps the last of two equal keys, so that one member is missing then
  return membersOf(root) === shape.members ? root : null;
}

/** Members by their colons outside texts; null where it is too deep. */
function shapeOf(text: string): { members: number } | null {
  let depth = 0;
  let members = 0;
  let quoted = false;
  for (let at = 0; at < text.length; at++) {
    const char = text.charAt(at);
    if (char === '"') quoted = !quoted;
    else if (quoted) at += char === '\\' ? 1 : 0;
    else if (char === ':') members++;
    else if (char === '{' || char === '[') depth++;
    else if (char === '}' || char === ']') depth--;
    if (depth > MOST_DEPTH) return null;
  }
  return { members };
}

function membersOf(value: unknown): number {
  if (typeof value !== 'object' || value === null) return 0;
  const own = Array.isArray(value) ? 0 : Object.keys(value).length;
  return Object.values(value).reduce<number>((sum, each) => sum + membersOf(each), own);
}
