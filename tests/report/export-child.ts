/** Exports a journal in a process of its own and tells its peak of memory, kB. */
import { exportRecord, type ExportOptions } from '../../src/commands/export.ts';

const [file, as, out] = process.argv.slice(2) as [string, ExportOptions['as'], string];
process.exitCode = await exportRecord(file, { as, what: 'samples', out }, process.stdout, process.stdout, process.stderr);
process.stdout.write(`peak ${process.resourceUsage().maxRSS} kB\n`);
