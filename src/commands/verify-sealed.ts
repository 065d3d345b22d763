/** `stillwell verify` of a sealed job: signature, key, chain, recomputing, and whether the journal still says the same. */
import { readJournal } from '../journal/read-file.ts';
import { same } from '../journal/seal.ts';
import { SealedFile } from '../journal/sealed/read.ts';
import { fingerprint, readPublicKey } from '../journal/sealed/signing-key.ts';
import { recompute } from './check-record.ts';
import type { Out } from './out.ts';
import { type Progress, progressOn } from './progress.ts';
import { exitCode, tellChain, tellRecomputed, type VerifyOptions } from './verify-words.ts';

/** Exit codes as for a journal; signature, key and journal count with the chain. */
export function verifySealed(file: string, options: VerifyOptions, out: Out, terminal: Out | null): number {
  const expected = options.key === undefined ? null : readPublicKey(options.key);
  const sealed = new SealedFile(file);
  const { manifest, signature } = sealed;
  const { job, journal, sealedBy } = manifest;
  const progress = progressOn(terminal);
  try {
    const { ok, parts, entries, firstFault } = sealed.verifySeal();
    const recomputed = recompute(sealed.entries(), inputsOf(sealed), progress, null, sealed.resume);
    const elsewhere = options.journal === undefined ? null : inJournal(sealed, options.journal, progress);
    progress.end();
    out.write(
      `Job ${job.id}${job.label === '' ? '' : `, ${job.label.replace(/\p{C}/gu, ' ')}`}, of journal ${journal}; `,
    );
    out.write(`sealed by ${sealedBy.software}\n`);
    for (const remark of recomputed.remarks) out.write(`note: ${remark}\n`);
    if (sealed.resume !== null)
      out.write('note: recomputing begins with the state saved when the job started, not with the start of the run\n');
    out.write(
      `Signature valid: ${signature.fault === null ? `yes (key ${signature.fingerprint})` : `NO. ${signature.fault}`}\n`,
    );
    const keyHolds = expected === null || same(expected, manifest.publicKey);
    out.write(`Key as expected: ${keyWords(expected, keyHolds, signature.fingerprint)}\n`);
    tellChain({ ok, parts, entries, fault: firstFault }, out);
    tellRecomputed(recomputed, out);
    if (elsewhere !== null) out.write(`Journal says the same: ${elsewhere.words}\n`);
    const sound = ok && signature.fault === null && keyHolds && elsewhere?.ok !== false;
    return exitCode(sound, recomputed.answer);
  } finally {
    progress.end();
  }
}

function keyWords(expected: Uint8Array | null, holds: boolean, print: string): string {
  if (expected === null)
    return 'not asked. Anybody can sign with a key of their own: name the public key kept elsewhere with --key, or compare the figures';
  return holds ? 'yes' : `NO. The file is signed with ${print}, expected is ${fingerprint(expected)}`;
}

/** For the bar alone: a file that cannot be read says so when it is recomputed. */
function inputsOf(sealed: SealedFile): number {
  try {
    return sealed.countInputs();
  } catch {
    return 0;
  }
}

/** Part by part, by what the journal's blocks hold now. */
function inJournal(
  sealed: SealedFile,
  file: string,
  progress: Progress,
): { readonly ok: boolean; readonly words: string } {
  const journal = readJournal(file);
  try {
    if (journal.journalId !== sealed.journalId)
      return { ok: false, words: `NO. It is another journal, ${journal.journalId}` };
    const report = journal.verifySeal((part, of) => progress.at(part, of, 'journal'));
    if (!report.ok) return { ok: false, words: `NO. ${report.firstFault}` };
    const kept = new Map(journal.chainOf([...sealed.parts()].map(({ part }) => part)));
    for (const { part, chain } of sealed.parts()) {
      const there = kept.get(part);
      if (there === undefined) return { ok: false, words: `NO. It has no part ${part}` };
      if (!same(there, chain)) return { ok: false, words: `NO. Part ${part} of it, or one before, is another one` };
    }
    return { ok: true, words: 'yes' };
  } finally {
    journal.close();
  }
}
