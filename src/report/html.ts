/** HTML by template: whatever is put in is text, unless it came out of a template itself. */

export class Html {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

export type Content = Html | string | number | null | readonly Content[];

const SIGNS: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

export function html(fixed: TemplateStringsArray, ...contents: readonly Content[]): Html {
  const text = fixed.reduce((before, piece, i) => before + textOf(contents[i - 1] ?? null) + piece);
  return new Html(text);
}

function textOf(content: Content): string {
  if (content === null) return '';
  if (content instanceof Html) return content.text;
  if (typeof content === 'number') return String(content);
  // What no document may hold is shown as what it is: unreadable.
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for
  const odd = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\ufffe\uffff]/g;
  if (typeof content === 'string')
    return content.replace(odd, '\ufffd').replace(/[&<>"']/g, (sign) => SIGNS[sign] ?? sign);
  return content.map(textOf).join('');
}

/** Closing rows of a table: a label over the first `span` columns, then cells. */
export interface Foot {
  readonly span: number;
  readonly rows: readonly (readonly [label: string, ...cells: Content[]])[];
}

/** A table with a heading row; columns whose name stands in `figures` are set right. */
export function table(
  head: readonly string[],
  rows: readonly (readonly Content[])[],
  figures: readonly string[] = [],
  foot: Foot = { span: 1, rows: [] },
): Html {
  const kind = (i: number) => (figures.includes(head[i] ?? '') ? html` class="figure"` : null);
  const line = (cells: readonly Content[]) =>
    html`<tr>${cells.map((cell, i) => html`<td${kind(i)}>${cell}</td>`)}</tr>`;
  const closing = ([label, ...cells]: Foot['rows'][number]) =>
    html`<tr><td colspan="${foot.span}">${label}</td>${cells.map((cell, i) => html`<td${kind(foot.span + i)}>${cell}</td>`)}</tr>`;
  return html`<table><thead><tr>${head.map((title, i) => html`<th scope="col"${kind(i)}>${title}</th>`)}</tr></thead>
<tbody>${rows.map(line)}</tbody>${foot.rows.length === 0 ? null : html`<tfoot>${foot.rows.map(closing)}</tfoot>`}</table>`;
}

/** Names and what they stand for. */
export function facts(pairs: readonly (readonly [name: string, content: Content])[]): Html {
  return html`<dl>${pairs.map(([name, content]) => html`<div><dt>${name}</dt><dd>${content}</dd></div>`)}</dl>`;
}
