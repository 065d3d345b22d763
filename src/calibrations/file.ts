/**
 * A file of certificates: one device, one line a certificate, lines are only ever added. Each line carries the SHA-256 of
 * the line before and of itself, so a line that was edited, moved or taken out of the middle is found. Lines cut off at
 * the end leave no trace in the file; a record of a run names the certificates that it was made with.
 */
import { createHash } from 'node:crypto';
import { closeSync, fsyncSync, mkdirSync, openSync, readFileSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';
import { z } from 'zod';
import type { Certificate } from '../core/calibration/certificate.ts';
import { StillwellError } from '../errors.ts';
import { certificateLine, certificateOf } from './certificate-schema.ts';

/** No file of certificates is larger, and none is read that is. */
const LARGEST_BYTES = 20e6;

/** The certificates, oldest first; none where there is no file. @throws StillwellError calibration-damaged, with the line */
export function readCertificates(path: string): Certificate[] {
  return readLines(path).certificates;
}

/** Adds one certificate, and returns when it is on disk. @throws StillwellError calibration-damaged, file-unwritable */
export function appendCertificate(path: string, certificate: Certificate): void {
  const { last, certificates } = readLines(path);
  if (certificates.some(({ id }) => id === certificate.id))
    throw new StillwellError('file-unwritable', path, `certificate ${certificate.id} stands there already`);
  const { atUtcMs, dueUtcMs, ...rest } = certificate;
  const body = {
    before: sha256(last),
    ...rest,
    date: new Date(atUtcMs).toISOString(),
    due: new Date(dueUtcMs).toISOString(),
  };
  const line = { ...body, own: sha256(JSON.stringify(body)) };
  const checked = certificateLine.safeParse(line);
  if (!checked.success) throw new StillwellError('file-unwritable', path, z.prettifyError(checked.error));
  try {
    mkdirSync(dirname(path), { recursive: true });
    const file = openSync(path, 'a');
    try {
      // One write for the whole line: a crash leaves it whole, absent, or without its end, which is found.
      writeSync(file, `${JSON.stringify(line)}\n`);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
  } catch (error) {
    throw new StillwellError('file-unwritable', path, (error as Error).message);
  }
}

function readLines(path: string): { last: string; certificates: Certificate[] } {
  const text = readText(path);
  const lines = text.split('\n');
  if (lines.pop() !== '') throw damaged(path, lines.length + 1, 'the line has no end: it was cut off or typed by hand');
  let last = '';
  const certificates = lines.map((line, index) => {
    const certificate = readLine(line, last, (why) => damaged(path, index + 1, why));
    last = line;
    return certificate;
  });
  const ids = certificates.map(({ id }) => id);
  const twice = ids.findIndex((id, index) => ids.indexOf(id) !== index);
  if (twice !== -1) throw damaged(path, twice + 1, `certificate ${ids[twice]} stands there twice`);
  return { last, certificates };
}

function readLine(line: string, before: string, fault: (why: string) => StillwellError): Certificate {
  let data: unknown;
  try {
    data = JSON.parse(line);
  } catch {
    throw fault('this is no JSON');
  }
  const read = certificateLine.safeParse(data);
  if (!read.success) throw fault(z.prettifyError(read.error).replaceAll(/\s*\n\s*/g, ' '));
  const { own, ...body } = data as { own: string };
  // The whole line as it was written, key by key: another order or spacing is another line.
  if (sha256(JSON.stringify(body)) !== own || JSON.stringify(data) !== line)
    throw fault('the line is not as it was written: it has been edited');
  if (read.data.before !== sha256(before))
    throw fault('the line before it is not the one that it was written after: a line was edited, moved or taken out');
  return certificateOf(read.data);
}

function readText(path: string): string {
  let bytes: Buffer;
  try {
    bytes = readFileSync(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return '';
    throw new StillwellError('calibration-damaged', path, (error as Error).message);
  }
  if (bytes.length > LARGEST_BYTES) throw new StillwellError('calibration-damaged', path, 'it is far too large');
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new StillwellError('calibration-damaged', path, 'it is no text in UTF-8');
  }
}

function damaged(path: string, line: number, why: string): StillwellError {
  return new StillwellError('calibration-damaged', `${path}:${line}`, why);
}

function sha256(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}
