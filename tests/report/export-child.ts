/** Exports a journal to standard output in a process of its own, and tells its peak of memory on standard error. */
import { type ExportOptions, exportRecord } from '../../src/commands/export.ts';

const [file, as] = process.argv.slice(2) as [string, ExportOptions['as']];
process.exitCode = await exportRecord(file, { as, what: 'samples' }, process.stdout, process.stderr, null);
process.stderr.write(`peak ${process.resourceUsage().maxRSS} kB\n`);
