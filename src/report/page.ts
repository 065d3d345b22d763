/**
 * The report of a job as one HTML file: nothing is fetched, nothing runs. A section is a function from the record, null
 * where it has nothing to tell; a new kind of entry gets a section of its own in this list.
 */
import { instrumentSection, settingsSection, softwareSection } from './equipment.ts';
import { adviceSection, amountsSection, balanceSection } from './fluid-account.ts';
import { actionSection, alarmSection, zeroSection } from './happenings.ts';
import { cautionSection, checkSection, headSection, overviewSection, resultSection, title } from './head.ts';
import { Html, html } from './html.ts';
import { readingsSection } from './readings.ts';
import type { JobRecord } from './record.ts';
import { entriesSection, procedureSection, stepsSection } from './steps.ts';
import { type Paper, styleFor } from './style.ts';

const SECTIONS: readonly ((record: JobRecord) => Html | null)[] = [
  headSection,
  resultSection,
  cautionSection,
  checkSection,
  procedureSection,
  overviewSection,
  readingsSection,
  amountsSection,
  adviceSection,
  balanceSection,
  stepsSection,
  entriesSection,
  zeroSection,
  alarmSection,
  actionSection,
  instrumentSection,
  settingsSection,
  softwareSection,
];

/** @param paper null leaves it to the printer. */
export function reportPage(record: JobRecord, paper: Paper | null): string {
  const name = title(record);
  const page = html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">
<title>${name}</title><style>${new Html(styleFor(paper, name))}</style></head>
<body>${SECTIONS.map((section) => section(record))}</body></html>
`;
  return page.text;
}
