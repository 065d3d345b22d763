/** JSON for reading: what fits on a line stands on one line. */

const WIDTH = 120;

/** `taken`: columns of the line that are used by something else. */
export function printJson(value: unknown, indent = '', taken = 0): string {
  const line = oneLine(value);
  if (typeof value !== 'object' || value === null || indent.length + taken + line.length <= WIDTH) return line;
  const inner = `${indent}  `;
  const isList = Array.isArray(value);
  const members = Object.entries(value);
  const lines = members.map(([name, member], i) => {
    const key = isList ? '' : `${JSON.stringify(name)}: `;
    const comma = i + 1 < members.length ? ',' : '';
    return `${inner}${key}${printJson(member, inner, key.length + comma.length)}${comma}\n`;
  });
  return isList ? `[\n${lines.join('')}${indent}]` : `{\n${lines.join('')}${indent}}`;
}

function oneLine(value: unknown): string {
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map(oneLine).join(', ')}]`;
  const members = Object.entries(value).map(([name, member]) => `${JSON.stringify(name)}: ${oneLine(member)}`);
  return members.length === 0 ? '{}' : `{ ${members.join(', ')} }`;
}
