/** A Markdown table with its columns in line. */
export function table(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const widths = header.map((title, i) => Math.max(3, title.length, ...rows.map((row) => row[i]?.length ?? 0)));
  const line = (cells: readonly string[]): string =>
    `| ${widths.map((width, i) => (cells[i] ?? '').padEnd(width)).join(' | ')} |\n`;
  return [header, widths.map((width) => '-'.repeat(width)), ...rows].map(line).join('');
}
