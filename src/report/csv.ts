/**
 * Comma-separated values after RFC 4180: CRLF at the end of each record, quotes where a cell holds a comma, a quote or a
 * line end, quotes doubled inside. Text that a spreadsheet would take for a formula gets an apostrophe before it; a number
 * is never touched, so −3.2 stays a number.
 */

export type Cell = string | number | boolean | null;

/** Signs that make a formula of a text (also their full-width forms), and line ends and tabs that hide one. */
const FORMULA = /^[=+\-@\t\r\n＝＋－＠]/u;
const PLAIN_NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$/;

/** One record with its line end. A number is written so that it reads back to the same double; null is an empty cell. */
export function csvRecord(cells: readonly Cell[]): string {
  return `${cells.map(csvCell).join(',')}\r\n`;
}

function csvCell(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell !== 'string') return String(cell);
  const harmless = FORMULA.test(cell) && !PLAIN_NUMBER.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}
