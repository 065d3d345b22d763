/** How a report looks: dark on white, on a screen and on paper of either size. */

export type Paper = 'a4' | 'letter';

/** Without a paper the printer's own is used. */
export function styleFor(paper: Paper | null, foot: string): string {
  const size = paper === null ? '' : `size: ${paper === 'a4' ? 'A4' : 'Letter'}; `;
  // In a style sheet a backslash and a quote end a string.
  const words = foot.replace(/[^\p{L}\p{N} .,:()_–-]/gu, ' ');
  return `${SCREEN}
@page { ${size}margin: 14mm 14mm 16mm;
  @bottom-left { content: "${words}"; font: 8pt sans-serif; color: #444; }
  @bottom-right { content: counter(page) " / " counter(pages); font: 8pt sans-serif; color: #444; } }
${PRINT}`;
}

const SCREEN = `
:root { color-scheme: light; --ink: #16191d; --soft: #545b64; --line: #c9ced5; --shade: #f2f4f6; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0 auto; padding: 24px 20px 48px; max-width: 800px; background: #fff; color: var(--ink);
  font: 15px/1.45 "Liberation Sans", "DejaVu Sans", Arial, Helvetica, sans-serif; overflow-wrap: break-word; }
header { border-bottom: 3px solid var(--ink); padding-bottom: 10px; margin-bottom: 18px; }
h1 { font-size: 26px; line-height: 1.2; margin: 0 0 4px; }
h2 { font-size: 18px; margin: 30px 0 8px; padding-bottom: 3px; border-bottom: 1px solid var(--ink); }
h3 { font-size: 15px; margin: 16px 0 4px; }
p { margin: 6px 0; }
.under { color: var(--soft); margin: 0; }
.result { border: 2px solid var(--ink); border-radius: 4px; padding: 12px 16px; margin: 16px 0; }
.told { font-size: 24px; font-weight: 700; line-height: 1.25; margin: 0; }
article .told { font-size: 19px; margin-top: 6px; }
.verdict { font-size: 16px; margin: 4px 0 0; }
.cautions { border-left: 5px solid var(--ink); padding: 2px 0 2px 12px; margin: 14px 0; }
.broken { border: 3px solid #8c1212; padding: 10px 14px; margin: 14px 0; }
.broken strong { color: #8c1212; }
dl { display: grid; grid-template-columns: 1fr 1fr; gap: 2px 24px; margin: 8px 0; }
dl div { display: grid; grid-template-columns: 8em 1fr; gap: 8px; align-items: baseline; }
dt { color: var(--soft); }
dd { margin: 0; overflow-wrap: anywhere; }
figure { margin: 8px 0; }
figure img { display: block; max-width: 100%; max-height: 110mm; }
table { border-collapse: collapse; width: 100%; margin: 8px 0; font-size: 13px; }
th, td { text-align: left; vertical-align: top; padding: 3px 10px 3px 0; border-bottom: 1px solid var(--line); }
th { border-bottom: 1px solid var(--ink); font-weight: 600; line-height: 1.2; vertical-align: bottom; }
td:last-child { overflow-wrap: anywhere; }
td p { margin: 0 0 4px; }
.said { white-space: pre-line; }
tfoot td { border-bottom: 0; font-weight: 600; }
.figure { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
th.figure { white-space: normal; }
td.figure + td:not(.figure), th.figure + th:not(.figure) { padding-left: 10px; }
.fingerprint { font-family: "Liberation Mono", "DejaVu Sans Mono", monospace; font-size: 0.85em; overflow-wrap: anywhere; }
.time { white-space: nowrap; font-variant-numeric: tabular-nums; }
.note { color: var(--soft); font-size: 13px; }
svg { display: block; width: 100%; height: auto; margin: 10px 0 4px; font: 11px "Liberation Sans", "DejaVu Sans", Arial, sans-serif; }
svg text { fill: #16191d; }
svg .tick { fill: #454c55; font-size: 10.5px; }
svg .title { font-weight: 600; }
svg .number { font-weight: 700; font-size: 11px; }
svg .grid { stroke: #dfe3e8; stroke-width: 1; }
svg .read { fill: #cfd6df; }
svg .window { fill: #f6e2c4; fill-opacity: 0.6; }
svg path { fill: none; stroke-width: 1.3; stroke-linejoin: round; stroke-linecap: round; }
svg .level { stroke: #12467f; }
svg .temperature { stroke: #a14408; }
svg .mean { stroke: #16191d; stroke-width: 1.6; }
.swatch { display: inline-block; width: 1em; height: 0.7em; margin-right: 0.3em; border: 1px solid #8a929c; }
.swatch.read { background: #cfd6df; }
.swatch.window { background: #f9edda; }
@media screen and (max-width: 620px) { dl { grid-template-columns: 1fr; } section, .wide { overflow-x: auto; } }`;

const PRINT = `
@media print {
  * { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  body { padding: 0; max-width: none; font-size: 10pt; line-height: 1.35; }
  header { margin-bottom: 10px; } .result { padding: 8px 14px; margin: 10px 0; } .cautions { margin: 10px 0; } p { margin: 4px 0; }
  h1 { font-size: 18pt; } h2 { font-size: 12.5pt; margin-top: 13pt; } h3 { font-size: 10.5pt; }
  h2, h3 { break-after: avoid; }
  .told { font-size: 16pt; } article .told { font-size: 13pt; }
  table, .note { font-size: 8.5pt; }
  th, td { padding-top: 2px; padding-bottom: 2px; }
  p, h2, h3 { orphans: 3; widows: 3; }
  tr, svg, .result, .cautions, .broken, .whole, dl div { break-inside: avoid; }
  thead { display: table-header-group; }
  tfoot { display: table-row-group; }
  .wide { overflow: visible; }
}`;
